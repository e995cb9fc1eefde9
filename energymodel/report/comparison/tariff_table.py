"""Options under several tariffs as a table in the terminal."""

from __future__ import annotations

from collections.abc import Mapping

from rich import box
from rich.console import Console
from rich.table import Table
from rich.text import Text

from energymodel.study.comparison.amounts import SIGNS
from energymodel.study.comparison.tariff_ranking import TariffRanking

_SMALLEST = "*"
_SHORT = "!"


def print_ranking(console: Console, ranking: TariffRanking) -> None:
    """Print what each option costs under each tariff.

    Parameters
    ----------
    console
        Where to print.
    ranking
        By option and tariff.
    """
    sign = SIGNS.get(ranking.currency, ranking.currency)
    console.print()
    console.print(Text("The same loads under each tariff", style="bold"))
    console.print(_table(f"Cost of the option, {sign}/yr", ranking, ranking.option_cost))
    console.print()
    console.print(_table(f"Whole electricity bill, {sign}/yr", ranking, ranking.house_bill))
    console.print(
        Text(
            "Cost of the option: bill with it less bill without, and its fuel. Whole bill: the"
            " house's other electricity too, which a change of tariff moves as well, and no fuel."
            f" {_SMALLEST} smallest of the row."
        )
    )
    if any(any(short) for short in ranking.cut_short.values()):
        console.print(
            Text(
                f"{_SHORT} cuts the supply at times, so that the option does not carry the load; it"
                " is never marked as the smallest."
            )
        )


def _table(head: str, ranking: TariffRanking, amounts: Mapping[str, tuple[float, ...]]) -> Table:
    table = Table(box=box.SIMPLE_HEAD, show_edge=False, padding=(0, 1, 0, 0))
    table.add_column(head, min_width=32)
    for name in ranking.tariffs:
        table.add_column(name, justify="right")
    for option, row in amounts.items():
        short = ranking.cut_short[option]
        marks = [_SHORT if cut else _smallest(row, short, at) for at, cut in enumerate(short)]
        cells = zip(marks, row, strict=True)
        table.add_row(option, *(f"{mark} {money:,.0f}".strip() for mark, money in cells))
    return table


def _smallest(row: tuple[float, ...], short: tuple[bool, ...], at: int) -> str:
    """Mark an amount that prints as the smallest of those that carry the load."""
    least = min(money for money, cut in zip(row, short, strict=True) if not cut)
    return _SMALLEST if f"{row[at]:,.0f}" == f"{least:,.0f}" else ""
