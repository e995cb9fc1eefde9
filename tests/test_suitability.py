"""Which units fit: the same room in three climates, a server room, a cold spell, the order."""

from __future__ import annotations

import runpy
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from energymodel.errors import InputError
from energymodel.report.suitability.answer import answer_lines
from energymodel.report.suitability.table import basis_lines
from energymodel.report.suitability.units import SiteUnits
from energymodel.report.suitability.words import reasons, verdict_words
from energymodel.scenario.catalogue import catalogue_keys
from energymodel.study.comparison.compare import compare
from energymodel.study.suitability.suitability import Suitability, suitability
from energymodel.study.suitability.verdict import Verdict, criteria
from energymodel.units import BTU_PER_WH
from energymodel.weather.station_cache import hours_file, write_hours
from energymodel.weather.station_hours import HourSource, StationHours

ROOMS: Any = runpy.run_path(str(Path(__file__).with_name("suitability_rooms.py")))
STATIONS: Any = runpy.run_path(str(Path(__file__).with_name("station_server.py")))
US = SiteUnits(us=True)


@pytest.fixture(scope="module")
def greensboro() -> Suitability:
    return suitability()


@pytest.fixture(scope="module")
def sand_point(tmp_path_factory: pytest.TempPathFactory) -> Suitability:
    text = ROOMS["place"]("sand-point-ak") + ROOMS["DEMO_ROOM"]
    return suitability(ROOMS["write"](tmp_path_factory.mktemp("sand"), text))


@pytest.fixture(scope="module")
def cold(tmp_path_factory: pytest.TempPathFactory) -> Suitability:
    text = ROOMS["DEMO_ROOM"].replace('"15 degF"', '"-12 degF"')
    return suitability(ROOMS["write_cold"](tmp_path_factory.mktemp("cold"), text))


@pytest.fixture(scope="module")
def server(tmp_path_factory: pytest.TempPathFactory) -> Suitability:
    table = """
[site.unit.inverter-standard-12]
low_ambient_cooling = "-28 degF"
[site.unit.inverter-cold-climate-12]
low_ambient_cooling = "-4 degF"
"""
    text = ROOMS["SERVER_ROOM"] + table
    return suitability(ROOMS["write_cold"](tmp_path_factory.mktemp("server"), text))


def small(folder: Path, text: str, *units: str) -> Suitability:
    """One or two candidates in Greensboro."""
    room = ROOMS["place"]("greensboro-nc") + ROOMS["DEMO_ROOM"] + text
    return suitability(ROOMS["write"](folder, room), units=units)


def verdicts(found: Suitability) -> dict[str, Verdict]:
    return {fit.candidate.label: fit.verdict for fit in found.fits}


def words(found: Suitability, label: str) -> str:
    fit = next(fit for fit in found.fits if fit.candidate.label == label)
    return "; ".join(one.text for one in reasons(fit, found, US))


# --- the demo room in three climates ------------------------------------------------------------


def test_every_unit_of_the_catalogue_is_judged_with_a_number(greensboro):
    assert {fit.candidate.key for fit in greensboro.fits} == set(catalogue_keys())
    for fit in greensboro.fits:
        for one in reasons(fit, greensboro, US):
            if one.grade.name in ("GOOD", "BAD"):
                assert any(letter.isdigit() for letter in one.text), one.text


def test_in_greensboro_the_version_decides_the_size(greensboro):
    # 15 F design, coldest hour of the file 1.94 F (computed): standard units reach -4 F.
    found = verdicts(greensboro)
    assert found["inverter-cold-climate-9"] is Verdict.FITS
    # 97 % of the sheet's 9.5 kBtu/h (computed): enough once gains are counted.
    assert found["inverter-standard-12"] is Verdict.GAINS
    assert found["inverter-standard-9"] is Verdict.BACKUP
    assert found["inverter-cold-climate-12"] is found["inverter-standard-18"] is Verdict.LARGER
    assert found["packaged-heat-pump-12"] is Verdict.STOPS
    assert found["window-8"] is Verdict.COOLS_ONLY
    lines = answer_lines(greensboro, US)
    assert lines[0].startswith("Fits: inverter-cold-climate-9 (142 % of the heating load at 15 °F")
    assert any("0 h at or below 0 °F, -4 °F" in line for line in lines)
    assert any("The standard version is enough" in line for line in lines)


