"""The comparison as a table in the terminal."""

from __future__ import annotations

import calendar
from collections.abc import Sequence
from pathlib import Path

from rich import box
from rich.console import Console
from rich.measure import Measurement
from rich.table import Table
from rich.text import Text

from energymodel.notices import Notice
from energymodel.report.cautions import cautions_for
from energymodel.report.details import print_details
from energymodel.report.numbers import SIGNS, Display, money
from energymodel.study.outcome import Comparison, Outcome
from energymodel.units import KWH_PER_MMBTU

WIDTH = 100
LOUD = ("services", "capacity", "load", "note", "savings", "saving", "payback", "seasonal COP")


def console(needed: Table | None = None) -> Console:
    """Make a console that prints plainly where the output is piped.

    Parameters
    ----------
    needed
        Table whose numbers must not be cut: a narrower terminal wraps its lines instead.

    Returns
    -------
    Console
        100 columns wide when piped.
    """
    import sys  # noqa: PLC0415

    plain = not sys.stdout.isatty()
    force = False if plain else None
    made = Console(
        width=WIDTH if plain else None,
        highlight=False,
        no_color=plain or None,
        force_terminal=force,
    )
    if needed is None:
        return made
    wide = made.options.update(max_width=1000)
    measured = Measurement.get(made, wide, needed)
    if made.width >= max(WIDTH, measured.minimum):
        return made
    return Console(
        width=max(WIDTH, measured.maximum),
        highlight=False,
        no_color=plain or None,
        force_terminal=force,
    )


def print_comparison(
    comparison: Comparison, *, us: bool, details: bool = False, written: Sequence[Path] = ()
) -> None:
    """Print a comparison.

    Parameters
    ----------
    comparison
        All options.
    us
        US units, or SI.
    details
        Whether to list defaults, notices and all cautions.
    written
        Files that were written.
    """
    show = Display(us=us)
    table = comparison_table(comparison, show)
    out = console(needed=table)
    title = comparison.model.scenario.content.title
    if title:
        out.print(Text(title, style="bold"))
    for line in basis_lines(comparison, show):
        out.print(Text(line, style="dim"))
    out.print()
    out.print(table)
    out.print()
    for line in closing_lines(comparison, show, written):
        out.print(Text(line))
    if details:
        print_details(out, comparison)


def basis_lines(comparison: Comparison, show: Display) -> list[str]:
    """Return the lines above the table: place, loads, prices.

    Parameters
    ----------
    comparison
        All options.
    show
        Units of the reader.

    Returns
    -------
    list of str
        One fact a line.
    """
    model = comparison.model
    room = model.scenario.content.room
    lines = [f"Weather: {model.weather.site.name}, {model.weather.year_label}, hour by hour"]
    loads = [
        f"{noun} {show.heat_flow(table.design_load)} at"
        f" {show.temperature(table.design_temperature)}"
        for noun, table in (("heating", room.heating), ("cooling", room.cooling))
        if table is not None
        and table.design_load is not None
        and table.design_temperature is not None
    ]
    if loads:
        lines.append("Load: " + ", ".join(loads))
    prices = [
        f"{price.carrier} {model.scenario.content.currency} {price.text}"
        for price in model.prices.values()
    ]
    return [*lines, "Prices: " + ", ".join(prices)]


def _has_fuel(comparison: Comparison) -> bool:
    return any(set(outcome.energy_kwh) - {"electricity"} for outcome in comparison.outcomes)


