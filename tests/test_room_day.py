"""Three days of a room: which days, which options, what the starts cost."""

from __future__ import annotations

import runpy
from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from energymodel.errors import EnergyModelError, InputError
from energymodel.report.numbers import Display
from energymodel.report.room_day.pair_words import pair_line
from energymodel.report.room_day.table import room_day_lines
from energymodel.scenario.files import read_scenario
from energymodel.study.room_day.room_case import RoomChoice, read_choice, room_cases
from energymodel.study.room_day.room_day import (
    DayKind,
    RoomDayResult,
    implied_cd,
    pick_days,
    room_day,
)
from energymodel.weather.year import Site, WeatherYear, year_of_table

_TOOLS = runpy.run_path(str(Path(__file__).with_name("scenario_text.py")))
BASE, changed = _TOOLS["BASE"], _TOOLS["changed"]
ROOM_ONLY = """
title = "One heater (invented)"
place = { weather = "greensboro-nc" }
[room]
indoor = { heating = "70 degF", cooling = "75 degF" }
heating = { ua = "170 Btu/(h degF)", balance_temperature = "60 degF" }
[price.electricity]
energy = 0.14
per = "kWh"
[[option]]
name = "Baseboard"
heating = { kind = "electric resistance" }
"""


@pytest.fixture(scope="module")
def demo() -> RoomDayResult:
    return room_day()


def _year(outdoor_c: np.ndarray) -> WeatherYear:
    index = pd.date_range("2023-01-01", periods=outdoor_c.size, freq="h")
    table = pd.DataFrame({"outdoor_c": outdoor_c, "relative_humidity_pct": 80.0}, index=index)
    site = Site(name="x", latitude_deg=40.0, longitude_deg=0.0, elevation_m=0.0, utc_offset_h=0.0)
    return year_of_table(table, site=site, kind="observed", source="invented")