def test_a_typical_year_is_said_to_be_too_mild_where_the_margin_is_small(greensboro):
    # 1.94 F is 1.1 K above 0 F and 3.3 K above -4 F; typical years are 2 to 3 K too mild.
    (line,) = [one for one in answer_lines(greensboro, US) if one.startswith("Version for heating")]
    assert "real cold nights go below those of a typical year" in line
    assert "heats to -4 °F or lower" in line
    assert any(note.topic == "weather" for note in greensboro.notices)


def test_at_sand_point_the_same_units_fit_and_nothing_is_short(sand_point):
    # Coldest hour of the file 12.92 F (computed).
    suited = [fit.candidate.key for fit in sand_point.suited]
    assert suited == ["inverter-cold-climate-9", "inverter-standard-12"]
    assert all(fit.heating.worst.short.hours == 0 for fit in sand_point.suited)
    # 15 + 224 + 475 + 542 + 1,097 hours as read below 35 F in the 5 F bins (computed).
    packaged = next(one for one in sand_point.fits if one.candidate.key == "packaged-heat-pump-12")
    assert packaged.heating is not None
    assert packaged.heating.below_h == pytest.approx(15 + 224 + 475 + 542 + 1097, abs=5)
    text = " ".join(answer_lines(sand_point, US))
    assert "real cold nights" not in text  # 13 F leaves more than 3 K to every split's limit


def test_the_synthetic_cold_year_is_cold():
    fahrenheit = ROOMS["cold_hours_c"]() * 1.8 + 32.0
    assert (fahrenheit < 5.0).sum() >= 100
    assert fahrenheit.min() < -15.0


def test_in_a_cold_inland_year_every_version_stops_and_needs_backup(cold):
    assert cold.suited == ()
    best = cold.fits[0]
    assert best.candidate.key == "inverter-cold-climate-12"
    assert best.verdict is Verdict.BACKUP
    limit_f = -15.0
    below = int((ROOMS["cold_hours_c"]() * 1.8 + 32.0 <= limit_f).sum())
    assert best.heating is not None
    assert best.heating.below_h == below
    spell = best.heating.worst.spell
    assert spell is not None
    assert spell.begins in ("15 January", "16 January", "17 January")
    lines = answer_lines(cold, US)
    assert lines[0].startswith("With backup heat: inverter-cold-climate-12.")
    assert any("Every version stops here at times" in line for line in lines)
    assert "Electric baseboard, if it stays" in words(cold, "inverter-cold-climate-12")


def test_a_cold_climate_version_misses_less_heat_than_a_standard_one_of_its_size(cold):
    by_key = {fit.candidate.key: fit for fit in cold.fits}
    for size in (9, 12, 18, 24):
        pair = [by_key[f"inverter-{kind}-{size}"].heating for kind in ("cold-climate", "standard")]
        assert pair[0].worst.short.energy_kwh < pair[1].worst.short.energy_kwh


# --- cooling in cold weather --------------------------------------------------------------------


def test_a_server_room_needs_the_version_whose_limit_no_hour_reaches(server):
    found = verdicts(server)
    assert found["inverter-standard-12 (low-ambient)"] is Verdict.FITS
    assert server.fits[0].candidate.label == "inverter-standard-12 (low-ambient)"
    assert found["inverter-standard-12"] is Verdict.STOPS_COOLING
    assert found["inverter-cold-climate-12 (low-ambient)"] is Verdict.STOPS_COOLING
    cold_f = ROOMS["cold_hours_c"]() * 1.8 + 32.0
    at_20 = int((cold_f <= 20.0).sum())
    standard = next(fit for fit in server.fits if fit.candidate.label == "inverter-standard-12")
    assert standard.cold is not None
    assert standard.cold.hours == standard.cooling.below_h == at_20
    text = " ".join(answer_lines(server, US))
    assert f"{at_20:,} h at or below 20 °F" in text
    assert "It takes a version that cools to -28 °F" in text
    assert "a second source" in text


def test_in_a_server_room_one_hour_is_too_much(tmp_path):
    table = '[site.unit.inverter-standard-12]\nlow_ambient_cooling = "-24 degF"\n'
    file = ROOMS["write_cold"](tmp_path, ROOMS["SERVER_ROOM"] + table)
    found = suitability(file, units=["inverter-standard-12"])
    hours = int((ROOMS["cold_hours_c"]() * 1.8 + 32.0 <= -24.0).sum())
    assert 0 < hours < 10
    best = found.fits[0]
    assert best.candidate.low_ambient
    assert best.cooling is not None
    assert best.cooling.carries  # within half a percent of the year's load, and still not enough
    assert best.cooling.below_h == hours
    assert best.verdict is Verdict.STOPS_COOLING


