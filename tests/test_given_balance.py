"""Use per degree-day below a given balance temperature: fills of a tank, bills of one season."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
import typer
from typer.testing import CliRunner

from energymodel.building.change_point_forms import GIVEN_BALANCE, GIVEN_BALANCE_AND_BASE
from energymodel.building.given_balance import GivenBalance, fits_base, given_balance_bands
from energymodel.building.period_use import PeriodUse, known_means
from energymodel.cli.from_bills import from_bills
from energymodel.errors import EnergyModelError, InputError
from energymodel.study.house.period_weather import DailyWeather, daily_weather
from energymodel.units import btu_h_from_w
from energymodel.weather.library import shipped_year

UA_W_PER_K, BALANCE_C, USEFUL, BASE_KWH = 250.0, 16.1, 0.80 * 0.85, 12.0
"""The invented house whose tank is filled."""
OIL_KWH = 138_500 / 3412.142
"""A gallon of heating oil: 138,500 Btu (EIA, quoted in the package's own table)."""
HOUSE = ("--efficiency", "0.80", "--ducts", "0.85", "--design-temperature", "14 degF")

app = typer.Typer(add_completion=False, pretty_exceptions_enable=False, rich_markup_mode=None)
app.command()(from_bills)


@pytest.fixture(scope="module")
def weather() -> DailyWeather:
    return daily_weather([shipped_year("newark-nj-2013")])


def used_kwh(weather: DailyWeather, *, base_kwh: float) -> np.ndarray:
    """Oil of each day, by the hours of the day."""
    heat = UA_W_PER_K / 1000 * np.maximum(BALANCE_C - weather.outdoor_c, 0.0).sum(axis=1) / USEFUL
    return np.asarray(heat + base_kwh)


def fills(weather: DailyWeather, path: Path, *, count: int, base_kwh: float) -> Path:
    """List fills of about equal size, as a driver makes them when the tank is low."""
    used = used_kwh(weather, base_kwh=base_kwh)
    tank, burned = used.sum() / count, 0.0
    lines = ["date,oil (gallon delivered)", f"{weather.first_day},150.0"]
    for at, kwh in enumerate(used):
        burned += kwh
        if burned > tank:
            day = weather.first_day + timedelta(days=at + 1)
            lines.append(f"{day},{burned / OIL_KWH:.1f}")
            burned = 0.0
    path.write_text("\n".join(lines) + "\n", "utf-8")
    return path


def printed(*arguments: object) -> str:
    words = [*(str(one) for one in arguments), "--weather", "newark-nj-2013"]
    result = CliRunner().invoke(app, words, catch_exceptions=False)
    assert result.exit_code == 0, result.output
    return " ".join(result.output.split())


def refused(*arguments: object) -> str:
    words = [*(str(one) for one in arguments), "--weather", "newark-nj-2013"]
    result = CliRunner().invoke(app, words)
    assert isinstance(result.exception, EnergyModelError), result.output
    return " ".join(str(result.exception).split())


def load_band(text: str) -> tuple[float, float, float]:
    head = text.partition("Heating load at 14 °F: about ")[2]
    low, high = (float(word.strip("(),")) for word in head.partition("(")[2].split()[:3:2])
    return low, float(head.split()[0]), high


# user need 7: daily oil use, degree days, an efficiency and a design temperature are all there is
@pytest.mark.parametrize(("count", "base_kwh"), [(10, 0.0), (14, BASE_KWH), (14, 0.0)])
def test_fills_of_oil_give_the_load_in_a_band_with_the_reason_and_the_assumed_temperature(
    count: int, base_kwh: float, weather: DailyWeather, tmp_path: Path
) -> None:
    path = fills(weather, tmp_path / "oil.csv", count=count, base_kwh=base_kwh)
    text = printed(path, *HOUSE, "--details")
    true = btu_h_from_w(UA_W_PER_K * (BALANCE_C + 10.0)) / 1000.0  # 14 degF, analytic
    low, likely, high = load_band(text)
    assert low < true < high
    assert likely == pytest.approx(true, rel=0.06)
    assert high - low > 0.12 * likely
    assert "Too few of these fills lie in the warm season" in text
    assert "below 60 degF (15.6 degC), give or take 5.4 degF (3 K)" in text
    assert "our choice" in text


def test_a_given_balance_temperature_reads_a_load_off_winter_bills(
    weather: DailyWeather, tmp_path: Path
) -> None:
    edges = [date(2013, 1, 2), date(2013, 2, 2), date(2013, 3, 3), date(2013, 4, 4)]
    edges += [date(2013, 5, 4)]
    used = used_kwh(weather, base_kwh=0.0)
    lines = ["from,to,gas use (kWh)"]
    for first, end in pairwise(edges):
        at = slice((first - weather.first_day).days, (end - weather.first_day).days)
        lines.append(f"{first},{end},{used[at].sum():.0f}")
    path = tmp_path / "gas.csv"
    path.write_text("\n".join(lines) + "\n", "utf-8")
    told = refused(path, *HOUSE)
    assert "4 actual periods" in told
    assert "--balance" in told
    wide = load_band(printed(path, *HOUSE, "--balance", "61 degF", "--base", "0"))
    tight = ("--balance", "61 degF", "--balance-range", "1 degF", "--base", "0")
    narrow = load_band(printed(path, *HOUSE, *tight))
    true = btu_h_from_w(UA_W_PER_K * (BALANCE_C + 10.0)) / 1000.0
    assert wide[0] < narrow[0] < true < narrow[2] < wide[2]
    three = path.with_name("gas-three.csv")
    three.write_text("\n".join(lines[:4]) + "\n", "utf-8")
    assert "at least 4" in refused(three, *HOUSE, "--balance", "61 degF")


def test_a_base_is_taken_with_a_given_balance_only(weather: DailyWeather, tmp_path: Path) -> None:
    path = fills(weather, tmp_path / "oil.csv", count=14, base_kwh=BASE_KWH)
    gallons = BASE_KWH / OIL_KWH
    text = printed(path, *HOUSE, "--balance", "61 degF", "--base", f"{gallons:.3f}")
    assert f"the base use is the given {gallons:.3f} gallon a day" in text
    gas = path.with_name("gas.csv")
    gas.write_text("from,to,use (therm)\n2013-01-02,2013-02-02,90\n2013-02-02,2013-03-03,80\n")
    assert "--base stands without --balance" in refused(gas, *HOUSE, "--base", "0.4")


def data(use: np.ndarray, outdoor_c: np.ndarray) -> PeriodUse:
    days = np.linspace(14.0, 40.0, outdoor_c.size)
    return PeriodUse(use_per_day=use, days=days, temperatures=known_means(outdoor_c))


COLD_C = np.array([-4.0, -1.0, 2.0, 5.0, 3.0, -2.0])


def test_through_the_origin_the_slope_is_all_use_over_all_degree_days() -> None:
    random = np.random.default_rng(5)
    seen = data(2.0 * (15.0 - COLD_C) * (1.0 + 0.1 * random.normal(size=6)), COLD_C)
    bands = given_balance_bands(seen, GivenBalance(balance_c=15.0, base_per_day=0.0))
    # use over degree-days, the usual hand method (common practice)
    degree_days = (15.0 - COLD_C) @ seen.days
    assert bands.fit.heating_slope == pytest.approx(seen.use_per_day @ seen.days / degree_days)
    assert bands.fit.form is GIVEN_BALANCE_AND_BASE
    assert bands.fit.statistics.nmbe_pct == pytest.approx(0.0, abs=1e-9)
    slope = bands.heating_slope
    assert slope is not None
    assert slope.low < slope.likely < slope.high


def test_a_mild_period_tells_the_base_and_cold_ones_alone_do_not() -> None:
    outdoor_c = np.append(COLD_C, 12.0)
    seen = data(7.0 + 2.0 * (15.0 - outdoor_c), outdoor_c)
    given = GivenBalance(balance_c=15.0)
    bands = given_balance_bands(seen, given)
    assert bands.fit.form is GIVEN_BALANCE
    # by construction (analytic)
    assert bands.fit.base_per_day == pytest.approx(7.0)
    assert bands.fit.heating_slope == pytest.approx(2.0)
    assert not fits_base(data(7.0 + 2.0 * (15.0 - COLD_C), COLD_C), given)


def test_without_noise_and_range_the_band_is_a_point_and_the_range_alone_widens_it() -> None:
    seen = data(2.0 * (15.0 - COLD_C), COLD_C)
    sure = given_balance_bands(seen, GivenBalance(balance_c=15.0, range_k=0.0, base_per_day=0.0))
    assert np.ptp(sure.coefficients[:, 1]) < 1e-9
    unsure = given_balance_bands(seen, GivenBalance(balance_c=15.0, range_k=3.0, base_per_day=0.0))
    slope = unsure.heating_slope
    assert slope is not None
    # the ends of the middle 90 % of a range of 3 K either way (analytic)
    degree_days = [(15.0 + away - COLD_C) @ seen.days for away in (2.7, -2.7)]
    ends = [seen.use_per_day @ seen.days / one for one in degree_days]
    assert (slope.low, slope.high) == pytest.approx(ends, rel=0.02)


def test_what_cannot_be_is_refused() -> None:
    seen = data(2.0 * (15.0 - COLD_C), COLD_C)
    given = GivenBalance(balance_c=15.0)
    with pytest.raises(InputError, match="3 periods are too few"):
        given_balance_bands(data(np.ones(3), COLD_C[:3]), given)
    with pytest.raises(InputError, match="no period is colder"):
        given_balance_bands(seen, replace(given, balance_c=-10.0))
    with pytest.raises(InputError, match="does not lie above the base"):
        given_balance_bands(seen, replace(given, base_per_day=100.0))
    with pytest.raises(InputError, match="a range of 20 K"):
        GivenBalance(balance_c=15.0, range_k=20.0)
