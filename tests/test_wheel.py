"""The built wheel carries all that the checkout has, and finds it."""

from __future__ import annotations

import subprocess
import sys
import zipfile
from pathlib import Path

import pytest

import energymodel
from energymodel.datafiles import manifest, shipped_folder

TOP = Path(energymodel.__file__).parent.parent


@pytest.mark.slow
def test_the_wheel_carries_data_notebooks_and_licence_inside_the_package(tmp_path: Path) -> None:
    if not (TOP / "pyproject.toml").is_file():
        pytest.skip("not a checkout: the package is installed")
    build = [sys.executable, "-m", "build", "--wheel", "--outdir", str(tmp_path), str(TOP)]
    subprocess.run(build, check=True, capture_output=True)
    (wheel,) = tmp_path.glob("*.whl")
    with zipfile.ZipFile(wheel) as archive:
        names = set(archive.namelist())
        archive.extractall(tmp_path / "installed")
    for entry in manifest():
        assert f"energymodel/data/{entry.path}" in names
    assert "energymodel/py.typed" in names
    assert any(name.startswith("energymodel/notebooks/") for name in names)
    assert any(name.endswith("licenses/energymodel/LICENSE") for name in names)
    where = subprocess.run(
        [
            sys.executable,
            "-c",
            "from energymodel.datafiles import shipped_folder as f;print(f('data'),f('notebooks'))",
        ],
        check=True,
        capture_output=True,
        text=True,
        cwd=tmp_path / "installed",
        env={"PYTHONPATH": str(tmp_path / "installed"), "PATH": ""},
    ).stdout.split()
    inside = tmp_path / "installed" / "energymodel"
    assert where == [str(inside / "data"), str(inside / "notebooks")]


def test_a_checkout_finds_its_folders_beside_the_package() -> None:
    if not (TOP / "pyproject.toml").is_file():
        pytest.skip("not a checkout: the package is installed")
    assert shipped_folder("data") == TOP / "data"
    assert shipped_folder("notebooks") == TOP / "notebooks"
