"""Which units fit, as a table in the terminal with the reasons under it."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from rich import box
from rich.console import Console
from rich.table import Table
from rich.text import Text

from energymodel.report.console import console
from energymodel.report.suitability.answer import answer_lines
from energymodel.report.suitability.other_words import spell_line
from energymodel.report.suitability.units import Grade, Reason, SiteUnits
from energymodel.report.suitability.words import CYCLING_NOTE, GAINS_NOTE, reasons, verdict_words
from energymodel.study.suitability.hours import Duty
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
    room = result.model.scenario.content.room
    name = room.name or result.site.kind
    pairs = (
        (result.heating, result.design_heating_c, room.heating),
        (result.cooling, result.design_cooling_c, room.cooling),
    )
    loads = []
    for duty, at, table in pairs:
        if duty is not None:
            known = table is not None and table.design_temperature is not None
            loads.append(_load_text(duty, at, units) + ("" if known else " (taken from the year)"))
    return [spell_line(result, units), f"{name}: {'; '.join(loads)}"]


def _load_text(duty: Duty, at_c: float, units: SiteUnits) -> str:
    """Name the sheet's load, and what is left of it with gains."""
    show = units.show
    line = duty.line
    load_w = line.slope_w_per_k * abs(line.balance_c - at_c)
    at, noun = show.temperature(at_c), duty.function.value
    if not duty.gains_off:
        return f"{noun} {show.heat_flow(load_w)} at {at}"
    left, sheet = units.heat_pair(load_w, duty.sheet_load_w(at_c))
    return f"{noun} {sheet} at {at} by the heat-loss sheet, {left} with gains counted"


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
    heats, cools = result.heating is not None, result.cooling is not None
    priced = any(fit.cost is not None for fit in result.fits)
    table = _columns(result, units, priced=priced)
    for number, fit in enumerate(result.fits, 1):
        row = [str(number), fit.candidate.label, fit.verdict.value]
        row += _heat_cells(fit, sheet=_has_sheet(result)) if heats else []
        row += [_share(fit.cooling.size_ratio) if fit.cooling else _NOTHING] if cools else []
        loaded = fit.heating is not None or fit.cooling is not None
        row += [_share(fit.cycling_share), _stops(fit)] if loaded else [_NOTHING] * 2
        row.append(site_word(fit))
        if priced:
            row.append(f"{fit.cost.total:,.0f}" if fit.cost else _NOTHING)
        table.add_row(*row)
    return table


def _columns(result: Suitability, units: SiteUnits, *, priced: bool) -> Table:
    table = Table(box=box.SIMPLE_HEAD, padding=0, show_edge=False)
    table.add_column("", justify="right", no_wrap=True)
    table.add_column("Unit", width=27)
    table.add_column("Verdict", width=19, no_wrap=True)
    heads = []
    if result.heating is not None:
        heads.append(f"Heat\n{units.show.temperature(result.design_heating_c)}")
        heads += ["of\nsheet"] if _has_sheet(result) else []
        heads.append("Short\nh")
    if result.cooling is not None:
        heads.append(f"Cool\n{units.show.temperature(result.design_cooling_c)}")
    for head in (*heads, "Below\nlowest", "Stops\nh"):
        table.add_column(head, justify="right", no_wrap=True)
    table.add_column("Site", max_width=7)
    if priced:
        currency = result.model.scenario.content.currency
        table.add_column(f"{currency}\na year", justify="right", no_wrap=True)
    return table


def _has_sheet(result: Suitability) -> bool:
    """Whether the sheet's load and the load with gains are two numbers."""
    return result.heating is not None and result.heating.gains_off


def _heat_cells(fit: UnitFit, *, sheet: bool) -> list[str]:
    if fit.heating is None:
        return [_NOTHING] * (3 if sheet else 2)
    of_sheet = [_share(fit.heating.sheet_ratio)] if sheet else []
    return [_share(fit.heating.size_ratio), *of_sheet, f"{fit.heating.worst.short.hours:,}"]


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
        head = f"{number}  {fit.candidate.label}: {verdict_words(fit)}"
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
    if fit.verdict in (Verdict.BACKUP, Verdict.BEYOND):
        topics = ("heat", "cold spell") if fit.verdict is Verdict.BACKUP else ("heat", "cooling")
        heat = [one for one in found if one.topic in topics]
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
    if _has_sheet(result):
        out.print(Text(GAINS_NOTE))
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
