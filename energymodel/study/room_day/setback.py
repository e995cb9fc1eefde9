"""Setback and preheating against steady heat: both are run, minute by minute, over the winter."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from energymodel.arrays import Array, Index
from energymodel.notices import Notice, UsedDefault
from energymodel.scenario.files import Scenario, read_scenario
from energymodel.scenario.prices import ELECTRICITY
from energymodel.season.minutes import MinuteTrace
from energymodel.study.comparison.bill_costs import HouseBill, house_bill
from energymodel.study.room_day.room_case import RoomCase, RoomCases, RoomChoice, room_cases
from energymodel.study.room_day.set_points import SetPeriod, day_set_points

MONTH_COUNTS_FROM = 0.01
"""Months with less of the year's heating load than this are left out (our choice)."""
QUARTER_MIN = 15
_JUST_BELOW_K = 0.05


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class WinterRun:
    """One option through the winter under one schedule.

    Parameters
    ----------
    electricity_kwh
        All electricity, idle power included, kWh.
    fuel_kwh
        Fuel by carrier, higher heating value, kWh.
    heat_kwh
        Heat to the room, kWh.
    backup_kwh, backup_h
        Electricity of the backup, kWh, and hours in which it is on, h.
    peak_kw, peak_hour_kw
        Highest electric power over 15 minutes and over a clock hour, kW.
    cost
        Energy cost of the winter, money; nan where a carrier has no price.
    mean_c, lowest_c
        Mean and lowest room temperature, degC.
    """

    electricity_kwh: float
    fuel_kwh: Mapping[str, float]
    heat_kwh: float
    backup_kwh: float
    backup_h: float
    peak_kw: float
    peak_hour_kw: float
    cost: float
    mean_c: float
    lowest_c: float

    @property
    def energy_kwh(self) -> float:
        """Electricity and fuel together, kWh."""
        return self.electricity_kwh + sum(self.fuel_kwh.values())


@dataclass(frozen=True, slots=True, kw_only=True)
class Recovery:
    """How the room falls and comes back.

    Parameters
    ----------
    fall_k
        Fall during the setback: median night and largest, K.
    hours
        Time from the raised set-point until the room has it again: median and longest, h; nan
        where there is nothing to come back from.
    nights
        Times the set-point was raised while the room was below it.
    not_reached
        Of them, those in which it was not reached before the set-point changed again.
    """

    fall_k: tuple[float, float]
    hours: tuple[float, float]
    nights: int
    not_reached: int


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SetbackOutcome:
    """One option held steady, and under the schedule.

    Parameters
    ----------
    case
        The option in its room.
    steady, changed
        The two winters.
    recovery
        Of the schedule.
    """

    case: RoomCase
    steady: WinterRun
    changed: WinterRun
    recovery: Recovery


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SetbackResult:
    """Setback or preheating of every option against steady heat.

    Parameters
    ----------
    cases
        What was run.
    setback, preheat
        The schedule.
    hours
        Rows of the weather year that were run, in order.
    outcomes
        One per option.
    defaults, notices
        What the runs assumed, and cautions.
    """

    cases: RoomCases
    setback: tuple[SetPeriod, ...]
    preheat: tuple[SetPeriod, ...]
    hours: Index
    outcomes: tuple[SetbackOutcome, ...]
    defaults: tuple[UsedDefault, ...]
    notices: tuple[Notice, ...]


