"""Which units fit, as a table in the terminal with the reasons under it."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from rich import box
from rich.console import Console
from rich.table import Table
from rich.text import Text

from energymodel.report.comparison.table import console
from energymodel.report.suitability.answer import answer_lines
from energymodel.report.suitability.other_words import spell_line
from energymodel.report.suitability.units import Grade, Reason, SiteUnits
from energymodel.report.suitability.words import CYCLING_NOTE, reasons
from energymodel.study.suitability.suitability import Suitability
from energymodel.study.suitability.verdict import UnitFit, Verdict, criteria

_DECIDING = ("heat", "cold spell", "cooling", "size", "operating range", "moisture")
_NOTHING = "-"


def print_suitability(
    result: Suitability,
    units: SiteUnits,
    *,
    details: bool = False,
    written: Sequence[Path] = (),
) -> None:
    """Print which units fit and why.

    Parameters
    ----------
    result
        All candidates.
    units
        Of the reader.
    details
        Whether to print every reason and all notices.
    written
        Files that were written.
    """
    table = suitability_table(result, units)
    out = console(needed=table)
    title = result.model.scenario.content.title
    if title:
        out.print(Text(title, style="bold"))
    for line in basis_lines(result, units):
        out.print(Text(line, style="dim"))
    out.print()
    for line in answer_lines(result, units):
        out.print(Text(line))
    out.print()
    out.print(table)
    _print_reasons(out, result, units, details=details)
    _print_end(out, result, details=details, written=written)


def basis_lines(result: Suitability, units: SiteUnits) -> list[str]:
    """Return the lines above the answer: weather, loads.

    Parameters
    ----------
    result
        All candidates.
    units
        Of the reader.

    Returns
    -------
    list of str
        One fact a line.
    """
    show = units.show
    room = result.model.scenario.content.room
    name = room.name or result.site.kind
    pairs = (
        (result.heating, result.design_heating_c, room.heating),
        (result.cooling, result.design_cooling_c, room.cooling),
    )
    loads = []
    for duty, at, table in pairs:
        if duty is None:
            continue
        load = show.heat_flow(_load_w(duty.line.slope_w_per_k, duty.line.balance_c, at))
        known = table is not None and table.design_temperature is not None
        more = "" if known else " (taken from the year)"
        loads.append(f"{duty.function.value} {load} at {show.temperature(at)}{more}")
    gains = room.heating is not None and room.heating.gains != "included"
    tail = ", gains taken off" if gains and result.heating is not None else ""
    return [spell_line(result, units), f"{name}: {', '.join(loads)}{tail}"]


def _load_w(slope_w_per_k: float, balance_c: float, at_c: float) -> float:
    return slope_w_per_k * abs(balance_c - at_c)


def suitability_table(result: Suitability, units: SiteUnits) -> Table:
    """Make the table.

    Parameters
    ----------
    result
        All candidates.
    units
        Of the reader.

    Returns
    -------
    Table
        One row per candidate, the best first.
    """
    show = units.show
    table = Table(box=box.SIMPLE_HEAD, padding=0, show_edge=False)
    table.add_column("", justify="right", no_wrap=True)
    table.add_column("Unit", width=27)
    table.add_column("Verdict", width=19, no_wrap=True)
    heats, cools = result.heating is not None, result.cooling is not None
    if heats:
        at = show.temperature(result.design_heating_c)
        table.add_column(f"Heat\n{at}", justify="right", no_wrap=True)
        table.add_column("Short\nh", justify="right", no_wrap=True)
    if cools:
        at = show.temperature(result.design_cooling_c)
        table.add_column(f"Cool\n{at}", justify="right", no_wrap=True)
    table.add_column("Below\nlowest", justify="right", no_wrap=True)
    table.add_column("Stops\nh", justify="right", no_wrap=True)
    table.add_column("Site", max_width=7)
    priced = any(fit.cost is not None for fit in result.fits)
    if priced:
        currency = result.model.scenario.content.currency
        table.add_column(f"{currency}\na year", justify="right", no_wrap=True)
    for number, fit in enumerate(result.fits, 1):
        row = [str(number), fit.candidate.label, fit.verdict.value]
        row += _heat_cells(fit) if heats else []
        row += [_share(fit.cooling.size_ratio) if fit.cooling else _NOTHING] if cools else []
        loaded = fit.heating is not None or fit.cooling is not None
        row += [_share(fit.cycling_share), _stops(fit)] if loaded else [_NOTHING] * 2
        row.append(site_word(fit))
        if priced:
            row.append(f"{fit.cost.total:,.0f}" if fit.cost else _NOTHING)
        table.add_row(*row)
    return table


def _heat_cells(fit: UnitFit) -> list[str]:
    if fit.heating is None:
        return [_NOTHING] * 2
    return [_share(fit.heating.size_ratio), f"{fit.heating.worst.short.hours:,}"]


def _share(value: float) -> str:
    return f"{100.0 * value:,.0f} %" if value < 1e6 else _NOTHING


def _stops(fit: UnitFit) -> str:
    there = [one for one in (fit.heating, fit.cooling) if one is not None]
    return f"{sum(one.below_h + one.above_h for one in there):,}"


def site_word(fit: UnitFit) -> str:
    """Sum the site checks up in a word.

    Parameters
    ----------
    fit
        The unit.

    Returns
    -------
    str
        "no" where a check says no, "ask" where an electrician or the manual is to be asked, "?"
        where facts are missing, "no flag" else.
    """
    if fit.site_fault:
        return "no"
    if fit.supply.questions or (fit.pipes is not None and fit.pipes.beyond_usual):
        return "ask"
    facts = (fit.supply.ampacity_a, fit.supply.found_v, fit.room_area.charge_kg)
    lines = fit.pipes is not None and (
        fit.pipes.equivalent_m is None or fit.pipes.facts.longest_m is None
    )
    return "?" if None in facts or lines or fit.room_area.above is None else "no flag"


def _print_reasons(out: Console, result: Suitability, units: SiteUnits, *, details: bool) -> None:
    out.print()
    out.print(Text("Why, unit by unit", style="bold"))
    for number, fit in enumerate(result.fits, 1):
        found = reasons(fit, result, units)
        head = f"{number}  {fit.candidate.label}: {fit.verdict.value}"
        if details:
            out.print(Text(head, style="bold"))
            for one in found:
                out.print(Text(f"   {one.topic}: {one.text}"))
        else:
            out.print(Text(f"{head}. {brief(fit, found)}."))


def brief(fit: UnitFit, found: Sequence[Reason]) -> str:
    """Choose the reasons that decide.

    Parameters
    ----------
    fit
        The unit.
    found
        All reasons.

    Returns
    -------
    str
        Of a unit that fits: heat, cold spell, cooling, range, moisture; of another one: what
        speaks against it.
    """
    against = [one for one in found if one.grade in (Grade.BAD, Grade.ASK)]
    if fit.fits or not against:
        chosen = [one for one in found if one.topic in _DECIDING and _telling(one)]
        lowest = [one for one in found if one.topic == "lowest output"][:1]
        rest = [one for one in against if one not in chosen]
        return "; ".join(one.text for one in [*chosen, *lowest, *rest])
    cooling = [one for one in found if one.topic == "cooling"]
    if fit.verdict is Verdict.COOLS_ONLY:
        against += [one for one in cooling if one not in against][:1]
    if fit.verdict is Verdict.BACKUP:
        heat = [one for one in found if one.topic in ("heat", "cold spell")]
        against = [*heat, *(one for one in against if one not in heat)]
    return "; ".join(one.text for one in against)


def _telling(reason: Reason) -> bool:
    """Leave out ranges that no hour reaches: the answer above has said so for all units."""
    return reason.topic != "operating range" or reason.grade is not Grade.GOOD


def _print_end(
    out: Console, result: Suitability, *, details: bool, written: Sequence[Path]
) -> None:
    rules = "; ".join(words for words, _ in criteria(result.asked))
    out.print()
    out.print(Text(f"Order of the list: {rules}; then by name. No score."))
    out.print(Text(CYCLING_NOTE))
    for note in result.notices if details else result.notices[:1]:
        out.print(Text(f"{note.topic.capitalize()}: {note.text}."))
    if details:
        for default in result.model.defaults:
            out.print(Text(f"- {default}"))
    if written:
        out.print(Text("Written: " + ", ".join(str(path) for path in written)))
    out.print(
        Text(
            "Nothing here approves an installation: a qualified person selects, a licensed"
            " electrician does the circuit, a certified technician the refrigerant; local code"
            " decides."
        )
    )
