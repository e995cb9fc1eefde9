"""The commented tariff: valid as it stands, each further key valid too, no key left out."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest
import typer
from typer.testing import CliRunner

from energymodel.cli import new as command
from energymodel.errors import InputError
from energymodel.tariffs.bill import prepare
from energymodel.tariffs.calendar import year_clock
from energymodel.tariffs.parsed_table import Table
from energymodel.tariffs.starter import tariff_starter
from energymodel.tariffs.tariff import Tariff
from energymodel.tariffs.toml_form import read_tariff, tariff_from_toml, tariff_to_toml

TEXT = tariff_starter()
ONE_BLOCK = {"export.blocks", "export.period.blocks"}
"""Asked for with every price; an export price has one block, so that they are refused."""


def _paragraphs() -> list[str]:
    """Lines with "#" and no space, run by run, without their "#"."""
    runs: list[list[str]] = [[]]
    for line in TEXT.splitlines():
        if re.match(r"#\S|#    \{|#\]", line):
            runs[-1].append(line[1:])
        elif runs[-1]:
            runs.append([])
    return ["\n".join(run) + "\n" for run in runs if run]


def _variants() -> list[str]:
    whole = [one for one in _paragraphs() if one.startswith("name =")]
    added = [one for one in _paragraphs() if not one.startswith("name =")]
    return [TEXT, *(f"{TEXT}\n{one}" for one in added), *whole]


def test_the_starter_is_valid_as_it_stands_and_bills_a_year() -> None:
    tariff = tariff_from_toml(TEXT)
    clock = year_clock(2026, zone="America/New_York")
    bill = prepare(tariff, clock).bill(np.ones(8760))
    assert bill.energy_kwh.sum() == pytest.approx(8760.0)
    assert (bill.total_by_period > 0).all()
    assert tariff_from_toml(tariff_to_toml(tariff)) == tariff


@pytest.mark.parametrize("number", range(1, len(_variants())))
def test_every_paragraph_in_comments_is_valid_when_its_marks_are_taken_off(number: int) -> None:
    assert isinstance(tariff_from_toml(_variants()[number]), Tariff)


def _any_window(places: set[str]) -> set[str]:
    """Windows are the same wherever they stand."""
    return {re.sub(r"^.*\.when\.", "when.", place) for place in places}


def _given(content: object, path: str = "") -> Iterator[str]:
    if isinstance(content, list):
        for one in content:
            yield from _given(one, path)
    elif isinstance(content, dict):
        for key, value in content.items():
            place = f"{path}.{key}" if path else key
            yield place
            yield from _given(value, place)


def test_every_key_that_the_reader_knows_is_in_the_starter(monkeypatch: pytest.MonkeyPatch) -> None:
    asked: set[str] = set()
    has = Table.has

    def noted(table: Table, key: str) -> bool:
        place = re.sub(r'\[\d+\]( \("[^"]*"\))?', "", table.path)
        asked.add(f"{place}.{key}" if place else key)
        return has(table, key)

    monkeypatch.setattr(Table, "has", noted)
    for text in _variants():
        tariff_from_toml(text)
    given = {place for text in _variants() for place in _given(tomllib.loads(text))}
    assert {"energy.period.when.hours", "demand.ratchet.look_back", "export.by_size.below"} <= asked
    assert _any_window(asked) - _any_window(given) == ONE_BLOCK


@pytest.fixture
def app() -> typer.Typer:
    made = typer.Typer(pretty_exceptions_enable=False, rich_markup_mode=None)
    made.command("new")(command.new)
    made.command("other")(lambda: None)
    return made


def test_new_writes_the_starter_and_never_over_a_file_unasked(
    app: typer.Typer, tmp_path: Path
) -> None:
    target = tmp_path / "rate.toml"
    done = CliRunner().invoke(app, ["new", str(target), "--tariff"])
    assert done.exit_code == 0, done.output
    assert "energymodel tariff" in done.stdout
    assert read_tariff(target) == tariff_from_toml(TEXT)
    again = CliRunner().invoke(app, ["new", str(target), "--tariff"])
    assert isinstance(again.exception, InputError)
    assert "this file exists" in str(again.exception)
    both = CliRunner().invoke(app, ["new", str(tmp_path / "b.toml"), "--tariff", "--house"])
    assert "two files" in str(both.exception)
