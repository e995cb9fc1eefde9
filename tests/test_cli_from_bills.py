"""`energymodel from-bills`: the house from its readings, each mess by name, and later checks."""

from __future__ import annotations

import time
from collections.abc import Callable, Sequence
from datetime import date
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
import typer
from typer.testing import CliRunner

from energymodel.arrays import Array
from energymodel.cli.from_bills import from_bills
from energymodel.datafiles import shipped_folder
from energymodel.errors import EnergyModelError
from energymodel.scenario.catalogue import catalogue_unit
from energymodel.scenario.files import read_scenario
from energymodel.study.comparison.compare import compare
from energymodel.study.house.after_check import power_of_unit
from energymodel.study.house.period_weather import DailyWeather, daily_weather
from energymodel.units import KWH_PER_THERM, btu_h_from_w
from energymodel.weather.library import shipped_year

WEATHER = ("--weather", "newark-nj-2013")
FURNACE = ("--efficiency", "0.80", "--ducts", "0.85", "--design-temperature", "14 degF")
UA_W_PER_K, BALANCE_C, USEFUL, BASE_KWH = 150.0, 15.0, 0.80 * 0.85, 11.0
"""The invented house that all readings here are made from."""
PUMP = "inverter-cold-climate-18"
READ_DAYS = (
    "2013-01-03 2013-02-05 2013-03-05 2013-04-04 2013-05-03 2013-06-04 2013-07-05 2013-08-02 "
    "2013-09-04 2013-10-03 2013-11-01 2013-12-04 2013-12-31"
)

app = typer.Typer(add_completion=False, pretty_exceptions_enable=False, rich_markup_mode=None)
app.command()(from_bills)
STRETCHES = list(pairwise(date.fromisoformat(day) for day in READ_DAYS.split()))


@pytest.fixture(scope="module")
def weather() -> DailyWeather:
    return daily_weather([shipped_year("newark-nj-2013")])


def hours_of(weather: DailyWeather, days: tuple[date, date], what: str = "outdoor_c") -> Array:
    start = (days[0] - weather.first_day).days
    values: Array = getattr(weather, what)
    return values[start : start + (days[1] - days[0]).days]


def therms(weather: DailyWeather, *, ua_w_per_k: float = UA_W_PER_K, seed: int = 1) -> list[float]:
    random = np.random.default_rng([14, seed])
    found = []
    for days in STRETCHES:
        outdoor_c = hours_of(weather, days)
        heat = ua_w_per_k / 1000 * np.maximum(BALANCE_C - outdoor_c, 0.0).sum() / USEFUL
        kwh = (heat + BASE_KWH * len(outdoor_c)) * (1.0 + 0.03 * random.normal())
        found.append(float(kwh / KWH_PER_THERM))
    return found


def rows(amounts: Sequence[float], *, digits: int = 1) -> list[str]:
    return [
        f"{first},{last},{amount:.{digits}f}"
        for (first, last), amount in zip(STRETCHES, amounts, strict=True)
    ]


def listed(path: Path, lines: Sequence[str], head: str = "from,to,use (therm)") -> Path:
    path.write_text("\n".join([head, *lines]) + "\n", "utf-8")
    return path


@pytest.fixture(scope="module")
def gas(weather: DailyWeather, tmp_path_factory: pytest.TempPathFactory) -> Path:
    return listed(tmp_path_factory.mktemp("bills") / "gas.csv", rows(therms(weather)))


def printed(*arguments: object) -> str:
    words = [str(one) for one in arguments]
    result = CliRunner().invoke(app, [*words, *WEATHER], catch_exceptions=False)
    assert result.exit_code == 0, result.output
    assert max(len(line) for line in result.output.splitlines()) <= 100
    return " ".join(result.output.split())


def refused(*arguments: object) -> str:
    words = [str(one) for one in arguments]
    result = CliRunner().invoke(app, [*words, *WEATHER])
    assert isinstance(result.exception, EnergyModelError), result.output
    return f"{result.output} {result.exception}"


def test_the_load_at_design_stands_first_with_its_band_sizes_and_the_rule_of_thumb(
    gas: Path,
) -> None:
    text = printed(gas, *FURNACE, "--area", "1500 ft2")
    true = btu_h_from_w(UA_W_PER_K * (BALANCE_C + 10.0)) / 1000.0  # 14 degF, analytic
    head = text.partition("Heating load at 14 °F: about ")[2]
    likely = float(head.split()[0])
    low, high = (float(word.strip("(),")) for word in head.partition("(")[2].split()[:3:2])
    assert low < true < high
    assert likely == pytest.approx(true, rel=0.1)
    for part in (
        "gas.csv (natural gas): accepted",
        "heating degree-days taken",
        "limit 25 %: kept (ASHRAE Guideline 14",
        "Base use by method, therm/day: fit",
        "Inverter heat pump, cold-climate, 12 kBtu/h class",
        "medium 60",  # 5 Btu/h per ft3 x 1500 ft2 x 8 ft, trade shortcut (quoted)
        "Use in the weather of 2013: about",
        "is not confirmed: --bill-line",
    ):
        assert part in text


