"""A mild, a typical and the coldest day, minute by minute: inverter against on/off."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from energymodel.arrays import Array, Index, Mask
from energymodel.equipment.kernel import AirCycling
from energymodel.scenario.files import Scenario, read_scenario
from energymodel.season.annual import annual
from energymodel.season.minutes import MinuteTrace
from energymodel.season.result import HEATING
from energymodel.study.room_day.days import HOURS_OF_DAY, Day, DayKind, pick_days
from energymodel.study.room_day.room_case import RoomCase, RoomCases, RoomChoice, room_cases

__all__ = [
    "COMFORT_BAND_K",
    "Day",
    "DayKind",
    "DayRun",
    "RoomDayResult",
    "implied_cd",
    "pick_days",
    "room_day",
]
WARM_UP_HOURS = 72
"""Days before the one that is shown, so that the structure has its temperature."""
COMFORT_BAND_K = 1.1
"""Swing that people hardly notice, peak to peak: ASHRAE Standard 55, cyclic variations (from
memory)."""
_MOST_LOAD_FACTOR = 0.95
_CYCLES_BELOW = 0.98


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class DayRun:
    """One option on one day, minute by minute; arrays of shape (1440,).

    Parameters
    ----------
    case, day
        What was run, and when.
    set_point_c
        Set-point, degC.
    outdoor_c, air_c
        Outdoor and room temperature, degC.
    power_w, backup_w
        Electric power of all uses, idle power included, and the backup's part of it, W.
    heat_w
        Heat to the room, W.
    asked_w, machine_w
        Steady and actual output of the main machine, W.
    lowest_w
        Its lowest output, W.
    running, starts
        Masks.
    annual_kwh
        Electricity of the same hours in the annual run, kWh.
    """

    case: RoomCase
    day: Day
    set_point_c: float
    outdoor_c: Array
    air_c: Array
    power_w: Array
    backup_w: Array
    heat_w: Array
    asked_w: Array
    machine_w: Array
    lowest_w: Array
    running: Mask
    starts: Mask
    annual_kwh: float

    @property
    def swing_k(self) -> float:
        """Highest less lowest room temperature, K."""
        return float(self.air_c.max() - self.air_c.min())

    @property
    def starts_per_hour(self) -> float:
        """Mean over the day, 1/h."""
        return float(self.starts.sum()) / HOURS_OF_DAY

    @property
    def run_share(self) -> float:
        """Share of the day in which the main machine runs, 0..1."""
        return float(self.running.mean())

    @property
    def electricity_kwh(self) -> float:
        """All electricity, kWh."""
        return float(self.power_w.mean()) * HOURS_OF_DAY / 1000.0

    @property
    def backup_kwh(self) -> float:
        """Electricity of the backup, kWh."""
        return float(self.backup_w.mean()) * HOURS_OF_DAY / 1000.0

    @property
    def heat_kwh(self) -> float:
        """Heat to the room, kWh."""
        return float(self.heat_w.mean()) * HOURS_OF_DAY / 1000.0

    @property
    def implied_cd(self) -> float | None:
        """Degradation coefficient that the starts of the day amount to; None without cycling."""
        if self.case.pump is None:
            return None
        return implied_cd(self.machine_w, self.asked_w, self.lowest_w)

    @property
    def annual_cd(self) -> float | None:
        """Degradation coefficient of the annual run; None without a heat pump."""
        pump = self.case.pump
        rule = pump.performance.cycling[0] if pump else None
        return rule.cd if isinstance(rule, AirCycling) else None


def implied_cd(machine_w: Array, asked_w: Array, lowest_w: Array) -> float | None:
    """Degradation coefficient that a run's start-up losses amount to.

    Parameters
    ----------
    machine_w, asked_w
        Actual and steady output of the machine in each minute, W, shape (60 x hours,).
    lowest_w
        Its lowest output, W, same shape.

    Returns
    -------
    float or None
        Cd = (1 - PLF)/(1 - X) over the hours in which it cycles: PLF = actual over steady output
        while power is drawn, X = actual output over the lowest output. None where it does not
        cycle, or nearly always runs.

    References
    ----------
    PLF = 1 - Cd (1 - X): 10 CFR 430 Subpart B, Appendix M1 (from memory).
    """
    given, asked, lowest = (
        values.reshape(-1, 60).mean(axis=1) for values in (machine_w, asked_w, lowest_w)
    )
    cycles = (asked > 0) & (given < _CYCLES_BELOW * lowest)
    if not cycles.any():
        return None
    load_factor = float(given[cycles].sum() / lowest[cycles].sum())
    if load_factor > _MOST_LOAD_FACTOR:
        return None
    part_load_factor = float(given[cycles].sum() / asked[cycles].sum())
    return (1.0 - part_load_factor) / (1.0 - load_factor)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class RoomDayResult:
    """Options side by side on three days.

    Parameters
    ----------
    cases
        What was run.
    days
        Mild, typical, coldest.
    runs
        For each day, one run per option.
    """

    cases: RoomCases
    days: tuple[Day, ...]
    runs: tuple[tuple[DayRun, ...], ...]

    def on(self, kind: DayKind) -> tuple[DayRun, ...]:
        """Return the runs of one day.

        Parameters
        ----------
        kind
            Which day.

        Returns
        -------
        tuple of DayRun
            One per option.
        """
        return self.runs[[day.kind for day in self.days].index(kind)]


def room_day(
    scenario: Scenario | str | Path | None = None,
    *,
    options: Sequence[str] = (),
    choice: RoomChoice | None = None,
) -> RoomDayResult:
    """Run options of a scenario minute by minute on three days of its year.

    Parameters
    ----------
    scenario
        A scenario, the path of its file, or None for the demo that comes with the package.
    options
        Names; empty: an inverter, the on/off unit nearest to it in size, electric resistance.
    choice
        Room type, thermostat, start-up; None: defaults, which the result lists.

    Returns
    -------
    RoomDayResult
        Three days, each option.

    Raises
    ------
    EnergyModelError
        If the scenario cannot be used, or has no such option.

    Examples
    --------
    >>> result = room_day()
    >>> [day.kind.value for day in result.days]
    ['mild', 'typical', 'coldest']
    """
    if not isinstance(scenario, Scenario):
        scenario = read_scenario(scenario)
    cases = room_cases(scenario, options, choice or RoomChoice())
    days = pick_days(cases.model.weather, cases.line.load_w(cases.model.weather.outdoor_c))
    by_hour = [_annual_hours(case) for case in cases.cases]
    runs = tuple(
        tuple(
            _day_run(case, day, hourly) for case, hourly in zip(cases.cases, by_hour, strict=True)
        )
        for day in days
    )
    return RoomDayResult(cases=cases, days=days, runs=runs)


def _annual_hours(case: RoomCase) -> Array:
    weather = case.model.weather
    result = annual(case.planned.option, weather)
    return result.hourly_electricity_of(HEATING, weather.month.astype(np.intp))


def _day_run(case: RoomCase, day: Day, annual_kwh: Array) -> DayRun:
    hours: Index = np.arange(day.first_hour - WARM_UP_HOURS, day.first_hour + HOURS_OF_DAY)
    hours = hours % case.model.weather.outdoor_c.size
    set_point_c = case.planned.option.heating_indoor_c
    trace = case.run(hours, np.full(hours.size * 60, set_point_c))
    shown = hours[-HOURS_OF_DAY:]
    return _shown(case, day, trace, float(annual_kwh[shown].sum()))


def _shown(case: RoomCase, day: Day, trace: MinuteTrace, annual_kwh: float) -> DayRun:
    last = slice(-HOURS_OF_DAY * 60, None)
    of_step = trace.run.hour_of_step[last]
    hours = day.first_hour + np.repeat(np.arange(HOURS_OF_DAY), 60)
    return DayRun(
        case=case,
        day=day,
        set_point_c=float(trace.run.set_point_c[-1]),
        outdoor_c=trace.outdoor_c[last],
        air_c=trace.air_c[last],
        power_w=trace.power_w[last] + case.idle_w(hours, trace.running[last]),
        backup_w=trace.backup_electricity_w[last],
        heat_w=trace.heat_w[last],
        asked_w=trace.asked_w[last],
        machine_w=trace.machine_w[last],
        lowest_w=trace.run.unit.lowest_w[of_step],
        running=trace.running[last],
        starts=trace.starts[last],
        annual_kwh=annual_kwh,
    )
