"""Where the answer flips, as tables in the terminal: temperatures, switch settings, prices."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from rich import box
from rich.console import Console
from rich.table import Table
from rich.text import Text

from energymodel.report.comparison.table import basis_lines
from energymodel.report.console import console
from energymodel.report.numbers import Display
from energymodel.report.switchover.flip_cells import flip_rows, limit_text, pair_text
from energymodel.study.switchover.lockout import Lockout
from energymodel.study.switchover.pair_flips import LOAD_RANGE, PairFlips
from energymodel.study.switchover.pairs import SwitchPair
from energymodel.study.switchover.switchover import SwitchoverResult


def print_switchover(
    result: SwitchoverResult,
    show: Display,
    *,
    details: bool = False,
    written: Sequence[Path] = (),
) -> None:
    """Print where the answer flips.

    Parameters
    ----------
    result
        All of it.
    show
        Units of the reader.
    details
        Whether to list the flip values of every pair instead of the two that matter most.
    written
        Files that were written.
    """
    out = console()
    title = result.comparison.model.scenario.content.title
    if title:
        out.print(Text(title, style="bold"))
    for line in basis_lines(result.comparison, show):
        out.print(Text(line, style="dim"))
    _print_pairs(out, result, show)
    _print_lockouts(out, result, show)
    _print_flips(out, result, details=details)
    for line in closing_lines(result, show, written):
        out.print(Text(line))


def _table() -> Table:
    return Table(box=box.SIMPLE_HEAD, padding=(0, 1, 0, 0), show_edge=False, expand=False)


def _print_pairs(out: Console, result: SwitchoverResult, show: Display) -> None:
    if not result.pairs:
        return
    out.print()
    out.print(Text("By temperature: the heat pump against other heat", style="bold"))
    out.print(pairs_table(result.pairs, show))


def pairs_table(pairs: Sequence[SwitchPair], show: Display) -> Table:
    """Make the table of balance points.

    Parameters
    ----------
    pairs
        Each heat pump against each other source.
    show
        Units of the reader.

    Returns
    -------
    Table
        One row per pair.
    """
    table = _table()
    table.add_column("Heat pump", min_width=17, max_width=19)
    table.add_column("Against", min_width=16, max_width=19)
    for head in ("COP\nneeds", "COP\nhas", "Cost\nbalance", "Capacity\nbalance"):
        table.add_column(head, justify="right", no_wrap=True)
    table.add_column("Heats for the least", min_width=22, max_width=25)
    rows: dict[tuple[str, ...], list[SwitchPair]] = {}
    for pair in pairs:
        key = (pair.heat_pump, pair.balance.second, *_pair_cells(pair, show))
        rows.setdefault(key, []).append(pair)
    last = ""
    for (heat_pump, noun, *cells), alike in rows.items():
        table.add_row(heat_pump if heat_pump != last else "", _against(alike, noun), *cells)
        last = heat_pump
    return table


def _pair_cells(pair: SwitchPair, show: Display) -> list[str]:
    return [
        f"{pair.break_even.cops.default:.2f}",
        f"{pair.season_cop:.2f}",
        _cost_balance(pair, show),
        _capacity_balance(pair, show),
        pair.brief_advice(show.temperature),
    ]


def _against(alike: Sequence[SwitchPair], noun: str) -> str:
    """Name the other heat; what has the same heater and the same answer stands in one row."""
    names = [pair.other for pair in alike if not pair.backup]
    count = len(names) + sum(len(pair.also) for pair in alike)
    if any(pair.backup for pair in alike):
        own = f"its own backup, {noun.removeprefix('the ')}"
        return f"{own}, as {names[0]}{_more(count)}" if names else own
    return f"{names[0]}{_more(count)}"


def _more(count: int) -> str:
    return f" (and {count - 1} more)" if count > 1 else ""


def _cost_balance(pair: SwitchPair, show: Display) -> str:
    if not pair.balance.balances_c:
        return {"always cheaper": "always\ncheaper", "never cheaper": "never\ncheaper"}.get(
            pair.answer, "same\ncost"
        )
    return "\n".join(
        show.temperature(at) + ("\n(stops)" if step else "")
        for at, step in zip(pair.balance.balances_c, pair.balance.steps, strict=True)
    )


def _capacity_balance(pair: SwitchPair, show: Display) -> str:
    if pair.capacity_balances_c:
        return "\n".join(show.temperature(at) for at in pair.capacity_balances_c)
    return "carries\nall" if pair.carries_all else "carries\nnone"


def _print_lockouts(out: Console, result: SwitchoverResult, show: Display) -> None:
    if not result.lockouts:
        return
    out.print()
    currency = result.comparison.model.scenario.content.currency
    title = f"Best switch temperature over the year's hours (heating, {currency} a year)"
    out.print(Text(title, style="bold"))
    out.print(lockout_table(result, show))


def lockout_table(result: SwitchoverResult, show: Display) -> Table:
    """Make the table of switch temperatures.

    Parameters
    ----------
    result
        All of it.
    show
        Units of the reader.

    Returns
    -------
    Table
        One row per option with a backup of its own; heating money per year.
    """
    table = _table()
    table.add_column("Option", min_width=20, max_width=26)
    table.add_column("Backup alone at and below", min_width=22, max_width=27)
    for head in ("best", "each\nhour", "as\nset", "pump\nalways", "backup\nalone"):
        table.add_column(head, justify="right")
    for one in result.lockouts:
        costs = (
            one.best_cost,
            one.hourly_cost,
            one.as_set_cost,
            one.always_pump_cost,
            one.backup_alone_cost,
        )
        table.add_row(one.option, _setting(one, show), *(_whole(cost) for cost in costs))
    return table


def _setting(one: Lockout, show: Display) -> str:
    text = one.best_in_words(show.temperature).removeprefix("at ")
    if one.as_set_c is None:
        return text
    return f"{text}; set now: {show.temperature(one.as_set_c)}"


def _whole(cost: float) -> str:
    return f"{cost:,.0f}" if cost < float("inf") else "short"


def _print_flips(out: Console, result: SwitchoverResult, *, details: bool) -> None:
    chosen = result.flips if details else _chosen(result)
    if not chosen:
        return
    out.print()
    out.print(Text("By price, cost, load and factor", style="bold"))
    currency = result.comparison.model.scenario.content.currency
    for number, pair in enumerate(chosen):
        out.print(Text(pair_text(pair, currency)))
        out.print(flips_table(pair, currency, headed=number == 0))


def _chosen(result: SwitchoverResult) -> tuple[PairFlips, ...]:
    """Pick the present option against the cheapest, and the cheapest two."""
    best = result.comparison.cheapest
    if best is None:
        return result.flips[:2]
    return tuple(one for one in result.flips if best.name in (one.first, one.second))[:2]


def flips_table(pair: PairFlips, currency: str, *, headed: bool = True) -> Table:
    """Make the table of flip values of a pair.

    Parameters
    ----------
    pair
        Its values.
    currency
        Of the scenario.
    headed
        Whether the columns are named.

    Returns
    -------
    Table
        One row per input.
    """
    table = Table(
        box=box.SIMPLE_HEAD,
        padding=(0, 1, 0, 0),
        show_edge=False,
        show_header=headed,
    )
    table.add_column("What moves", width=41)
    back = f"Paid back in\n{limit_text(pair.limit_years)} at"
    for head, width in (
        ("Today", 9), ("Cheaper\nto run at", 15), ("change", 7), (back, 15), ("change", 7),
    ):  # fmt: skip
        table.add_column(head, justify="right", no_wrap=True, width=width)
    for row in flip_rows(pair, currency):
        table.add_row(*row)
    return table


def closing_lines(
    result: SwitchoverResult, show: Display, written: Sequence[Path] = ()
) -> list[str]:
    """Return the lines under the tables.

    Parameters
    ----------
    result
        All of it.
    show
        Units of the reader.
    written
        Files that were written.

    Returns
    -------
    list of str
        Conventions, notices, files.
    """
    lines = [""]
    if result.pairs:
        pair = next((one for one in result.pairs if one.break_even.has_fan), result.pairs[0])
        lines += [f"Counted: {pair.balance.basis}. COP at the room, without idle power."]
        if pair.break_even.has_fan:
            lines += [f"For {pair.other}: {pair.break_even.words}."]
        lines += [
            "Cost balance: both cost the same. Capacity balance: full output equals the load."
            f" Load balance: no heat needed above {show.temperature(pair.load_balance_c)}."
        ]
    if result.lockouts:
        lines += [
            "The best switch temperature counts each hour's own humidity and the idle power that a"
            " standing heat pump draws; the cost balance does not."
        ]
    if result.flips:
        years = limit_text(result.flips[0].limit_years)
        low, high = (f"{value:g}" for value in LOAD_RANGE)
        lines += [
            f"Cheaper to run, paid back in {years}: the first-named of the pair, with all else as"
            " today (simple payback of its extra cost; the limit is our choice, --payback-years)."
            f" Loads from x {low} to x {high} and in-service factors up to 1.00 were looked at."
        ]
    lines += [note.text for note in result.notices]
    if written:
        lines.append(f"Written: {len(written)} files in {written[0].parent}")
    return [*lines, "Estimate, not a quotation or guarantee."]
