"""What start-up imports: a count of modules says what a time cannot, on any machine."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest

OWN_MOST = 140
"""Modules of the package that a comparison under flat prices may import (our choice)."""
SLOW = {
    *("pandas", "scipy", "pint", "matplotlib", "pvlib", "meteostat", "holidays", "tomlkit"),
    *("typst", "xlsxwriter", "requests", "numpy_financial", "defusedxml", "h5py", "PIL"),
    *("pyarrow", "dask", "distributed", "ipywidgets", "IPython", "jupyterlab", "jinja2"),
}


def modules_after(code: str) -> set[str]:
    """Run some code in a Python of its own and return what it has imported."""
    ask = f"import json, sys\n{code}\nprint(json.dumps(sorted(sys.modules)))"
    done = subprocess.run([sys.executable, "-c", ask], capture_output=True, text=True, check=True)
    return set(json.loads(done.stdout.splitlines()[-1]))


def command(*arguments: str) -> str:
    """Code that runs the command line and comes back."""
    return (
        f"sys.argv = ['energymodel', {', '.join(map(repr, arguments))}]\n"
        "from energymodel.cli.main import run\n"
        "try:\n    run()\nexcept SystemExit:\n    pass\n"
    )


def tops(modules: set[str]) -> set[str]:
    return {name.split(".")[0] for name in modules}


def own(modules: set[str]) -> set[str]:
    return {name for name in modules if name.startswith("energymodel.")}


@pytest.fixture(scope="module")
def compared() -> set[str]:
    return modules_after(command("compare"))


@pytest.fixture(scope="module")
def helped() -> set[str]:
    return modules_after(command("--help"))


def test_help_imports_nothing_beyond_the_commands_and_the_library_that_reads_them(
    helped: set[str],
) -> None:
    plain = modules_after(
        "import os, enum, pathlib, typing, typer\n"
        "app = typer.Typer(rich_markup_mode=None, add_completion=False)\n"
        "app.command()(lambda: None)\n"
        "try:\n    app(['--help'])\nexcept SystemExit:\n    pass\n"
    )
    foreign = tops(helped) - tops(plain) - set(sys.stdlib_module_names) - {"energymodel"}
    assert foreign == set()
    inner = {name for name in own(helped) if not name.startswith("energymodel.cli")}
    assert inner <= {"energymodel.errors"}


def test_help_imports_neither_numpy_nor_the_slow_libraries(helped: set[str]) -> None:
    assert tops(helped) & {"numpy", *SLOW} == set()


def test_a_comparison_imports_none_of_the_slow_libraries(compared: set[str]) -> None:
    assert "energymodel.study.comparison.compare" in compared
    assert tops(compared) & SLOW == set()
    assert "numpy.ma" not in compared


def test_a_comparison_under_flat_prices_leaves_the_rest_of_the_package_alone(
    compared: set[str],
) -> None:
    inner = own(compared)
    assert len(inner) <= OWN_MOST, sorted(inner)
    unused = ("tariffs", "meters", "ratings", "season.batch", "economics.life_cycle")
    found = [name for name in inner for part in unused if name.startswith(f"energymodel.{part}")]
    assert found == []


def test_records_of_rare_tables_are_imported_when_a_file_has_one(tmp_path: Path) -> None:
    starter = tmp_path / "room.toml"
    rare = {"energymodel.scenario.sweep_schema", "energymodel.scenario.envelope_schema"}
    write = "from energymodel.scenario.files import read_scenario, write_starter\n"
    without = modules_after(write + f"read_scenario(write_starter({str(starter)!r}, replace=True))")
    assert without & rare == set()
    starter.write_text(starter.read_text("utf-8") + '\n[sweep]\ntable = "all.csv"\n', "utf-8")
    found = modules_after(write + f"read_scenario({str(starter)!r})")
    assert found & rare == {"energymodel.scenario.sweep_schema"}


def test_importing_the_package_imports_nothing_else() -> None:
    assert own(modules_after("import energymodel")) == set()
    assert tops(modules_after("import energymodel")) & {"numpy", "pydantic", *SLOW} == set()