# --- years --------------------------------------------------------------------------------------


def test_real_years_that_the_scenario_names_are_looked_at_and_the_worst_decides(tmp_path):
    found = small(tmp_path, '[ranges]\nweather_years = ["newark-nj-2013"]\n', "inverter-standard-9")
    assert [year.year_label for year in found.years.years] == ["typical year", "2013"]
    heating = found.fits[0].heating
    assert heating is not None
    short = [year.short.energy_kwh for year in heating.years]
    assert heating.worst.short.energy_kwh == max(short)
    assert all(
        note.topic != "weather" or "only a typical" not in note.text for note in found.notices
    )


def test_every_stored_year_of_a_fetched_station_is_looked_at(tmp_path, monkeypatch):
    station = STATIONS["NEWARK"]
    monkeypatch.setenv("ENERGYMODEL_CACHE", str(tmp_path))
    for year in (2012, 2013, 2014):  # invented hours; 2014 lacks its last evening
        first, last = STATIONS["HOUR"][2012] if year == 2012 else STATIONS["HOUR"][year], None
        last = first + (8784 if year == 2012 else 8760)
        hour = np.arange(first, last, dtype=np.int64)
        hours = StationHours(
            station=station,
            utc_year=year,
            address="http://127.0.0.1/",
            fetched_at=datetime(2020, 1, 1, tzinfo=UTC),
            library="meteostat 2.1.5",
            sources=(HourSource(name="isd_lite", model=False, licence="CC0", credit=""),),
            hour_utc=hour,
            outdoor_c=STATIONS["invented_c"](hour),
            outdoor_source=("isd_lite",) * hour.size,
            relative_humidity_pct=np.full(hour.size, 60.0),
            humidity_source=("isd_lite",) * hour.size,
        )
        write_hours(hours_file(tmp_path, station.id, year), hours)
    text = ROOMS["place"](f"station {station.id} 2013") + ROOMS["DEMO_ROOM"]
    found = suitability(ROOMS["write"](tmp_path, text), units=["inverter-standard-12"])
    assert [year.year_label for year in found.years.years] == ["2013", "2012"]
    left_out = [note.text for note in found.notices if "is left out" in note.text]
    assert len(left_out) == 1
    assert left_out[0].startswith(f"2014 of station {station.id} is left out")


# --- the order of the list ----------------------------------------------------------------------


def test_the_list_follows_its_stated_criteria_one_after_the_other(greensboro):
    rules = [rule for _, rule in criteria(greensboro.asked)]
    keys = [tuple(rule(fit) for rule in rules) for fit in greensboro.fits]
    assert keys == sorted(keys)
    assert len({fit.candidate.label for fit in greensboro.fits}) == len(greensboro.fits)


def sunroom(folder: Path, *units: str) -> Suitability:
    """A room in Newark, 2013, whose heat-loss sheet says 9 kBtu/h at 10 F."""
    room = ROOMS["DEMO_ROOM"].replace('"9.5 kBtu/h"', '"9 kBtu/h"').replace("15 degF", "10 degF")
    room = room.replace('"7 kBtu/h"', '"8 kBtu/h"').replace("68 degF", "66 degF")
    file = ROOMS["write"](folder, ROOMS["place"]("newark-nj-2013") + room)
    return suitability(file, units=units)


def test_a_unit_too_large_at_its_lowest_output_stands_behind_those_that_carry_the_loads(tmp_path):
    trio = ("single-speed-36", "inverter-standard-9", "inverter-cold-climate-9")
    found = sunroom(tmp_path, *trio)
    assert [fit.candidate.key for fit in found.fits] == [*reversed(trio)]
    nearest, backed, large = found.fits
    assert nearest.verdict is Verdict.BEYOND
    assert not any(one.short_at_design for one in nearest.services)
    assert backed.verdict is Verdict.BACKUP
    assert large.oversized
    assert all(one.carries for one in large.services)


def test_the_answer_is_true_of_the_rows_it_stands_above(tmp_path):
    found = sunroom(tmp_path, "single-speed-36", "inverter-standard-9", "inverter-cold-climate-9")
    answer = answer_lines(found, US)[0]
    assert answer.startswith(f"Nearest: {found.fits[0].candidate.label} (")
    assert found.leaders == found.fits[:1]
    # one row does carry the load: the answer may not say that none does
    assert "No unit of the list carries" not in answer
    assert "single-speed-36 carries the load alone, but is judged: larger than needed (" in answer
    without = sunroom(tmp_path, "inverter-standard-9", "inverter-cold-climate-9")
    assert "No unit of the list carries the load alone." in answer_lines(without, US)[0]


