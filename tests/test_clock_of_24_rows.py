"""Files with 24 rows on every day: the wall clock with a fixed number of rows, or standard time.

Portals deliver a fixed number of intervals a day even on the short spring day (reported by users);
instants are those of the IANA time zone database through pandas, figures invented.
"""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from energymodel.meters.daily_pattern import followed_clock
from energymodel.meters.facts import MeterFacts, TableFacts
from energymodel.meters.import_report import MeterError, Outcome
from energymodel.meters.interval import read_interval
from energymodel.meters.wall_clock import zone_clock

ZONE = "America/New_York"
FORWARD, BACK = "2024-03-10", "2024-11-03"


@pytest.fixture
def read(tmp_path):
    def from_rows(stamps, values, *, meter=None, **facts):
        path = tmp_path / "use.csv"
        rows = [f"{stamp},{value}" for stamp, value in zip(stamps, values, strict=True)]
        path.write_text("\n".join(["Start,kWh", *rows]), encoding="utf-8")
        return read_interval(path, zone=ZONE, facts=TableFacts(**facts), meter=meter)

    return from_rows


def habits(hour, seed=5):
    """Use of a household by the hour of its wall clock, Wh/1000, three decimals."""
    base = np.random.default_rng(seed).integers(100, 400, len(hour)) / 1000.0
    return np.round(base + 1.5 * ((hour >= 17) & (hour < 21)) + 0.8 * (hour == 6), 3)


def labels(minutes=60, first="2024-01-01", last="2025-01-01"):
    return pd.date_range(first, last, freq=f"{minutes}min", inclusive="left")


def spelled(moments):
    return [f"{moment:%Y-%m-%d %H:%M}" for moment in moments]


@pytest.mark.parametrize("minutes", [15, 30, 60])
def test_habits_that_keep_their_labels_mean_the_wall_clock_and_the_total_stays(read, minutes):
    local = labels(minutes, "2024-02-01", "2024-12-01")
    values = habits(local.hour)
    data = read(spelled(local), values)
    assert data.report.outcome is Outcome.REPAIRED
    assert data.total_import_kwh == pytest.approx(values.sum(), rel=1e-12)
    assert not data.gaps
    per_hour = 60 // minutes
    use = data.import_kwh.reshape(-1, per_hour).sum(axis=1)
    utc = pd.DatetimeIndex(data.start_utc[::per_hour]).tz_localize("UTC")
    wall = utc.tz_convert(ZONE)
    by_label = pd.Series(values).groupby(np.arange(values.size) // per_hour).sum().to_numpy()
    by_hour = dict(zip(spelled(local[::per_hour]), by_label, strict=True))
    # 02:00 does not exist on the spring day: its use is added to 03:00
    spring = use[spelled(wall).index(f"{FORWARD} 03:00")]
    assert spring == pytest.approx(by_hour[f"{FORWARD} 02:00"] + by_hour[f"{FORWARD} 03:00"])
    # 01:00 comes twice on the autumn day: half of its use in each pass
    both = [one for one, label in zip(use, spelled(wall), strict=True) if label == f"{BACK} 01:00"]
    assert both == pytest.approx([by_hour[f"{BACK} 01:00"] / 2.0] * 2)
    text = " ".join(notice.text for notice in data.notices)
    assert "the daily pattern of use keeps its hours when the clock changes" in text
    assert "if not so, say --clock standard" in text
    assert "added to the interval, the total is unchanged" in text
    assert "divided over both passes, half each; the total is unchanged" in text


def test_a_spring_row_that_is_zero_or_doubled_means_the_wall_clock_whatever_the_pattern(read):
    local = labels(60, "2024-02-01", "2024-12-01")
    values = np.random.default_rng(2).integers(100, 900, local.size) / 1000.0
    place = spelled(local).index(f"{FORWARD} 02:00")
    values[place] = 0.0
    zero = read(spelled(local), values)
    stamps = spelled(local)
    stamps[place] = f"{FORWARD} 03:00"
    doubled = read(stamps, values)
    for data in (zero, doubled):
        assert data.total_import_kwh == pytest.approx(values.sum(), rel=1e-12)
        assert data.hourly().complete
        assert "dropped: zero or blank" in data.report.entries[0].done


def test_habits_that_move_in_the_labels_mean_standard_time_and_are_noticed(read):
    local = labels()
    wall = local.tz_localize("Etc/GMT+5").tz_convert(ZONE)
    values = habits(wall.hour)
    data = read(spelled(local), values)
    np.testing.assert_array_equal(data.start_local, local.to_numpy().astype("datetime64[s]"))
    assert data.report.outcome is Outcome.ACCEPTED
    text = " ".join(notice.text for notice in data.notices)
    assert "stamps taken as local standard time all year" in text
    assert "say --clock wall" in text


def test_use_without_a_daily_pattern_is_asked_about_and_either_answer_is_taken(read):
    local = labels()
    values = np.random.default_rng(3).integers(100, 900, local.size) / 1000.0
    with pytest.raises(MeterError, match="daily pattern of use does not tell which") as caught:
        read(spelled(local), values)
    assert caught.value.remedy.startswith("say --clock standard or --clock wall")
    for clock in ("standard", "wall"):
        data = read(spelled(local), values, clock=clock)
        assert data.total_import_kwh == pytest.approx(values.sum(), rel=1e-12)
        assert data.hourly().complete


def test_equal_repeats_of_the_spring_day_may_still_be_dropped(read):
    local = labels(60, "2024-03-08", "2024-03-13")
    stamps, values = spelled(local), habits(local.hour)
    place = stamps.index(f"{FORWARD} 02:00")
    stamps[place], values[place] = f"{FORWARD} 03:00", values[place + 1]
    data = read(stamps, values, meter=MeterFacts(repeats="drop"))
    assert data.total_import_kwh == pytest.approx(values.sum() - values[place])


def test_a_doubled_hour_inside_a_longer_gap_is_left_as_a_gap(read):
    local = labels(60, "2024-11-01", "2024-11-06")
    gone = (local >= f"{BACK} 02:00") & (local < f"{BACK} 05:00")
    data = read(spelled(local[~gone]), habits(local[~gone].hour), clock="wall")
    assert [gap.hours for gap in data.gaps] == [4.0]


@settings(max_examples=25, deadline=None)
@given(
    day=st.lists(st.integers(1, 40), min_size=24, max_size=24).filter(
        lambda day: len(set(day)) > 8
    ),
    follows=st.sampled_from(["wall", "standard"]),
)
def test_a_pattern_is_never_taken_for_the_other_clock(day, follows):
    local = labels(60, "2024-02-01", "2024-12-01")
    wall = local
    if follows == "standard":
        wall = local.tz_localize("Etc/GMT+5").tz_convert(ZONE)
    use = np.array(day, dtype=np.float64)[wall.hour]
    seconds = local.to_numpy().astype("datetime64[s]").astype(np.int64)
    clock = zone_clock(ZONE, int(seconds[0]), int(seconds[-1]))
    assert followed_clock(seconds, use, clock, step_s=3600) in (follows, None)
