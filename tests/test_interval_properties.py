"""However a table is spelled, it holds the same energy in the same hours."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from energymodel.meters.facts import MeterFacts, TableFacts
from energymodel.meters.import_report import Outcome
from energymodel.meters.interval import read_interval

SPANS = {
    "winter": ("2024-01-28", "2024-02-02"),
    "spring change": ("2024-03-09", "2024-03-14"),
    "autumn change": ("2024-10-31", "2024-11-05"),
    "summer": ("2024-07-11", "2024-07-15"),
}
DATES = {
    "iso": "%Y-%m-%d",
    "slash month first": "%m/%d/%Y",
    "slash day first": "%d/%m/%Y",
    "points": "%d.%m.%Y",
    "compact": "%Y%m%d",
    "short year": "%d.%m.%y",
    "month name": "%d-%b-%Y",
}
CLOCKS = {"24 h": "%H:%M", "24 h with seconds": "%H:%M:%S", "12 h": "%I:%M %p"}


@dataclass(frozen=True)
class Habit:
    separator: str
    mark: str
    thousands: bool
    date: str
    clock: str
    label: str
    split: bool
    falling: bool
    unit: str
    encoding: str
    end_of_line: str


habits = st.builds(
    Habit,
    separator=st.sampled_from([",", ";", "\t"]),
    mark=st.sampled_from([".", ","]),
    thousands=st.booleans(),
    date=st.sampled_from(sorted(DATES)),
    clock=st.sampled_from(sorted(CLOCKS)),
    label=st.sampled_from(["start", "end as the clock reads", "end as start plus step", "24:00"]),
    split=st.booleans(),
    falling=st.booleans(),
    unit=st.sampled_from(["kWh", "Wh", "kW", "W"]),
    encoding=st.sampled_from(["utf-8", "utf-8-sig", "utf-16", "utf-16-le", "cp1252"]),
    end_of_line=st.sampled_from(["\n", "\r\n"]),
)


def starts_of(span, minutes, zone):
    first, end = SPANS[span]
    return pd.date_range(first, end, freq=f"{minutes}min", tz=zone, inclusive="left")


def stamps_of(starts, minutes, habit):
    date, clock = DATES[habit.date], CLOCKS[habit.clock]
    step = pd.Timedelta(minutes=minutes)
    if habit.label == "start":
        moments = list(starts.tz_localize(None))
    elif habit.label == "end as start plus step":
        moments = [moment + step for moment in starts.tz_localize(None)]
    else:
        moments = list((starts + step).tz_localize(None))
    stamps = [(f"{moment:{date}}", f"{moment:{clock}}") for moment in moments]
    if habit.label == "24:00":
        midnight = [moment == moment.normalize() for moment in moments]
        day = pd.Timedelta(days=1)
        seconds = ":00" if habit.clock == "24 h with seconds" else ""
        stamps = [
            (f"{moment - day:{date}}", "24:00" + seconds) if late else stamp
            for moment, late, stamp in zip(moments, midnight, stamps, strict=True)
        ]
    return stamps


def spelled(value, habit):
    text = f"{value:,.3f}" if habit.thousands else f"{value:.3f}"
    if habit.mark == ",":
        text = text.translate(str.maketrans(",.", ".,"))
    return f'"{text}"' if habit.separator in text else text


def text_of(starts, wh, minutes, habit):
    factor = {"kWh": 1e-3, "Wh": 1.0, "kW": 60e-3 / minutes, "W": 60.0 / minutes}[habit.unit]
    word = "End" if habit.label.startswith("end") else "Start"
    word = "Time" if habit.label == "24:00" else word
    stamps = stamps_of(starts, minutes, habit)
    between = habit.separator if habit.split else " "
    head = habit.separator.join(["Date", word] if habit.split else [f"{word} date"])
    # without a word for the label the 24:00 itself must tell it
    rows = [
        between.join(stamp) + habit.separator + spelled(value * factor, habit)
        for stamp, value in zip(stamps, wh, strict=True)
    ]
    if habit.falling:
        rows.reverse()
    return habit.end_of_line.join([f"{head}{habit.separator}Usage ({habit.unit})", *rows, ""])


def writable(habit):
    """Twelve hours have no 24:00."""
    return not (habit.label == "24:00" and habit.clock == "12 h")


@settings(
    max_examples=40, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(
    habit=habits.filter(writable),
    span=st.sampled_from(sorted(SPANS)),
    minutes=st.sampled_from([15, 30, 60]),
    seed=st.integers(0, 10_000),
)
def test_every_way_of_writing_gives_the_same_hours(tmp_path, habit, span, minutes, seed):
    zone = "America/New_York"
    starts = starts_of(span, minutes, zone)
    # multiples of 60 Wh, so that every unit shows the energy in full within three decimals
    wh = 60 * np.random.default_rng(seed).integers(1, 90, starts.size)
    wh[3] = 60
    path = tmp_path / "use.csv"
    path.write_bytes(text_of(starts, wh, minutes, habit).encode(habit.encoding))
    facts = TableFacts(unit=habit.unit)
    data = read_interval(path, zone=zone, facts=facts)
    assert data.report.outcome is Outcome.ACCEPTED
    assert data.total_import_kwh == pytest.approx(wh.sum() / 1000.0, rel=1e-12)
    hourly = data.hourly()
    standard = starts.tz_convert("Etc/GMT+5").tz_localize(None).floor("h")
    expected = pd.Series(wh / 1000.0).groupby(standard.to_numpy()).sum()
    np.testing.assert_array_equal(
        hourly.start_local, expected.index.to_numpy().astype("datetime64[h]")
    )
    np.testing.assert_allclose(hourly.import_kwh, expected.to_numpy(), rtol=1e-12)
    assert hourly.complete


@settings(
    max_examples=15, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(
    wh=st.lists(st.integers(-4000, 4000), min_size=96, max_size=96),
    offset=st.integers(-14 * 4, 14 * 4),
)
def test_hours_and_months_keep_the_total_whatever_the_offset(tmp_path, wh, offset):
    minutes = 15 * offset
    sign, size = ("-" if minutes < 0 else "+"), abs(minutes)
    zone = f"UTC{sign}{size // 60:02d}:{size % 60:02d}"
    starts = pd.date_range("2023-12-31", periods=96, freq="15min")
    lines = [f"{start:%Y-%m-%d %H:%M},{value}" for start, value in zip(starts, wh, strict=True)]
    path = tmp_path / "net.csv"
    path.write_text("\n".join(["Start,Net (Wh)", *lines]))
    data = read_interval(path, zone=zone, meter=MeterFacts(signs="net"))
    drawn = sum(value for value in wh if value > 0) / 1000.0
    fed = -sum(value for value in wh if value < 0) / 1000.0
    for sums in (data.hourly(), data.monthly()):
        assert np.nansum(sums.import_kwh) == pytest.approx(drawn, rel=1e-12, abs=1e-12)
        assert np.nansum(sums.export_kwh) == pytest.approx(fed, rel=1e-12, abs=1e-12)