def test_the_typical_day_parts_the_heat_of_the_year_in_halves() -> None:
    # days with loads 1, 2, ... 365: by hand half of 365 x 366/2 = 66,795 is passed on day 258
    daily = np.random.default_rng(3).permutation(np.arange(1.0, 366.0))
    days = pick_days(_year(np.repeat(15.0 - daily / 20.0, 24)), np.repeat(daily, 24))
    loads = {day.kind: daily[day.first_hour // 24] for day in days}
    assert loads == {DayKind.MILD: 142.0, DayKind.TYPICAL: 258.0, DayKind.COLDEST: 365.0}
    sums = np.arange(1.0, 366.0).cumsum() / 66_795.0
    assert sums[141] >= 0.15 > sums[140]
    assert sums[257] >= 0.50 > sums[256]


def test_the_demo_sets_an_inverter_beside_a_single_speed_unit_and_resistance(
    demo: RoomDayResult,
) -> None:
    assert [case.name for case in demo.cases.cases] == [
        "Inverter 12 kBtu/h, standard",
        "Single-speed heat pump, ductless split, 12 kBtu/h class (added)",
        "Electric baseboard",
    ]


def test_the_inverter_holds_the_room_where_the_on_off_unit_swings(demo: RoomDayResult) -> None:
    inverter, fixed, plain = demo.on(DayKind.TYPICAL)
    assert inverter.swing_k < 0.05
    assert inverter.starts_per_hour == 0.0
    # at least the dead band, at most the band and what a minute at full output adds
    band_k = inverter.case.choice.thermostat.dead_band_k
    rise_k = plain.heat_w.max() * 60.0 / plain.case.room.air_j_per_k
    for run in (fixed, plain):
        assert band_k <= run.swing_k < band_k + 2.0 * rise_k
    # thermostats of central systems make 1 to 6 starts an hour (common practice)
    assert 0.5 < fixed.starts_per_hour < 6.0
    assert inverter.electricity_kwh < fixed.electricity_kwh < plain.electricity_kwh


def test_the_day_takes_about_what_the_annual_run_gives_those_hours(demo: RoomDayResult) -> None:
    inverter, _, plain = demo.on(DayKind.TYPICAL)
    # the rest is heat that the structure keeps from the days before
    assert inverter.electricity_kwh == pytest.approx(inverter.annual_kwh, rel=0.03)
    assert plain.electricity_kwh == pytest.approx(plain.annual_kwh, rel=0.03)


def test_all_resistance_heat_is_counted_as_electricity(demo: RoomDayResult) -> None:
    for runs in demo.runs:
        assert runs[-1].electricity_kwh == pytest.approx(runs[-1].heat_kwh, rel=1e-12)


def test_a_unit_that_is_too_small_lets_the_room_fall_on_the_coldest_day(
    demo: RoomDayResult,
) -> None:
    inverter, fixed, _ = demo.on(DayKind.COLDEST)
    assert inverter.air_c.min() < inverter.set_point_c - 2.0
    assert fixed.air_c.min() > fixed.set_point_c - 1.5  # its strips help
    # below 5 degF it stands still (common practice for on/off units: 0 to 10 degF)
    assert 0.0 < fixed.backup_kwh < fixed.electricity_kwh


def test_the_day_stands_beside_the_degradation_of_the_annual_run(demo: RoomDayResult) -> None:
    _, fixed, plain = demo.on(DayKind.TYPICAL)
    # on/off unit of the catalogue: Cd 0.25, default of the federal procedure (from memory)
    assert fixed.annual_cd == 0.25
    assert fixed.implied_cd is not None
    assert 0.02 < fixed.implied_cd < 0.4
    assert plain.annual_cd is None
    assert plain.implied_cd is None


def test_implied_cd_turns_the_part_load_factor_round() -> None:
    # PLF = 1 - Cd (1 - X), 10 CFR 430 Subpart B, Appendix M1 (from memory): Cd 0.2, X 0.25
    lowest = np.full(240, 2000.0)
    asked = np.where(np.arange(240) % 60 < 20, 2000.0, 0.0)
    plf = 1.0 - 0.2 * (1.0 - 0.25)
    machine = np.where(asked > 0, 0.25 * 2000.0 * 3.0, 0.0)
    asked_for_plf = machine / plf
    assert implied_cd(machine, asked_for_plf, lowest) == pytest.approx(0.2, rel=1e-12)
    assert implied_cd(lowest, lowest, lowest) is None
    assert implied_cd(0.97 * lowest, lowest, lowest) is None


def test_a_longer_start_up_costs_more_by_about_its_length() -> None:
    short, long = (
        room_day(
            options=["Packaged through-wall heat pump"], choice=RoomChoice(start_up_tau_s=tau)
        ).on(DayKind.MILD)[0]
        for tau in (60.0, 90.0)
    )
    assert short.implied_cd is not None
    assert long.implied_cd is not None
    # Cd = 4 tau Nmax to first order: Henderson and Rengarajan 1996 (from memory)
    assert long.implied_cd / short.implied_cd == pytest.approx(1.5, rel=0.15)


def test_a_heavier_or_larger_room_starts_less_often() -> None:
    name = ["Electric baseboard"]
    small = room_day(options=name, choice=read_choice(area="380 ft2")).on(DayKind.TYPICAL)[0]
    large = room_day(options=name, choice=read_choice(area="900 ft2")).on(DayKind.TYPICAL)[0]
    assert large.starts_per_hour < 0.7 * small.starts_per_hour


def test_what_a_scenario_lacks_comes_from_the_catalogue(tmp_path: Path) -> None:
    file = tmp_path / "room.toml"
    file.write_text(ROOM_ONLY, "utf-8")
    cases = room_cases(read_scenario(file), (), RoomChoice())
    inverter, fixed, plain = cases.cases
    assert inverter.modulates
    assert fixed.pump is not None
    assert len(fixed.pump.performance.speeds) == 1
    assert plain.name == "Baseboard"
    sizes = [case.planned.heating.unit.table.size_class for case in (inverter, fixed)]  # type: ignore[union-attr]
    assert sizes[0] == sizes[1]
    # the floor area is not given either: heat loss over 2 W/(m2 K), common practice
    assert cases.area_m2 == pytest.approx(170.0 * 0.5275 / 2.0, rel=1e-3)
    assert any(one.name == "floor area" for one in cases.defaults)


FOUR_PUMPS = """
[place]
weather = "newark-nj-2013"
[room]
area = "240 ft2"
indoor = { heating = "70 degF", cooling = "75 degF" }
heating = { ua = "150 Btu/(h degF)", balance_temperature = "60 degF" }
[price.electricity]
energy = 0.18
per = "kWh"
"""
UNITS = {
    "Packaged": "packaged-heat-pump-12",
    "Inverter 9": "inverter-standard-9",
    "Inverter 12": "inverter-standard-12",
    "Inverter 24": "inverter-standard-24",
    "On/off 24": "single-speed-24",
}


def _pumps(folder: Path, *names: str) -> Path:
    heater = 'backup = { heater = { kind = "electric resistance" } }'
    entries = [
        f'[[option]]\nname = "{name}"\n'
        f'heating = {{ kind = "heat pump", unit = "{UNITS[name]}", {heater} }}\n'
        for name in names
    ]
    file = folder / "room.toml"
    file.write_text(FOUR_PUMPS + "".join(entries), "utf-8")
    return file


def test_the_on_off_unit_is_one_that_runs_and_the_inverter_the_nearest_in_size(
    tmp_path: Path,
) -> None:
    file = _pumps(tmp_path, "Packaged", "Inverter 9", "Inverter 12", "Inverter 24", "On/off 24")
    cases = room_cases(read_scenario(file), (), RoomChoice())
    assert [case.name for case in cases.cases][:2] == ["Inverter 24", "On/off 24"]
    pair = cases.pair
    assert pair is not None
    assert pair.fixed_runs
    # the packaged unit stops at 35 degF, the coldest hour of that year is 11 degF (computed)
    assert [one.name for one in pair.passed_over] == ["Packaged"]
    words = pair_line(pair, Display(us=True))
    assert (
        "nearest in size (24.0 and 24.0 kBtu/h); both run in all hours of a mild, a typical"
        in words
    )
    assert "Packaged stands still at 35 °F and below" in words


def test_for_a_unit_that_stands_still_in_the_cold_one_of_its_class_that_runs_is_added(
    tmp_path: Path,
) -> None:
    file = _pumps(tmp_path, "Inverter 9", "Inverter 12", "Packaged")
    cases = room_cases(read_scenario(file), (), RoomChoice())
    inverter, fixed = (case.name for case in cases.cases[:2])
    assert inverter == "Inverter 12"
    assert fixed == "Single-speed heat pump, ductless split, 12 kBtu/h class (added)"
    assert cases.pair is not None
    assert cases.pair.fixed_runs
    assert [one.name for one in cases.pair.passed_over] == ["Packaged"]


def test_the_demo_shows_on_off_running_and_not_a_unit_that_stands_still() -> None:
    cases = room_cases(read_scenario(), (), RoomChoice())
    assert cases.pair is not None
    assert cases.pair.fixed.key == "ductless-single-speed-12"
    # it stops at 5 degF; the coldest day of that year has hours below (computed)
    assert not cases.pair.fixed_runs
    assert [one.name for one in cases.pair.passed_over] == ["Packaged through-wall heat pump"]


def test_an_inverter_comes_from_the_catalogue_in_the_size_of_the_on_off_unit(
    tmp_path: Path,
) -> None:
    cases = room_cases(read_scenario(_pumps(tmp_path, "On/off 24")), (), RoomChoice())
    pair = cases.pair
    assert pair is not None
    assert pair.inverter.size_w == pytest.approx(pair.fixed.size_w, rel=0.01)
    assert "the scenario has no inverter; the catalogue's nearest" in pair_line(
        pair, Display(us=True)
    )


def test_backup_heat_in_the_difference_is_said_beside_it(tmp_path: Path) -> None:
    file = _pumps(tmp_path, "Inverter 12", "Packaged")
    result = room_day(file, options=("Inverter 12", "Packaged"))
    _, packaged = result.on(DayKind.TYPICAL)
    assert packaged.backup_kwh > 1.0
    answer, why, *_ = room_day_lines(result, Display(us=True))
    assert f"kWh, {packaged.backup_kwh:.1f} of it backup heat" in answer
    assert why == (
        f"Not all of the difference is on/off running: {packaged.backup_kwh:.1f} kWh of Packaged"
        " are backup heat, as it stands still at 35 °F and below."
    )


def test_without_backup_heat_on_that_day_nothing_is_taken_off_the_difference(
    tmp_path: Path,
) -> None:
    result = room_day(_pumps(tmp_path, "Inverter 24", "On/off 24"))
    assert all(run.backup_kwh < 0.05 for run in result.on(DayKind.TYPICAL)[:2])
    lines = " ".join(room_day_lines(result, Display(us=True)))
    assert "Not all of the difference" not in lines


@pytest.mark.parametrize(
    ("units", "area", "unit"), [("us", "1e20 ft2", "ft2"), ("si", "1e6 m2", "m2")]
)
def test_a_floor_far_too_large_for_the_heat_loss_is_refused(
    tmp_path: Path, units: str, area: str, unit: str
) -> None:
    file = _pumps(tmp_path, "Inverter 12", "Packaged")
    file.write_text(f'units = "{units}"\n' + file.read_text("utf-8"), "utf-8")
    with pytest.raises(InputError, match="far too large") as caught:
        room_cases(read_scenario(file), (), read_choice(area=area))
    assert caught.value.where == "--area"
    # 150 Btu/(h degF) = 79.1 W/K; over 0.1 W/(m2 K): 791 m2, 8,517 ft2 (computed)
    most = "8,517 ft2" if unit == "ft2" else "791 m2"
    assert most in caught.value.expected
    assert caught.value.remedy


def test_an_option_that_seals_the_room_has_a_room_of_its_own(tmp_path: Path) -> None:
    text = changed(('name = "Baseboard"', 'name = "Baseboard"\nload_factor = 0.5'), text=BASE)
    file = tmp_path / "room.toml"
    file.write_text(text, "utf-8")
    cases = room_cases(read_scenario(file), ["Baseboard", "Inverter"], RoomChoice())
    sealed, plain = (case.room for case in cases.cases)
    assert sealed.ua_w_per_k == pytest.approx(0.5 * plain.ua_w_per_k, rel=1e-12)


@pytest.mark.parametrize(
    ("names", "message"),
    [(["Inverter 12 kBtu/h"], "did you mean"), (["Nothing like it"], "there is no option")],
)
def test_a_name_that_no_option_has_is_refused(names: list[str], message: str) -> None:
    with pytest.raises(InputError, match=message):
        room_day(options=names)


def test_a_room_without_heating_is_refused(tmp_path: Path) -> None:
    text = changed(
        ("[room.heating]\ndesign_load = \"9.5 kBtu/h\"\ndesign_temperature = \"15 degF\"\n"
         "balance_temperature = \"60 degF\"\n", ""),
    )  # fmt: skip
    file = tmp_path / "room.toml"
    file.write_text(text, "utf-8")
    with pytest.raises(EnergyModelError, match="no heating load"):
        room_day(file)


@pytest.mark.parametrize(
    ("given", "message"),
    [
        ({"mass": "stone"}, "not a type of room"),
        ({"area": "0 ft2"}, "an area of 0 ft2"),
        ({"area": "380"}, "unit"),
        ({"dead_band": "20 K"}, "a dead band of 20 K"),
        ({"dead_band": "0 degF"}, "a dead band of 0 degF"),
    ],
)
def test_a_choice_that_no_room_has_is_refused(given: dict[str, str], message: str) -> None:
    with pytest.raises(EnergyModelError, match=message):
        read_choice(**given)


def test_the_limits_of_a_dead_band_are_told_in_the_unit_that_was_written() -> None:
    for text, most in (("0 degF", "at most 9 degF"), ("6 K", "at most 5 K")):
        with pytest.raises(InputError) as caught:
            read_choice(dead_band=text)
        assert caught.value.where == "--dead-band"
        assert most in caught.value.expected
        assert caught.value.remedy
