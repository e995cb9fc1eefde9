"""Rows that no reader of tables can take end in one message, whichever command meets them."""

from __future__ import annotations

from pathlib import Path

import pytest

from energymodel.csv_lines import csv_rows
from energymodel.errors import EnergyModelError, InputError
from energymodel.tariffs.files import read_tariff_file
from energymodel.weather.files import read_weather

LONG = "x" * 200_000


def test_a_field_that_is_too_long_is_told_with_its_line() -> None:
    rows = csv_rows(["a,b", f"{LONG},1"], where="prices.csv")
    assert next(rows) == ["a", "b"]
    with pytest.raises(InputError, match="no row of a table") as caught:
        next(rows)
    assert caught.value.where == "prices.csv, line 2"


def test_quoted_fields_may_span_lines() -> None:
    assert list(csv_rows(['a,"b\n', 'c"\n'], where="x.csv")) == [["a", "b\nc"]]


@pytest.mark.parametrize("head", ["label,", "Time,", ""])
def test_weather_and_tariff_files_of_one_long_field_are_refused(tmp_path: Path, head: str) -> None:
    file = tmp_path / "odd.csv"
    file.write_text(f'{head}"{LONG}"\n1,2\n', "utf-8")
    with pytest.raises(EnergyModelError, match="odd"):
        read_tariff_file(file, zone="America/New_York")
    with pytest.raises(EnergyModelError, match="odd"):
        read_weather(file)
