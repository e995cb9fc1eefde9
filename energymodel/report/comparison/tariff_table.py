"""Options under several tariffs as a table in the terminal."""

from __future__ import annotations

from rich import box
from rich.console import Console
from rich.table import Table
from rich.text import Text

from energymodel.study.comparison.amounts import SIGNS
from energymodel.study.comparison.tariff_ranking import TariffRanking


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
    table = Table(box=box.SIMPLE_HEAD, show_edge=False, padding=(0, 1, 0, 0))
    table.add_column(f"Option, {sign}/yr", min_width=24)
    for name in ranking.tariffs:
        table.add_column(name, justify="right")
    table.add_column("Smallest whole bill")
    for option, costs in ranking.option_cost.items():
        table.add_row(option, *(f"{cost:,.0f}" for cost in costs), ranking.best(option))
    console.print()
    console.print(Text("The same loads under each tariff", style="bold"))
    console.print(table)
    console.print(
        Text(
            "Cost of the option: bill with it less bill without. The last column counts the whole"
            " house, since a change of tariff moves its other use too."
        )
    )
