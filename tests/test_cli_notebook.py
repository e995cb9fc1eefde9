"""`energymodel notebook DIR`: copies of the notebooks, and the way into JupyterLab."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest
import typer
from typer.testing import CliRunner, Result

from energymodel.cli import notebook as command
from energymodel.datafiles import shipped_folder
from energymodel.errors import EnergyModelError

NAMES = sorted(path.name for path in shipped_folder("notebooks").glob("*.ipynb"))

app = typer.Typer(add_completion=False, pretty_exceptions_enable=False, rich_markup_mode=None)
app.command()(command.notebook)


def _run(*arguments: object) -> Result:
    words = [str(one) for one in arguments]
    return CliRunner().invoke(app, [*words, "--no-open"])


def test_all_notebooks_are_copied_and_the_way_on_is_named(tmp_path: Path) -> None:
    result = _run(tmp_path / "mine")
    assert result.exit_code == 0, result.output
    assert sorted(path.name for path in (tmp_path / "mine").iterdir()) == NAMES
    assert "energymodel notebook " in result.output


def test_a_notebook_that_exists_is_kept_until_it_is_to_be_replaced(tmp_path: Path) -> None:
    own = tmp_path / NAMES[0]
    own.write_text("mine", "utf-8")
    kept = _run(tmp_path)
    assert own.read_text("utf-8") == "mine"
    assert f"Kept as they are (--replace renews them): {NAMES[0]}" in kept.output
    assert sorted(path.name for path in tmp_path.iterdir()) == NAMES
    renewed = _run(tmp_path, "--replace")
    assert "Kept" not in renewed.output
    assert own.read_bytes() == (shipped_folder("notebooks") / NAMES[0]).read_bytes()


@pytest.mark.parametrize("place", ["file", "none/inside"])
def test_a_place_that_is_no_folder_is_refused(tmp_path: Path, place: str) -> None:
    (tmp_path / "file").write_text("", "utf-8")
    result = _run(tmp_path / place)
    assert isinstance(result.exception, EnergyModelError)
    assert [path.name for path in tmp_path.iterdir()] == ["file"]


def test_without_the_extra_the_install_line_is_printed_with_exit_code_2(tmp_path: Path) -> None:
    code = (
        "import sys, importlib.util as util\n"
        "found = util.find_spec\n"
        "util.find_spec = lambda name, *more: None if name == 'jupyterlab' else found(name)\n"
        "sys.argv = ['energymodel', 'notebook', 'mine']\n"
        "from energymodel.cli.main import run\n"
        "run()\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], cwd=tmp_path, capture_output=True, text=True, check=False
    )
    assert done.returncode == 2
    assert "pip install '.[notebooks]'" in done.stderr
    assert "Traceback" not in done.stderr
    assert list(tmp_path.iterdir()) == []


@pytest.mark.slow
def test_a_server_that_cannot_start_ends_with_its_own_words(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(command, "_command", lambda *_, **__: [sys.executable, "-c", "1/0"])
    assert command.opened(tmp_path, browser=False) == 2
    assert "ZeroDivisionError" in capsys.readouterr().err
