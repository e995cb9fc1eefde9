"""Three days minute by minute, and setback against steady heat, as tables in the terminal."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import isfinite
from pathlib import Path

from rich import box
from rich.table import Table
from rich.text import Text

from energymodel.notices import UsedDefault
from energymodel.report.console import console
from energymodel.report.numbers import Display, money
from energymodel.report.room_day.pair_words import pair_line
from energymodel.study.comparison.supply_notices import taken_as_supplied
from energymodel.study.room_day.room_case import RoomCase, RoomCases
from energymodel.study.room_day.room_day import DayKind, DayRun, RoomDayResult
from energymodel.study.room_day.setback import SetbackOutcome, SetbackResult, WinterRun
from energymodel.units import METRE_PER_FOOT

_HELD_K = 1.5
_SAME = 0.005
_NEXT_NUMBERS = ("starts/h", "runs", "kWh", "annual", "Cd", "Cd used")
_STEADY_K = 0.1
_LITTLE_KWH = 0.05


def print_room_day(result: RoomDayResult, show: Display, *, details: bool = False) -> None:
    """Print the three days.

    Parameters
    ----------
    result
        Options on three days.
    show
        Units of the reader.
    details
        Whether to list what the minute model assumed.
    """
    table = room_day_table(result, show)
    out = console(needed=table)
    for line in _basis(result.cases, show):
        out.print(Text(line, style="dim"))
    out.print()
    out.print(table)
    out.print()
    for line in room_day_lines(result, show):
        out.print(Text(line))
    if details:
        _print_defaults(out.print, result.cases.defaults)


def print_setback(result: SetbackResult, show: Display, *, details: bool = False) -> None:
    """Print a schedule against steady heat.

    Parameters
    ----------
    result
        Both winters of every option.
    show
        Units of the reader.
    details
        Whether to list what the runs assumed.
    """
    table = setback_table(result, show)
    out = console(needed=table)
    out.print(Text(f"Over the winter: {_schedule(result, show)}, against steady", style="bold"))
    out.print()
    out.print(table)
    out.print()
    for line in setback_lines(result, show):
        out.print(Text(line))
    if details:
        _print_defaults(out.print, result.defaults)


def print_written(written: Sequence[Path]) -> None:
    """Print where files went.

    Parameters
    ----------
    written
        Files that were written.
    """
    if written:
        console().print(Text(f"Written: {', '.join(str(path) for path in written)}"))


def _print_defaults(write: object, defaults: Sequence[UsedDefault]) -> None:
    if callable(write):
        for one in dict.fromkeys(defaults):
            write(Text(f"- {one}"))


def _basis(cases: RoomCases, show: Display) -> list[str]:
    weather = cases.model.weather
    band = _difference(cases.cases[0].choice.thermostat.dead_band_k, show)
    area = f"{cases.area_m2 / METRE_PER_FOOT**2:.0f} ft2" if show.us else f"{cases.area_m2:.0f} m2"
    return [
        f"Weather: {weather.site.name}, {weather.year_label}",
        f"Room: {cases.mass.room}, {area}; thermostat: dead band {band}",
        "Minute by minute; thermal mass, thermostat and start-up are common practice",
    ]


def room_day_table(result: RoomDayResult, show: Display) -> Table:
    """Make the table of the three days.

    Parameters
    ----------
    result
        Options on three days.
    show
        Units of the reader.

    Returns
    -------
    Table
        A section per day, a row per option.
    """
    unit = "°F" if show.us else "°C"
    heads = [f"low {unit}", f"swing {'°F' if show.us else 'K'}", *_NEXT_NUMBERS]
    table = Table(box=box.SIMPLE_HEAD, pad_edge=False, show_edge=False, padding=(0, 1, 0, 0))
    table.add_column("")
    for head in heads:
        table.add_column(head, justify="right")
    for day, runs in zip(result.days, result.runs, strict=True):
        title = f"{day.kind.value.capitalize()}, {day.date}: {show.temperature(day.mean_c)}"
        table.add_row(Text(title, style="bold"), *[""] * len(heads))
        for run in runs:
            table.add_row(f"  {run.case.name}", *_day_cells(run, show))
    return table


def _day_cells(run: DayRun, show: Display) -> list[str]:
    return [
        f"{show.temperature_value(float(run.air_c.min())):.1f}",
        f"{run.swing_k * (1.8 if show.us else 1.0):.1f}",
        f"{run.starts_per_hour:.1f}",
        f"{run.run_share:.0%}",
        f"{run.electricity_kwh:.1f}",
        f"{run.annual_kwh:.1f}",
        "" if run.implied_cd is None else f"{run.implied_cd:.2f}",
        "" if run.annual_cd is None else f"{run.annual_cd:.2f}",
    ]


def room_day_lines(result: RoomDayResult, show: Display) -> list[str]:
    """Return the lines under the table of the three days.

    Parameters
    ----------
    result
        Options on three days.
    show
        Units of the reader.

    Returns
    -------
    list of str
        The answer, what does not hold the room, what the columns mean.
    """
    typical = result.on(DayKind.TYPICAL)
    lines = [_answer(typical, show), *_backup_in_difference(typical, show)]
    lines += _cold_rooms(result, show)
    if result.cases.pair is not None:
        lines.append(pair_line(result.cases.pair, show))
    if any(run.backup_kwh > _LITTLE_KWH for runs in result.runs for run in runs):
        parts = [
            f"{day.kind.value} day {run.case.name} {run.backup_kwh:.1f} kWh"
            for day, runs in zip(result.days, result.runs, strict=True)
            for run in runs
            if run.backup_kwh > _LITTLE_KWH
        ]
        lines.append(f"Backup heat in these figures: {'; '.join(parts)}.")
    lines += _supplied(result.cases.cases)
    lines.append(
        "Annual: kWh of the same hours in the annual run, without the room's memory. Cd: what the"
        " starts of that day amount to; Cd used: the annual run's, which also covers what happens"
        " after a stop."
    )
    return lines


def _supplied(cases: Sequence[RoomCase]) -> list[str]:
    notices = taken_as_supplied(
        (case.planned for case in cases), "here every heater is supplied at all hours"
    )
    return [f"Supply: {note.text}." for note in notices]


def _answer(runs: Sequence[DayRun], show: Display) -> str:
    parts = [
        f"{run.case.name} {_kept(run, show)}, {round(float(run.starts.sum()))} starts,"
        f" {run.electricity_kwh:.1f} kWh"
        + (f", {run.backup_kwh:.1f} of it backup heat" if run.backup_kwh > _LITTLE_KWH else "")
        for run in runs
    ]
    return f"On the typical day: {'; '.join(parts)}."


def _backup_in_difference(runs: Sequence[DayRun], show: Display) -> list[str]:
    """Say that a difference between heat pumps is not all from how they run."""
    pumps = [run for run in runs if run.case.pump is not None]
    found = [
        f"{run.backup_kwh:.1f} kWh of {run.case.name} are backup heat{_because(run, show)}"
        for run in pumps
        if run.backup_kwh > _LITTLE_KWH
    ]
    if len(pumps) < 2 or not found:
        return []
    return [f"Not all of the difference is on/off running: {'; '.join(found)}."]


def _because(run: DayRun, show: Display) -> str:
    pump = run.case.pump
    off_c = None if pump is None else pump.operation.off_c
    if off_c is None or run.outdoor_c.min() > off_c:
        return ""
    return f", as it stands still at {show.temperature(off_c)} and below"


def _kept(run: DayRun, show: Display) -> str:
    if run.swing_k < _STEADY_K:
        return "holds the room steady"
    return f"lets it swing {_difference(run.swing_k, show)}"


def _cold_rooms(result: RoomDayResult, show: Display) -> list[str]:
    return [
        f"{day.kind.value.capitalize()} day: {run.case.name} lets the room fall to"
        f" {show.temperature(float(run.air_c.min()))}; other heat has to help."
        for day, runs in zip(result.days, result.runs, strict=True)
        for run in runs
        if run.air_c.min() < run.set_point_c - _HELD_K
    ]


def _difference(kelvin: float, show: Display) -> str:
    return f"{kelvin * 1.8:.1f} °F" if show.us else f"{kelvin:.1f} K"


def _schedule(result: SetbackResult, show: Display) -> str:
    parts = [f"{show.temperature(one.indoor_c)} at {one.clock}" for one in result.setback]
    parts += [f"preheat {show.temperature(one.indoor_c)} at {one.clock}" for one in result.preheat]
    return ", ".join(parts)


def setback_table(result: SetbackResult, show: Display) -> Table:
    """Make the table of a schedule against steady heat.

    Parameters
    ----------
    result
        Both winters of every option.
    show
        Units of the reader.

    Returns
    -------
    Table
        Two rows per option.
    """
    currency = result.cases.model.scenario.content.currency
    fuel = any(one.steady.fuel_kwh for one in result.outcomes)
    heads = ["kWh electric", *(["kWh fuel"] if fuel else []), "peak kW", "backup h", currency]
    table = Table(box=box.SIMPLE_HEAD, pad_edge=False, show_edge=False, padding=(0, 1, 0, 0))
    table.add_column("")
    for head in (*heads, f"lowest, {'°F' if show.us else '°C'}", "back in, h"):
        table.add_column(head, justify="right")
    for outcome in result.outcomes:
        table.add_row(Text(outcome.case.name, style="bold"), *[""] * (len(heads) + 2))
        for name, run, back in _rows(outcome):
            cells = _winter_cells(run, show, currency, fuel=fuel)
            table.add_row(f"  {name}", *cells, back)
    return table


def _rows(outcome: SetbackOutcome) -> Iterator[tuple[str, WinterRun, str]]:
    yield "steady", outcome.steady, ""
    usual, longest = outcome.recovery.hours
    back = f"{usual:.1f} to {longest:.1f}" if isfinite(usual) else ""
    yield "schedule", outcome.changed, back


def _winter_cells(run: WinterRun, show: Display, currency: str, *, fuel: bool) -> list[str]:
    return [
        f"{run.electricity_kwh:,.0f}",
        *([f"{sum(run.fuel_kwh.values()):,.0f}"] if fuel else []),
        f"{run.peak_kw:.1f}",
        f"{run.backup_h:,.0f}",
        money(run.cost, currency) if isfinite(run.cost) else "no price",
        f"{show.temperature_value(run.lowest_c):.1f}",
    ]


def setback_lines(result: SetbackResult, show: Display) -> list[str]:
    """Return the lines under the table of a schedule.

    Parameters
    ----------
    result
        Both winters of every option.
    show
        Units of the reader.

    Returns
    -------
    list of str
        One answer per option, why an inverter and an on/off unit stand beside each other, how the
        room falls and recovers, what the columns mean, cautions.
    """
    lines = [_outcome_line(one, result, show) for one in result.outcomes]
    if result.cases.pair is not None:
        lines.append(pair_line(result.cases.pair, show))
    lines.append(
        "Steady and schedule were both run; there is no rule for every house. Long setbacks in"
        " leaky, light houses save most; recovery on resistance backup can eat the saving, an"
        " earlier or slower recovery avoids it."
    )
    lines.append(
        "Peak: highest 15 minutes. Back in: time to the set-point again, usual night and longest."
        " Hours are local standard time, every day."
    )
    return [*lines, *(f"{one.topic.capitalize()}: {one.text}." for one in result.notices)]


def _outcome_line(outcome: SetbackOutcome, result: SetbackResult, show: Display) -> str:
    steady, changed = outcome.steady, outcome.changed
    currency = result.cases.model.scenario.content.currency
    share = changed.energy_kwh / steady.energy_kwh - 1.0
    if abs(share) < _SAME:
        energy = "no difference in energy"
    else:
        energy = f"{abs(share):.0%} {'less' if share < 0 else 'more'} energy"
    parts = [energy]
    if isfinite(changed.cost) and isfinite(steady.cost):
        parts.append(saved_words(steady, changed, currency))
    if steady.backup_h or changed.backup_h:
        parts.append(f"backup {changed.backup_h:,.0f} h instead of {steady.backup_h:,.0f} h")
    fall, _ = outcome.recovery.fall_k
    if result.setback:
        parts.append(f"the room falls {_difference(fall, show)} on the usual night")
    return f"{outcome.case.name}: {', '.join(parts)}."


def saved_words(steady: WinterRun, changed: WinterRun, currency: str) -> str:
    """Say what a schedule saves: the difference of the amounts as they are printed.

    Parameters
    ----------
    steady, changed
        The two winters, both with a cost.
    currency
        Three-letter code.

    Returns
    -------
    str
        Such as "$8 less a winter".
    """
    saved = round(steady.cost) - round(changed.cost)
    if saved == 0:
        return "the same cost"
    return f"{money(abs(saved), currency)} {'less' if saved > 0 else 'more'} a winter"
