"""Hourly prices: from a file, on a clock, on a bill; and which version of a tariff is in force."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import numpy as np
import pytest

from energymodel.errors import InputError
from energymodel.tariffs.bill import prepare
from energymodel.tariffs.calendar import clock_from_utc, year_clock
from energymodel.tariffs.in_force import tariff_in_force
from energymodel.tariffs.price_series import prices_on, read_price_series
from energymodel.tariffs.toml_form import tariff_from_toml

ZONE = "America/New_York"
CLOCK = year_clock(2023, zone=ZONE)


def test_hourly_prices_are_those_of_the_series_with_factor_and_adder() -> None:
    text = 'name = "h"\n[[hourly]]\nname = "Market"\nfactor = 1.1\nadder = 0.02'
    series = np.random.default_rng(5).uniform(-0.02, 0.4, 8760)
    load = np.random.default_rng(6).gamma(1.5, 0.8, 8760)
    prepared = prepare(tariff_from_toml(text), CLOCK, series={"Market": series})
    assert prepared.bill(load).total == pytest.approx(float(load @ (series * 1.1 + 0.02)))
    with pytest.raises(InputError, match="prices by the hour are not given"):
        prepare(tariff_from_toml(text), CLOCK)
    with pytest.raises(InputError, match="a series of 100 prices"):
        prepare(tariff_from_toml(text), CLOCK, series={"Market": series[:100]})


def _file(folder: Path, rows: list[str]) -> Path:
    path = folder / "prices.csv"
    path.write_text("\n".join(["start,price", *rows]) + "\n")
    return path


@pytest.mark.parametrize("step_min", [60, 15])
def test_the_repeated_hour_takes_its_second_price_the_second_time(
    tmp_path: Path, step_min: int
) -> None:
    rows = ["2023-11-05 00:00,1", "2023-11-05 01:00,2", "2023-11-05 01:00,3", "2023-11-05 02:00,4"]
    utc = np.arange("2023-11-05T04:00", "2023-11-05T08:00", step_min, dtype="datetime64[m]")
    clock = clock_from_utc(utc, zone=ZONE, step_min=step_min)
    found = prices_on(read_price_series(_file(tmp_path, rows)), clock)
    assert found.tolist() == np.repeat([1.0, 2.0, 3.0, 4.0], 60 // step_min).tolist()


def test_a_year_of_prices_is_laid_on_its_hours_and_a_missing_hour_is_named(tmp_path: Path) -> None:
    rows = [f"{stamp},{number}" for number, stamp in enumerate(CLOCK.starts)]
    assert prices_on(read_price_series(_file(tmp_path, rows)), CLOCK).tolist() == list(range(8760))
    short = read_price_series(_file(tmp_path, rows[:-1]))
    with pytest.raises(InputError, match="no price for 2023-12-31T23:00"):
        prices_on(short, CLOCK)


@pytest.mark.parametrize(
    ("rows", "words"),
    [
        (["2023-01-01 00:30,1"], "whole hours"),
        (["2023-01-01 00:00,much"], "row 2"),
        (["2023-01-01 00:00"], "1 cells"),
        (["2023-01-01 00:00,inf"], "a number"),
    ],
)
def test_cells_that_cannot_be_read_are_refused_with_their_row(
    tmp_path: Path, rows: list[str], words: str
) -> None:
    with pytest.raises(InputError) as refused:
        read_price_series(_file(tmp_path, rows))
    assert words in str(refused.value)


def test_a_file_without_the_heading_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "prices.csv"
    path.write_text("hour,cents\n")
    with pytest.raises(InputError, match="the heading"):
        read_price_series(path)
    with pytest.raises(InputError, match="no such file"):
        read_price_series(tmp_path / "none.csv")


def test_the_version_in_force_is_the_latest_that_has_begun_and_not_expired() -> None:
    body = '[[energy]]\nname = "E"\nprice = 1\n'
    old = tariff_from_toml('name = "old"\nexpires = 2022-12-31\n' + body)
    new = tariff_from_toml('name = "new"\neffective = 2023-01-01\nexpires = 2023-06-30\n' + body)
    assert tariff_in_force([new, old], date(2022, 12, 31)) is old
    assert tariff_in_force([old, new], date(2023, 1, 1)) is new
    with pytest.raises(InputError, match="no version is in force on 2024-01-01"):
        tariff_in_force([old, new], date(2024, 1, 1))