def test_of_two_that_need_little_backup_the_one_that_cycles_less_stands_first(tmp_path):
    found = sunroom(tmp_path, "single-speed-36", "inverter-standard-9")
    assert answer_lines(found, US)[0].startswith("With backup heat: inverter-standard-9. single-")
    assert [fit.verdict for fit in found.fits] == [Verdict.BACKUP, Verdict.LARGER]


def test_a_verdict_with_gains_says_what_is_left_of_the_sheets_load_at_night(tmp_path):
    found = sunroom(tmp_path, "inverter-standard-12", "inverter-cold-climate-12")
    first, second = found.fits
    heating = second.heating
    assert heating is not None
    # 9 kBtu/h over 60 K of degF, less gains down to a balance of 60 degF: 9 x 50 / 60 = 7.5.
    assert heating.design_load_w == pytest.approx(heating.sheet_load_w * 50.0 / 60.0, rel=1e-12)
    assert heating.sheet_load_w == pytest.approx(9000.0 / BTU_PER_WH, rel=1e-12)
    assert first.verdict is Verdict.FITS
    assert second.verdict is Verdict.GAINS
    share = f"{100.0 * heating.design_output_w / heating.sheet_load_w:.0f} % of the sheet's"
    assert verdict_words(second) == f"fits with gains counted; {share} load"
    assert f"with gains; {share} 9.0" in words(found, "inverter-standard-12")
    fits, gains = answer_lines(found, US)[:2]
    assert fits.startswith("Fits: inverter-cold-climate-12")
    assert gains.startswith("Fits with gains counted (at night there is no sun): inverter-standard")
    assert f"{share} 9.0 kBtu/h" in gains
    assert (
        "9.0 kBtu/h at 10 °F by the heat-loss sheet, 7.5 with gains counted"
        in (basis_lines(found, US)[1])
    )


def test_a_metered_load_has_no_sheet_beside_it(tmp_path):
    room = ROOMS["DEMO_ROOM"].replace("[room.cooling]", 'gains = "included"\n[room.cooling]')
    file = ROOMS["write"](tmp_path, ROOMS["place"]("newark-nj-2013") + room)
    found = suitability(file, units=["inverter-standard-12"])
    heating = found.fits[0].heating
    assert heating is not None
    assert not heating.has_sheet
    assert heating.sheet_load_w == heating.design_load_w
    assert "sheet" not in " ".join([*basis_lines(found, US), *answer_lines(found, US)])
    assert found.fits[0].verdict is not Verdict.GAINS


def test_yearly_costs_are_those_of_the_comparison(greensboro):
    outcomes = {one.name: one for one in compare().outcomes}
    by_key = {fit.candidate.key: fit for fit in greensboro.fits}
    plain = outcomes["Inverter 12 kBtu/h, cold-climate"]
    cost = by_key["inverter-cold-climate-12"].cost
    # Carries every hour, so the backup that the candidate has and the option lacks never runs.
    assert cost is not None
    assert cost.total == pytest.approx(sum(plain.service_cost.values()), rel=1e-9)
    assert greensboro.panel_cost is not None
    baseboard = outcomes["Electric baseboard"].service_cost["heating"]
    assert greensboro.panel_cost.heating == pytest.approx(baseboard, rel=1e-9)


def test_without_a_price_of_electricity_the_list_stands_without_costs(tmp_path):
    text = ROOMS["place"]("greensboro-nc") + ROOMS["DEMO_ROOM"]
    text = text.replace("[price.electricity]", "[price.propane]").replace('"kWh"', '"gallon"')
    text = text.replace(
        '{ kind = "electric resistance" }',
        '{ kind = "room heater", fuel = "propane", afue = 0.8 }',
    )
    found = suitability(ROOMS["write"](tmp_path, text), units=["inverter-standard-12"])
    assert found.fits[0].cost is None
    assert found.fits[0].verdict is Verdict.GAINS


def test_a_unit_that_does_not_exist_is_refused_with_the_nearest_ones():
    with pytest.raises(InputError, match="there is no unit") as caught:
        suitability(units=["inverter-standart-12"])
    assert "inverter-standard-12" in caught.value.remedy