def comparison_table(comparison: Comparison, show: Display) -> Table:
    """Make the table.

    Parameters
    ----------
    comparison
        All options.
    show
        Units of the reader.

    Returns
    -------
    Table
        One row per option, the present one first.
    """
    currency = comparison.model.scenario.content.currency
    sign = SIGNS.get(currency, currency)
    table = Table(box=box.SIMPLE_HEAD, padding=(0, 0, 0, 0), show_edge=False, expand=False)
    table.add_column("Option", min_width=24, max_width=31)
    heads = [
        f"Heat\n{sign}/yr",
        f"Cool\n{sign}/yr",
        f"Total\n{sign}/yr",
        f"vs now\n{sign}/yr",
        f"{sign} per\n{'MMBtu' if show.us else 'kWh'}",
        "Elec.\nkWh",
        *(["Fuel\n"] if _has_fuel(comparison) else []),
        "COP\nheat",
        "COP\ncool",
        "Back\nyears",
        "CO2e\nkg",
        "Cold\nhour",
    ]
    for head in heads:
        table.add_column(head, justify="right", no_wrap=True)
    for outcome in comparison.outcomes:
        best = outcome is comparison.cheapest
        name = Text(outcome.name + _mark(outcome, best))
        table.add_row(name, *_cells(outcome, comparison, show), style="bold" if best else "")
    return table


def _mark(outcome: Outcome, best: bool) -> str:  # noqa: FBT001 - private, one caller
    if outcome.present:
        return " (there now)" + (", cheapest" if best else "")
    if best:
        return " - cheapest"
    if outcome.missing_services:
        return f" - gives no {' and no '.join(outcome.missing_services)}"
    if not outcome.carries:
        return " - does not carry the load"
    return ""


def _cells(outcome: Outcome, comparison: Comparison, show: Display) -> list[str]:
    costs = outcome.service_cost
    per_heat = outcome.cost_per_mmbtu()
    cells = [
        f"{costs['heating']:,.0f}" if "heating" in costs else "none",
        f"{costs['cooling']:,.0f}" if "cooling" in costs else "none",
        f"{outcome.yearly_cost:,.0f}",
        _against_now(outcome),
        "" if per_heat is None else _per_heat(per_heat, show),
        f"{outcome.energy_kwh.get('electricity', 0.0):,.0f}",
    ]
    if _has_fuel(comparison):
        cells.append(_fuel(outcome, comparison))
    return [*cells, *_judgement(outcome)]


def _per_heat(per_mmbtu: float, show: Display) -> str:
    return f"{per_mmbtu:.2f}" if show.us else f"{per_mmbtu / KWH_PER_MMBTU:.3f}"


def _against_now(outcome: Outcome) -> str:
    if outcome.against_present is None or not outcome.carries:
        return ""
    difference = -round(outcome.against_present.payback.yearly_saving)
    return f"{difference:+,}" if difference else "0"


def _fuel(outcome: Outcome, comparison: Comparison) -> str:
    lines = []
    for carrier, kwh in outcome.energy_kwh.items():
        if carrier == "electricity":
            continue
        price = comparison.model.prices[carrier]
        unit = {"gallon": "gal", "litre": "L"}.get(price.per, price.per)
        lines.append(f"{kwh / price.kwh_per_unit:,.0f} {unit}")
    return "\n".join(lines)


def _judgement(outcome: Outcome) -> list[str]:
    cops = [outcome.result.cop_season(service) for service in ("heating", "cooling")]
    return [
        *("" if cop is None else f"{cop:.2f}" for cop in cops),
        _payback(outcome),
        f"{outcome.emissions.co2e_kg:,.0f}",
        _coldest(outcome),
    ]


def _payback(outcome: Outcome) -> str:
    if outcome.against_present is None or not outcome.carries:
        return ""
    payback = outcome.against_present.payback
    if payback.years is None:
        return "never"
    return "0" if payback.years <= 0 else f"{payback.years:.1f}"


def _coldest(outcome: Outcome) -> str:
    coverage = outcome.coverage
    if coverage is None or coverage.coldest_load_w <= 0:
        return ""
    return f"{min(coverage.coldest_output_w / coverage.coldest_load_w, 1.0):.0%}"