def setback(
    scenario: Scenario | str | Path | None = None,
    *,
    lower: Sequence[SetPeriod] = (),
    preheat: Sequence[SetPeriod] = (),
    options: Sequence[str] = (),
    choice: RoomChoice | None = None,
) -> SetbackResult:
    """Run a schedule and steady heat through the winter, and set them side by side.

    Parameters
    ----------
    scenario
        A scenario, the path of its file, or None for the demo that comes with the package.
    lower
        Periods with a lower set-point.
    preheat
        Periods with the usual set-point or a higher one; they hold where both apply.
    options
        Names; empty: the first inverter, a single-speed unit of its class, electric resistance.
    choice
        Room type, thermostat, start-up; None: defaults, which the result lists.

    Returns
    -------
    SetbackResult
        Energy, peak, backup, cost, fall and recovery of each option.

    Raises
    ------
    EnergyModelError
        If the scenario or the schedule cannot be used.

    Examples
    --------
    >>> from energymodel.study.room_day.set_points import read_period
    >>> result = setback(lower=[read_period("65 degF 22-6")], options=["Electric baseboard"])
    >>> one = result.outcomes[0]
    >>> one.changed.heat_kwh < one.steady.heat_kwh
    True
    """
    if not isinstance(scenario, Scenario):
        scenario = read_scenario(scenario)
    cases = room_cases(scenario, options, choice or RoomChoice())
    hours = winter_hours(cases)
    houses = {
        carrier: house_bill(price.house, cases.model.weather)
        for carrier, price in cases.model.prices.items()
        if price.house is not None
    }
    base_c = scenario.content.room.indoor.heating
    day_c = day_set_points(base_c, lower, preheat)
    outcomes = tuple(_outcome(case, hours, day_c, houses) for case in cases.cases)
    return SetbackResult(
        cases=cases,
        setback=tuple(lower),
        preheat=tuple(preheat),
        hours=hours,
        outcomes=outcomes,
        defaults=(*cases.defaults, *(one for house in houses.values() for one in house.defaults)),
        notices=tuple(_notices(lower, outcomes, houses.values())),
    )


def winter_hours(cases: RoomCases) -> Index:
    """Hours of the months that heat, in order.

    Parameters
    ----------
    cases
        Weather and load.

    Returns
    -------
    Index
        Rows of the weather year: the months around the one with the largest load that each carry
        at least 1 % of the year's load; a winter over New Year is joined from its two ends.
    """
    weather = cases.model.weather
    load_w = cases.line.load_w(weather.outdoor_c)
    share = np.bincount(weather.month, weights=load_w, minlength=13)[1:] / load_w.sum()
    coldest = int(share.argmax())
    before = after = 0
    while before < 11 and share[(coldest - before - 1) % 12] >= MONTH_COUNTS_FROM:
        before += 1
    while before + after < 11 and share[(coldest + after + 1) % 12] >= MONTH_COUNTS_FROM:
        after += 1
    months = [(coldest + step) % 12 + 1 for step in range(-before, after + 1)]
    return np.concatenate([np.flatnonzero(weather.month == month) for month in months])


