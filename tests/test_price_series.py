"""Hourly prices: from a file, on a clock, on a bill; and which version of a tariff is in force."""

from __future__ import annotations

from datetime import UTC, date
from pathlib import Path
from zoneinfo import ZoneInfo

import numpy as np
import pytest

from energymodel.errors import InputError
from energymodel.tariffs.bill import prepare
from energymodel.tariffs.calendar import clock_from_utc, year_clock
from energymodel.tariffs.emission_file import rates_on, read_emission_file
from energymodel.tariffs.hour_series import values_on
from energymodel.tariffs.in_force import tariff_in_force
from energymodel.tariffs.price_series import read_price_series
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
    found = values_on(read_price_series(_file(tmp_path, rows)), clock)
    assert found.tolist() == np.repeat([1.0, 2.0, 3.0, 4.0], 60 // step_min).tolist()


def test_a_year_of_prices_is_laid_on_its_hours_and_a_missing_hour_is_named(tmp_path: Path) -> None:
    rows = [f"{stamp},{number}" for number, stamp in enumerate(CLOCK.starts)]
    assert values_on(read_price_series(_file(tmp_path, rows)), CLOCK).tolist() == list(range(8760))
    short = read_price_series(_file(tmp_path, rows[:-1]))
    with pytest.raises(InputError, match="no price for 2023-12-31T23:00"):
        values_on(short, CLOCK)


def _whole_year(form: str) -> list[str]:
    """Hour n of 2023 in New York costs n, written in one of three forms."""
    utc = np.arange("2023-01-01T05:00", "2024-01-01T05:00", 60, dtype="datetime64[m]")
    if form == "Z":
        return [f"{stamp}Z,{number}" for number, stamp in enumerate(utc)]
    if form == "standard":
        return [f"{stamp}-05:00,{n}" for n, stamp in enumerate(utc - np.timedelta64(5, "h"))]
    zone = ZoneInfo(ZONE)
    local = [stamp.replace(tzinfo=UTC).astimezone(zone) for stamp in utc.astype(object)]
    return [f"{stamp.isoformat()},{number}" for number, stamp in enumerate(local)]


@pytest.mark.parametrize("form", ["Z", "standard", "local"])
@pytest.mark.filterwarnings("error")
def test_offsets_from_utc_are_honoured_to_the_hour_over_both_clock_changes(
    tmp_path: Path, form: str
) -> None:
    # analytic: row n of a year of hours is hour n of the year, however its moment is written
    file = _file(tmp_path, _whole_year(form))
    assert values_on(read_price_series(file), CLOCK).tolist() == list(range(8760))
    rates = tmp_path / "rates.csv"
    rates.write_text("\n".join(["start,rate", *_whole_year(form)]) + "\n")
    read = read_emission_file(rates)
    assert (read.year, rates_on(read, CLOCK).tolist()) == (2023, list(range(8760)))


def test_hours_with_an_offset_may_stand_in_any_order(tmp_path: Path) -> None:
    rows = _whole_year("local")
    mixed = read_price_series(_file(tmp_path, [*rows[4000:], *rows[:4000]]))
    assert values_on(mixed, CLOCK).tolist() == list(range(8760))


def test_offsets_need_the_zone_of_the_place_and_stand_on_every_row(tmp_path: Path) -> None:
    series = read_price_series(_file(tmp_path, _whole_year("Z")))
    with pytest.raises(InputError, match="time zone of the place is not known"):
        values_on(series, year_clock(2023, zone=None))
    with pytest.raises(InputError, match="begin inside the hours of Asia/Kolkata"):
        values_on(series, year_clock(2023, zone="Asia/Kolkata"))
    mixed = ["2023-01-01T00:00-05:00,1", "2023-01-01 01:00,1"]
    with pytest.raises(InputError, match="row 3: some starts have an offset"):
        read_price_series(_file(tmp_path, mixed))


@pytest.mark.parametrize("zone", [ZONE, None])
def test_an_hour_that_stands_twice_is_refused_with_its_row(
    tmp_path: Path, zone: str | None
) -> None:
    rows = ["2023-07-05 00:00,1", "2023-07-05 01:00,2", "2023-07-05 01:00,9"]
    clock = year_clock(2023, zone=zone)
    with pytest.raises(InputError, match="row 4: the hour 2023-07-05T01:00 stands more often"):
        values_on(read_price_series(_file(tmp_path, rows)), clock)


@pytest.mark.parametrize(
    "rows",
    [
        ["2023-07-05T00:00Z,1", "2023-07-04T20:00-04:00,1"],
        ["2023-11-05 01:00,1", "2023-11-05 01:00,2", "2023-11-05 01:00,3"],
        ["2023-07-05 00:00,1", "2023-07-05 00:00,2", "2023-07-05 01:00,3", "2023-07-05 01:00,4"],
    ],
)
def test_repeats_that_no_clock_shows_are_refused_on_reading(
    tmp_path: Path, rows: list[str]
) -> None:
    with pytest.raises(InputError, match="stands more often"):
        read_price_series(_file(tmp_path, rows))


def test_hours_of_standard_time_are_told_apart_by_the_hour_that_clocks_skip(
    tmp_path: Path,
) -> None:
    stamps = np.arange("2023-01-01T00", "2024-01-01T00", dtype="datetime64[h]")
    naive = [f"{str(stamp).replace('T', ' ')}:00,1" for stamp in stamps]
    with pytest.raises(InputError) as refused:
        values_on(read_price_series(_file(tmp_path, naive)), CLOCK)
    assert "skip the hour 2023-03-12T02:00" in str(refused.value)
    assert "with its offset from UTC, such as 2023-01-01T00:00-05:00" in str(refused.value)


def test_a_repeated_hour_that_stands_once_is_told_with_cause_and_remedy(tmp_path: Path) -> None:
    rows = [f"{stamp},1" for stamp in np.unique(CLOCK.starts)]
    assert len(rows) == 8759
    with pytest.raises(InputError) as refused:
        values_on(read_price_series(_file(tmp_path, rows)), CLOCK)
    assert "2023-11-05T01:00 comes twice on that day" in str(refused.value)
    assert "two rows of 2023-11-05 01:00" in str(refused.value)
    path = tmp_path / "rates.csv"
    path.write_text("\n".join(["start,rate", *rows]) + "\n")
    with pytest.raises(InputError) as refused:
        rates_on(read_emission_file(path), CLOCK)
    assert "price" not in str(refused.value)
    assert "has only one rate" in str(refused.value)


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
