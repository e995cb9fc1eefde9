"""Life-cycle cost, payback and returns of every option as a table in the terminal."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from rich import box
from rich.console import Console
from rich.table import Table
from rich.text import Text

from energymodel.economics.rates import Money
from energymodel.notices import UsedDefault
from energymodel.report.console import console
from energymodel.report.numbers import money
from energymodel.season.result import COOLING
from energymodel.study.comparison.amounts import SIGNS
from energymodel.study.comparison.money import AgainstPresent, OptionMoney, option_money
from energymodel.study.comparison.outcome import Comparison

_HEADS = (
    "Extra\n{}",
    "Saved\n{}/yr",
    "Back\nyears",
    "Disc.\nyears",
    "Life\ncost {}",
    "Net\nsaved {}",
    "SIR",
    "AIRR\n%/yr",
    "IRR\n%/yr",
    "Level\n{}/yr",
)


def print_money(out: Console, comparison: Comparison, *, details: bool = False) -> None:
    """Print the options over the years of the study.

    Parameters
    ----------
    out
        Where to print.
    comparison
        All options.
    details
        Whether to list the defaults of the study and each cash flow.
    """
    options = option_money(comparison)
    out.print()
    out.print(Text(study_line(comparison), style="bold"))
    out.print()
    out.print(money_table(options, currency=comparison.model.scenario.content.currency))
    out.print()
    for line in money_lines(options, comparison):
        out.print(Text(line))
    if details:
        _print_details(out, options, comparison)


def money_console(comparison: Comparison) -> Console:
    """Make a console on which the table fits.

    Parameters
    ----------
    comparison
        All options.

    Returns
    -------
    Console
        As for the comparison.
    """
    currency = comparison.model.scenario.content.currency
    return console(money_table(option_money(comparison), currency=currency))


def study_line(comparison: Comparison) -> str:
    """Say which years, which rate and which money.

    Parameters
    ----------
    comparison
        All options.

    Returns
    -------
    str
        One line.
    """
    content = comparison.model.scenario.content.money
    kind = "constant money, real" if content.money is Money.CONSTANT else "current money, nominal"
    years = "1 year" if content.study_years == 1 else f"{content.study_years} years"
    text = f"Over {years}, discounted at {_percent(content.discount_rate)}"
    rises = [
        f"{carrier.replace('_', ' ')} "
        + ("by its index" if one.rate is None else f"{one.rate:+.1%}".replace("%", " %"))
        for carrier, one in content.escalation.items()
    ]
    prices = f"prices a year: {', '.join(rises)}" if rises else "prices rise with inflation"
    return f"{text} a year ({kind} rate), {prices}"


def _percent(share: float) -> str:
    return f"{share:.1%}".replace("%", " %")


def money_table(options: Sequence[OptionMoney], *, currency: str) -> Table:
    """Make the table.

    Parameters
    ----------
    options
        As compared.
    currency
        Its code.

    Returns
    -------
    Table
        One row per option, the present one first.
    """
    sign = SIGNS.get(currency, currency)
    table = Table(box=box.SIMPLE_HEAD, padding=(0, 0, 0, 0), show_edge=False, expand=False)
    table.add_column("Option", min_width=24, max_width=31)
    for head in _HEADS:
        table.add_column(head.format(sign), justify="right", no_wrap=True)
    best = lowest(options)
    for one in options:
        style = "bold" if one is best else ""
        table.add_row(Text(one.name + _mark(one, best)), *_cells(one), style=style)
    return table


def lowest(options: Sequence[OptionMoney]) -> OptionMoney | None:
    """Find the option with the lowest life-cycle cost among those that carry the load.

    Parameters
    ----------
    options
        As compared.

    Returns
    -------
    OptionMoney or None
        None where none carries it.
    """
    able = [one for one in options if one.carries and one.cost_given]
    return min(able, key=lambda one: one.cost.total, default=None)


def _mark(one: OptionMoney, best: OptionMoney | None) -> str:
    marks = ["there now"] if one.present else []
    against = one.against_present
    if one is best:
        dearer = against is not None and against.measures.net_savings < 0
        marks.append("lowest life cost" + (" of those that carry the load" if dearer else ""))
    elif against is not None and against.lost_services:
        marks.append(f"gives no {' and no '.join(against.lost_services)}")
    elif not one.carries:
        marks.append(one.short_words)
    if not one.cost_given:
        marks.append("no installed cost")
    return f" ({', '.join(marks)})" if marks else ""


def _cells(one: OptionMoney) -> list[str]:
    if not one.present and not (one.comparable and one.cost_given):
        return [""] * len(_HEADS)
    own = [f"{one.cost.total:,.0f}", f"{one.equivalent_annual_cost:,.0f}"]
    against = one.against_present
    if against is None:
        return ["", "", "", "", own[0], "", "", "", "", own[1]]
    found = against.measures
    return [
        _signed(against.extra_at_start),
        _signed(against.yearly_saving),
        _payback(against.payback_years, against),
        _payback(found.discounted_payback.years, against),
        own[0],
        _signed(found.net_savings),
        "" if found.saving_to_investment.value is None else found.saving_to_investment.words,
        _rate(found.adjusted_return.value),
        _rate(found.rate_of_return.rate),
        own[1],
    ]


def _signed(amount: float) -> str:
    rounded = round(amount)
    return f"{rounded:,}" if rounded else "0"


def _rate(share: float | None) -> str:
    """Nine tenths of the money lost every year is no return."""
    return "none" if share is None or share < -0.9 else f"{100.0 * share:.1f}"


def _payback(years: float | None, against: AgainstPresent) -> str:
    if years is not None:
        return f"{years:.1f}" if years else "0"
    if against.simple.years:
        return f">{against.flow.study.years}"
    return "never"


def money_lines(options: Sequence[OptionMoney], comparison: Comparison) -> list[str]:
    """Return the lines under the table: what cells cannot say, and what the columns mean.

    Parameters
    ----------
    options
        As compared.
    comparison
        All options.

    Returns
    -------
    list of str
        Answer, loans, incentives, rates of return in words, added comfort.
    """
    currency = comparison.model.scenario.content.currency
    lines = [*_answer(options, currency), *_soon_enough(options)]
    for one in options:
        if one.against_present is not None and one.comparable:
            lines += [f"{one.name}: {words}" for words in _remarks(one.against_present, currency)]
        lines += [note.text for note in one.notices]
    lines += _cooling_only(options, comparison)
    return [*dict.fromkeys(lines), _MEANING]


_MEANING = (
    "Extra: at the start, less incentives and what must be replaced anyway. Saved: energy and"
    " upkeep, first year. Back, Disc.: payback without and with discounting. SIR: savings to"
    " investment. AIRR, IRR: returns. Level: life cost spread evenly. All on the services there"
    " now."
)


def _answer(options: Sequence[OptionMoney], currency: str) -> Iterator[str]:
    best = lowest(options)
    if best is None:
        yield "No option gives every service, carries the load and has an installed cost."
        return
    if best.against_present is None:
        what = "What is there now" if best.present else best.name
        yield f"{what} has the lowest life-cycle cost, {money(best.cost.total, currency)}."
        return
    found = best.against_present.measures
    years, saved = best.cost.study.years, found.net_savings
    among = "" if saved >= 0 else "of those that carry the load "
    yield (
        f"{best.name} {among}has the lowest life-cycle cost: about"
        f" {money(round(abs(saved), -1), currency)} {'less' if saved >= 0 else 'more'} than what is"
        f" there now over {years} year{'' if years == 1 else 's'}, in money of today."
    )


def _soon_enough(options: Sequence[OptionMoney]) -> Iterator[str]:
    asked = [
        (one.name, one.against_present)
        for one in options
        if one.comparable and one.against_present is not None
    ]
    longest = next((against.longest_payback_years for _, against in asked), None)
    if longest is None:
        return
    inside = [name for name, against in asked if against.soon_enough]
    yield f"Paid back within the {longest:g} years asked for: {', '.join(inside) or 'none'}."


def _remarks(against: AgainstPresent, currency: str) -> Iterator[str]:
    found = against.measures
    if found.rate_of_return.rate is None:
        yield found.rate_of_return.words
    payback = found.discounted_payback
    if payback.open_again_in_year is not None:
        yield payback.words
    if against.with_added_comfort is not None:
        saved = against.with_added_comfort.net_savings
        yield (
            f"with its new {_new(against)} counted it costs {money(abs(saved), currency)}"
            f" {'less' if saved > 0 else 'more'} than now over {against.flow.study.years} years"
        )
    if against.loan is not None:
        loan = against.loan
        left = money(abs(loan.monthly_left), currency)
        yield (
            f"loan of {loan.years} years: {money(loan.monthly_payment, currency)} a month against"
            f" a saving of {money(loan.monthly_saving, currency)}, {left} a month"
            f" {'left' if loan.monthly_left >= 0 else 'missing'}"
        )


def _new(against: AgainstPresent) -> str:
    return "heating" if COOLING in against.services else "cooling"


def _cooling_only(options: Sequence[OptionMoney], comparison: Comparison) -> Iterator[str]:
    services = {one.against_present.services for one in options if one.against_present is not None}
    present = comparison.present
    if services != {(COOLING,)} or present is None:
        return
    line, table = comparison.model.load.cooling, comparison.model.scenario.content.room.cooling
    load_kwh = present.result.total("cooling_load_kwh")
    if line is None or table is None or table.design_load is None:
        yield f"Cooling only: {load_kwh:,.0f} kWh of heat removed in the year."
        return
    hours = load_kwh / (table.design_load / 1000.0)
    yield (
        f"Cooling only: {load_kwh:,.0f} kWh of heat removed in the year, as much as {hours:,.0f} h"
        " at the design load."
    )


def _print_details(out: Console, options: Sequence[OptionMoney], comparison: Comparison) -> None:
    currency = comparison.model.scenario.content.currency
    groups = (
        ("Cash flow by year, against what is there now", list(_flows(options, currency))),
        ("Defaults of the study", [str(entry) for entry in money_defaults(options)]),
    )
    for title, entries in groups:
        if entries:
            out.print()
            out.print(Text(title, style="bold"))
        for entry in entries:
            out.print(Text(f"- {entry}"))


def _flows(options: Sequence[OptionMoney], currency: str) -> Iterator[str]:
    for one in options:
        if one.against_present is None or not one.comparable:
            continue
        gains = ", ".join(f"{amount:,.0f}" for amount in one.against_present.gain)
        yield f"{one.name}, {currency}, years 0, 1, ...: {gains}"


def money_defaults(options: Sequence[OptionMoney]) -> tuple[UsedDefault, ...]:
    """List the defaults of all options once.

    Parameters
    ----------
    options
        As compared.

    Returns
    -------
    tuple of UsedDefault
        In the order in which they come up.
    """
    return tuple(dict.fromkeys(entry for one in options for entry in one.defaults))