def test_a_folder_of_twelve_single_bills_gives_load_line_band_and_scenario_in_two_seconds(
    weather: DailyWeather, tmp_path: Path
) -> None:
    folder, out = tmp_path / "bills", tmp_path / "house.toml"
    folder.mkdir()
    for number, line in enumerate(rows(therms(weather))):
        first, last, amount = line.split(",")
        american = [f"{day[5:7]}/{day[8:]}/{day[:4]}" for day in (first, last)]
        listed(folder / f"gas-{number:02}.csv", [",".join([*american, amount])])
    took = []
    for _ in range(2):
        start = time.process_time()
        text = printed(folder, *FURNACE, "--out", out, "--replace")
        took.append(time.process_time() - start)
    assert min(took) < 2.0  # processor time, so that a busy machine does not count
    assert "12 files together (natural gas): accepted" in text
    content = read_scenario(out).content
    assert content.room.heating is not None
    assert content.room.heating.gains == "included"
    assert content.room.heating.design_load == pytest.approx(3750.0, rel=0.1)  # analytic
    assert "Band of the design load" in out.read_text("utf-8")


def test_the_scenario_runs_and_says_which_prices_are_placeholders(
    gas: Path, tmp_path: Path
) -> None:
    out = tmp_path / "house.toml"
    text = printed(gas, *FURNACE, "--out", out, "--fuel-price", "1.28", "--normal", "greensboro-nc")
    assert "Next: energymodel compare" in text
    comparison = compare(out)
    assert comparison.present is not None
    written = out.read_text("utf-8")
    assert written.count("placeholder, replace it") == 1
    # kWh of gas = load / (0.80 x 0.85): the load was read off the bills with these two
    load = comparison.present.result.total("heating_load_kwh")
    fuel = comparison.present.energy_kwh["natural gas"]
    assert fuel == pytest.approx(load / USEFUL, rel=1e-6)
    assert "exists" in refused(gas, *FURNACE, "--out", out)


# user needs, messes M13 M17 M18: what the importer must do with bills, by name
MESSES: tuple[tuple[str, Callable[[list[str]], tuple[str, list[str]]], str], ...] = (
    (
        "dollars are no energy",
        lambda lines: ("from,to,amount due ($)", lines),
        "money, which is not energy",
    ),
    (
        "equal payments hide the use",
        lambda lines: ("from,to,use (therm)", [f"{one.rpartition(',')[0]},85.0" for one in lines]),
        "equal-payment plan",
    ),
    (
        "overlapping bills",
        lambda lines: ("from,to,use (therm)", [*lines[:2], lines[1].replace("02-05", "02-20", 1)]),
        "2013-02-20 to 2013-03-04 overlaps 2013-02-05 to 2013-03-04",
    ),
    ("no unit", lambda lines: ("from,to,use", lines), "no unit"),
    (
        "mostly estimates",
        lambda lines: (
            "from,to,use (therm),read",
            [f"{one},{'A' if at % 3 == 2 else 'E'}" for at, one in enumerate(lines)],
        ),
        "4 actual periods of natural gas after merging 8 estimated ones are too few",
    ),
    (
        "winter only",
        lambda lines: ("from,to,use (therm)", [*lines[:3], *lines[9:]]),
        "give no heating load line: none of them is warm enough",
    ),
    (
        "dates spoiled by a spreadsheet",
        lambda lines: (
            "from,to,use (therm)",
            [*lines[:6], *(x.replace("-", "/") for x in lines[6:])],
        ),
        "two formats",
    ),
)


@pytest.mark.parametrize(("name", "spoil", "words"), MESSES, ids=[one[0] for one in MESSES])
def test_a_mess_that_cannot_be_repaired_is_rejected_and_named(
    name: str,
    spoil: Callable[[list[str]], tuple[str, list[str]]],
    words: str,
    weather: DailyWeather,
    tmp_path: Path,
) -> None:
    head, lines = spoil(rows(therms(weather)))
    path = listed(tmp_path / "gas.csv", lines, head)
    assert words in " ".join(refused(path, *FURNACE).split()), name