def _outcome(
    case: RoomCase, hours: Index, day_c: Array, houses: Mapping[str, HouseBill]
) -> SetbackOutcome:
    base_c = case.planned.option.heating_indoor_c
    steady = _winter(case, hours, case.run(hours, np.full(hours.size * 60, base_c)), houses)
    changed = case.run(hours, np.tile(day_c, hours.size // 24))
    return SetbackOutcome(
        case=case,
        steady=steady,
        changed=_winter(case, hours, changed, houses),
        recovery=recovery(changed),
    )


def _winter(
    case: RoomCase, hours: Index, trace: MinuteTrace, houses: Mapping[str, HouseBill]
) -> WinterRun:
    of_step = hours[trace.run.hour_of_step]
    power_w = trace.power_w + case.idle_w(of_step, trace.running)
    by_hour_kwh = {
        ELECTRICITY: trace.by_hour(power_w) / 1000.0,
        **{name.replace("_", " "): trace.by_hour(w) / 1000.0 for name, w in trace.fuel_w.items()},
    }
    fuel = {name: float(kwh.sum()) for name, kwh in by_hour_kwh.items() if name != ELECTRICITY}
    costs = [_cost(case, hours, name, kwh, houses.get(name)) for name, kwh in by_hour_kwh.items()]
    return WinterRun(
        electricity_kwh=float(by_hour_kwh[ELECTRICITY].sum()),
        fuel_kwh=fuel,
        heat_kwh=trace.energy_kwh(trace.heat_w),
        backup_kwh=trace.energy_kwh(trace.backup_electricity_w),
        backup_h=float((trace.backup_w > 0).sum()) / 60.0,
        peak_kw=float(power_w.reshape(-1, QUARTER_MIN).mean(axis=1).max()) / 1000.0,
        peak_hour_kw=float(by_hour_kwh[ELECTRICITY].max()),
        cost=sum(costs),
        mean_c=float(trace.mean_air_c.mean()),
        lowest_c=float(trace.air_c.min()),
    )


def _cost(
    case: RoomCase, hours: Index, carrier: str, by_hour_kwh: Array, house: HouseBill | None
) -> float:
    used_kwh = float(by_hour_kwh.sum())
    if used_kwh == 0:
        return 0.0
    if house is not None:
        return _billed(house, hours, by_hour_kwh)
    price = case.model.prices.get(carrier)
    return float("nan") if price is None else used_kwh * price.per_kwh


def _billed(house: HouseBill, hours: Index, by_hour_kwh: Array) -> float:
    """Bill the house with the heating, less the bill without it."""
    year = house.other_kwh.copy()
    year[hours] += by_hour_kwh
    total = house.prepared.bill(np.column_stack([house.other_kwh, year])).total_by_period
    return float((total[:, 1] - total[:, 0]).sum())


def recovery(trace: MinuteTrace) -> Recovery:
    """Measure how a room falls under a schedule and comes back.

    Parameters
    ----------
    trace
        A run with set-points that change.

    Returns
    -------
    Recovery
        Back = within half the dead band of the raised set-point.
    """
    target = trace.run.set_point_c
    near_k = trace.run.thermostat.dead_band_k / 2.0 + _JUST_BELOW_K
    times: list[float] = []
    missed = 0
    for start, end in _periods(target):
        if target[start] < target[start - 1] or trace.air_c[start - 1] >= target[start] - near_k:
            continue
        back = np.flatnonzero(trace.air_c[start:end] >= target[start] - near_k)
        missed += back.size == 0
        minutes = int(back[0]) + 1 if back.size else int(end - start)
        times.append(minutes * trace.run.step_s / 3600.0)
    falls = _falls(trace)
    return Recovery(
        fall_k=(float(np.median(falls)), max(falls)) if falls else (0.0, 0.0),
        hours=(float(np.median(times)), max(times)) if times else (float("nan"), float("nan")),
        nights=len(times),
        not_reached=missed,
    )


def _periods(target_c: Array) -> list[tuple[int, int]]:
    """First step of each new set-point, and of the one after it."""
    changes = (np.flatnonzero(np.diff(target_c) != 0) + 1).tolist()
    return list(zip(changes, [*changes[1:], target_c.size], strict=False))


def _falls(trace: MinuteTrace) -> list[float]:
    """Fall of the room in each period that begins with a lowered set-point."""
    target, air_c = trace.run.set_point_c, trace.air_c
    return [
        float(air_c[start - 1] - air_c[start:end].min())
        for start, end in _periods(target)
        if target[start] < target[start - 1]
    ]


def _notices(
    lower: Sequence[SetPeriod],
    outcomes: Sequence[SetbackOutcome],
    houses: Iterable[HouseBill],
) -> list[Notice]:
    notices = [notice for house in houses for notice in house.notices]
    if lower:
        notices.append(Notice(topic="occupants", text=_OCCUPANTS))
        notices.append(Notice(topic="pipes", text=_PIPES))
    late = [one for one in outcomes if one.recovery.not_reached]
    notices += [
        Notice(
            topic="recovery",
            text=f"{one.case.name}: in {one.recovery.not_reached} of {one.recovery.nights} cases"
            " the room was not warm again before the set-point changed; a smaller setback, or"
            " preheating, helps",
        )
        for one in late
    ]
    return notices


_OCCUPANTS = (
    "old or sick people and small children need about 65 degF (18 degC) or more day and night: no"
    " deep setback for them"
)
_PIPES = (
    "pipes in outer walls, crawl spaces and unheated corners freeze long before the room does, and"
    " cool corners grow mould: no deep setback in hard frost"
)
