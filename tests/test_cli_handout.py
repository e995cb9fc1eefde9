"""`energymodel handout`: a PDF where it was asked for, and what to look at before it is given."""

from __future__ import annotations

import io
from pathlib import Path

import pytest
from pypdf import PdfReader
from typer.testing import CliRunner, Result

from energymodel.cli.main import app
from energymodel.datafiles import shipped_folder
from energymodel.errors import InputError

RUNNER = CliRunner()
DEMO = shipped_folder("data") / "scenarios" / "demo.toml"


def call(*arguments: object) -> Result:
    return RUNNER.invoke(app, ["handout", *map(str, arguments)])


def test_without_a_file_the_demo_is_written_with_the_names_given(tmp_path: Path) -> None:
    done = call("--out", tmp_path / "room.pdf", "--for", "A. Customer", "--by", "B. Engineer")
    assert done.exit_code == 0, done.output
    assert f"Written: {tmp_path / 'room.pdf'} (two pages)" in done.output
    assert "Prices without a date or a source: electricity, propane." in done.output
    reader = PdfReader(tmp_path / "room.pdf")
    text = reader.pages[0].extract_text()
    assert "Prepared for A. Customer" in text
    assert "Prepared by B. Engineer" in text
    assert [path.name for path in tmp_path.iterdir()] == ["room.pdf"]


def test_paper_units_and_language_can_be_chosen(tmp_path: Path) -> None:
    out = tmp_path / "room.pdf"
    done = call(DEMO, "--out", out, "--units", "si", "--language", "es", "--paper", "us-letter")
    assert done.exit_code == 0, done.output
    page = PdfReader(out).pages[0]
    assert float(page.mediabox.width) == 612.0  # ANSI Y14.1, 8.5 in
    text = page.extract_text()
    assert "La respuesta" in text
    assert "°C" in text
    assert "°F" not in text


def test_what_exists_is_kept_unless_told_otherwise(tmp_path: Path) -> None:
    out = tmp_path / "room.pdf"
    out.write_bytes(b"old")
    done = call("--out", out)
    assert isinstance(done.exception, InputError)
    assert "--replace" in str(done.exception)
    assert out.read_bytes() == b"old"
    assert call("--out", out, "--replace").exit_code == 0
    assert len(PdfReader(io.BytesIO(out.read_bytes())).pages) == 2


def test_the_path_is_checked_before_the_scenario_is_run(tmp_path: Path) -> None:
    done = call(tmp_path / "absent.toml", "--out", tmp_path / "room.txt")
    assert isinstance(done.exception, InputError)
    assert "ends in .pdf" in str(done.exception)


@pytest.mark.parametrize("arguments", [(), ("--out", "room.pdf", "--paper", "legal")])
def test_a_wrong_call_is_refused(arguments: tuple[str, ...]) -> None:
    assert call(*arguments).exit_code == 2


def test_a_character_that_cannot_be_printed_is_told(tmp_path: Path) -> None:
    done = call("--out", tmp_path / "room.pdf", "--for", "Fam. \U0001f525")
    assert done.exit_code == 0
    assert "no sign for U+1F525 (fire)" in done.output


def test_a_missing_present_option_is_told(tmp_path: Path) -> None:
    file = tmp_path / "room.toml"
    file.write_text(DEMO.read_text("utf-8").replace("present = true", ""), "utf-8")
    done = call(file, "--out", tmp_path / "room.pdf")
    assert "no saving and no payback is shown" in done.output