def test_estimates_gaps_and_uncovered_days_are_repairs_that_are_listed(
    weather: DailyWeather, tmp_path: Path
) -> None:
    lines = [f"{line},A" for line in rows(therms(weather))]
    lines[9] = lines[9][:-1] + "E"
    del lines[6]
    lines.append("2013-12-31,2014-01-30,120.0,A")
    path = listed(tmp_path / "gas.csv", lines, "from,to,use (therm),read")
    text = printed(path, *FURNACE)
    assert "gas.csv (natural gas): accepted with listed repairs" in text
    assert "1 estimated read was merged with the next actual one" in text
    assert "No bill covers 2013-07-05 to 2013-08-01 (28 days): left out" in text
    assert "The weather (2013) does not cover 2013-12-31 to 2014-01-30: left out" in text


def test_a_rejected_file_of_a_folder_is_named_and_the_others_are_used(
    weather: DailyWeather, tmp_path: Path
) -> None:
    listed(tmp_path / "gas.csv", rows(therms(weather)))
    listed(tmp_path / "gas-money.csv", ["2013-01-03,$120.00"], "date,amount due")
    text = printed(tmp_path, *FURNACE)
    assert "gas-money.csv: rejected" in text
    assert "money, which is not energy" in text
    assert "From 12 periods" in text


def test_the_unit_is_held_against_the_energy_printed_on_the_latest_bill(
    weather: DailyWeather, gas: Path
) -> None:
    last = therms(weather)[-1]
    assert "The unit is confirmed" in printed(gas, *FURNACE, "--bill-line", f"{last:.1f} therm")
    kwh = f"{last * KWH_PER_THERM:.0f} kWh"
    assert "The unit is confirmed" in printed(gas, *FURNACE, "--bill-line", kwh)
    wrong = refused(gas, *FURNACE, "--bill-line", f"{last:.0f} kWh")
    assert "therm against kWh" in wrong


def test_si_units_and_all_forms_are_given_on_demand(gas: Path) -> None:
    text = printed(gas, *FURNACE, "--units", "si", "--details")
    assert "Heating load at -10.0 °C" in text
    assert "W/K" in text
    assert "mean: CV(RMSE)" in text
    assert "Assumed: uncertainty of efficiency and ducts together: 5% (our choice)" in text


def test_several_normal_years_and_another_set_point_are_answered(gas: Path) -> None:
    years = ("--normal", "newark-nj-2013", "--normal", "greensboro-nc")
    text = printed(gas, *FURNACE, *years, "--set-point-change", "-3 degF")
    assert "Use in the weather of the typical year" in text
    assert "Over these 2 years: median" in text
    assert "Set-point 3.0 °F lower" in text
    assert "a year less" in text


def test_hot_water_on_the_same_fuel_lowers_the_load(gas: Path) -> None:
    text = printed(gas, *FURNACE, "--hot-water", "0.8")
    plain = printed(gas, *FURNACE)
    assert "80% of the base use is taken as hot water" in text
    loads = [
        float(one.partition("Heating load at 14 °F: about ")[2].split()[0]) for one in (text, plain)
    ]
    assert 0.90 * loads[1] < loads[0] < loads[1]


def test_a_saving_is_stated_under_one_weather_or_said_not_to_show(
    weather: DailyWeather, gas: Path, tmp_path: Path
) -> None:
    sealed = listed(tmp_path / "gas-after.csv", rows(therms(weather, ua_w_per_k=110.0, seed=2)))
    text = printed(gas, *FURNACE, "--after", sealed)
    assert "Before and after in the weather of 2013" in text
    assert "The band does not hold zero." in text
    same = listed(tmp_path / "gas-same.csv", rows(therms(weather, seed=3)))
    assert "Not shown: the band holds zero" in printed(gas, *FURNACE, "--after", same)


def test_later_readings_of_an_unchanged_house_lie_inside_and_others_do_not(
    weather: DailyWeather, gas: Path, tmp_path: Path
) -> None:
    same = listed(tmp_path / "gas-same.csv", rows(therms(weather, seed=3)))
    assert ": as expected." in printed(gas, *FURNACE, "--check", same)
    sealed = listed(tmp_path / "gas-after.csv", rows(therms(weather, ua_w_per_k=110.0, seed=2)))
    text = printed(gas, *FURNACE, "--check", sealed)
    assert "below the expected band" in text
    assert "the house was sealed or insulated" in text


Power = Callable[[Array, Array, Array], Array]


def rated_w(outdoor_c: Array, humidity_pct: Array, load_w: Array) -> Array:
    """In service as the scenario takes it to be: 0.90 of rated."""
    power_w = power_of_unit(catalogue_unit(PUMP), duct_efficiency=None, indoor_c=21.1)
    return power_w(outdoor_c, humidity_pct, load_w)