def closing_lines(comparison: Comparison, show: Display, written: Sequence[Path] = ()) -> list[str]:
    """Return the lines under the table, at most six and the cautions.

    Parameters
    ----------
    comparison
        All options.
    show
        Units of the reader.
    written
        Files that were written.

    Returns
    -------
    list of str
        What the figures mean, what the cheapest would miss, where to look on.
    """
    coldest = show.temperature(float(comparison.model.weather.outdoor_c.min()))
    lines = [
        *_answer(comparison),
        *_billed(comparison),
        *_in_the_cold(comparison, show),
        *_failure(comparison),
        *(str(note) for note in _loud(comparison)),
        "vs now, Back: saving and simple payback on the services there now."
        f" Cold hour: share of the load given at {coldest}.",
    ]
    if written:
        lines.append(f"Written: {len(written)} files in {written[0].parent}")
    lines.append(
        f"Estimate, not a quotation or guarantee. Behind it: {_count(comparison)}; --details lists"
        " them."
    )
    brief = [caution.brief for caution in cautions_for(comparison) if caution.brief]
    return [*lines, f"Cautions: {'; '.join(brief)}. Local code decides."]


def _loud(comparison: Comparison) -> list[Notice]:
    """Notices that change which option to choose: they stand under the table, at most two."""
    return [note for note in comparison.notices if note.topic in LOUD][:2]


def _count(comparison: Comparison) -> str:
    counts = (
        (len(comparison.model.defaults), "default"),
        (len(comparison.notices), "notice"),
    )
    return ", ".join(f"{count} {noun}{'' if count == 1 else 's'}" for count, noun in counts)


def _answer(comparison: Comparison) -> list[str]:
    best, present = comparison.cheapest, comparison.present
    currency = comparison.model.scenario.content.currency
    if best is None:
        return ["No option gives every service and carries the load."]
    if present is None or best is present or best.against_present is None:
        return [f"{best.name} has the lowest yearly cost of those that carry the load."]
    like = best.against_present
    saving = like.payback.yearly_saving
    word = "less" if saving >= 0 else "more"
    text = (
        f"{best.name}: about {money(round(abs(saving), -1), currency)} a year {word} than"
        f" {present.name} for the same services"
    )
    for service, cost in like.added_comfort.items():
        later = like.with_added_comfort
        text += f"; new {service} adds about {money(round(cost, -1), currency)} a year"
        if later is not None and later.years is not None:
            text += f" (payback with it: {later.words})"
    return [text + "."]


def _in_the_cold(comparison: Comparison, show: Display) -> list[str]:
    best = comparison.cheapest
    coverage = best.coverage if best else None
    if coverage is None or coverage.unmet_kwh < 0.5:
        return []
    share = coverage.coldest_output_w / coverage.coldest_load_w
    return [
        f"In the coldest hour ({show.temperature(coverage.coldest_c)}) it gives {share:.0%} of the"
        f" load; {coverage.unmet_kwh:,.0f} kWh a year stay unmet. Keep other heat for those hours."
    ]


def _billed(comparison: Comparison) -> list[str]:
    best = comparison.cheapest
    if best is None or best.billed is None:
        return []
    whole = best.billed.whole
    if not whole.energy_kwh.sum() > 0:
        return []
    return [
        f"Under the tariff its kWh cost {float(whole.marginal_price_per_kwh):.3f} each on the bill"
        f" (bill with it less bill without); the whole bill averages"
        f" {float(whole.average_price_per_kwh):.3f} per kWh."
    ]


def _failure(comparison: Comparison) -> list[str]:
    best = comparison.cheapest
    failure = best.failure if best else None
    if best is None or failure is None:
        return []
    currency = comparison.model.scenario.content.currency
    how = "borrowed electric heaters" if failure.borrowed else "its backup alone"
    return [
        f"If its heat pump fails: {calendar.month_name[failure.month]} on {how} costs about"
        f" {money(failure.cost, currency)} instead of {money(failure.normal_cost, currency)}."
    ]