def low_charge_w(outdoor_c: Array, humidity_pct: Array, load_w: Array) -> Array:
    """8 % more power at 47 F and 40 % more at 17 F."""
    worse = 1.08 + 0.32 * np.maximum(8.33 - outdoor_c, 0.0) / 16.67
    return rated_w(outdoor_c, humidity_pct, load_w) * worse


def pump_readings(
    weather: DailyWeather, path: Path, power_w: Power, *, balance_c: float = BALANCE_C
) -> Path:
    random = np.random.default_rng(8)
    amounts = []
    for days in STRETCHES:
        outdoor_c = hours_of(weather, days).ravel()
        humidity_pct = hours_of(weather, days, "relative_humidity_pct").ravel()
        load_w = UA_W_PER_K * np.maximum(balance_c - outdoor_c, 0.0)
        kwh = power_w(outdoor_c, humidity_pct, load_w).sum() / 1000.0
        amounts.append(float(kwh) * (1.0 + 0.02 * random.normal()))
    return listed(path, rows(amounts, digits=0), "from,to,use (kWh)")


@pytest.fixture(scope="module")
def installed(gas: Path, tmp_path_factory: pytest.TempPathFactory) -> tuple[object, ...]:
    """Bills before, and the scenario of what was installed."""
    path = tmp_path_factory.mktemp("scenario") / "house.toml"
    printed(gas, *FURNACE, "--out", path)
    text = path.read_text("utf-8")
    at = text.index('unit = "')
    path.write_text(text.replace(text[at:].split(",")[0], f'unit = "{PUMP}"'), "utf-8")
    return (gas, *FURNACE, "--scenario", path)


def test_a_good_installation_is_found_to_be_as_expected(
    weather: DailyWeather, installed: tuple[object, ...], tmp_path: Path
) -> None:
    after = pump_readings(weather, tmp_path / "heat-pump-electricity.csv", rated_w)
    text = printed(*installed, "--check", after)
    assert ": as expected." in text
    assert "Usual causes" not in text


def test_low_charge_lies_above_the_band_and_is_the_first_cause_named(
    weather: DailyWeather, installed: tuple[object, ...], tmp_path: Path
) -> None:
    after = pump_readings(weather, tmp_path / "heat-pump-electricity.csv", low_charge_w)
    text = printed(*installed, "--check", after)
    assert "above the expected band" in text
    assert "none of them proven: - low refrigerant charge" in text


def test_a_higher_set_point_lies_above_the_band_and_is_the_first_cause_named(
    weather: DailyWeather, installed: tuple[object, ...], tmp_path: Path
) -> None:
    after = pump_readings(
        weather, tmp_path / "heat-pump-electricity.csv", rated_w, balance_c=BALANCE_C + 3.0
    )
    text = printed(*installed, "--check", after)
    assert "above the expected band" in text
    assert "none of them proven: - a higher set-point" in text


def test_the_readings_of_an_existing_heat_pump_are_fitted_through_its_own_map(
    weather: DailyWeather, tmp_path: Path
) -> None:
    path = pump_readings(weather, tmp_path / "electricity.csv", rated_w)
    text = printed(path, "--heat-pump", PUMP, "--design-temperature", "14 degF")
    head = text.partition("Heating load at 14 °F: about ")[2]
    true = btu_h_from_w(UA_W_PER_K * (BALANCE_C + 10.0)) / 1000.0  # analytic
    assert float(head.split()[0]) == pytest.approx(true, rel=0.05)
    assert "through the heat pump's own map" in text
    assert "what turns it into heat is not said" in refused(path)
    assert "both given" in refused(path, "--heat-pump", PUMP, "--efficiency", "1")


def test_the_shipped_example_gives_heating_cooling_and_an_installation_as_expected(
    tmp_path: Path,
) -> None:
    folder, out = shipped_folder("data") / "examples", tmp_path / "house.toml"
    text = printed(folder, *FURNACE, "--out", out, "--chart", tmp_path / "house.png")
    assert "gas-bills.csv (natural gas): accepted with listed repairs" in text
    assert "Cooling load at" in text
    assert (tmp_path / "house.png").stat().st_size > 10_000
    assert compare(out).cheapest is not None
    checked = printed(folder, *FURNACE, "--check", folder / "after", "--scenario", out)
    assert "with the rest of the house as before" in checked
    assert ": as expected." in checked


def test_questions_that_do_not_fit_together_are_refused(gas: Path) -> None:
    assert "names no years of a station" in refused(gas, "--weather", "station 72502")
    assert "is not known" in refused(gas, "--fuel", "coal")
    assert "is no day" in refused(gas, "--since", "last winter")
