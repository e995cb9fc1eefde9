"""The catalogue's sizes and the rule of thumb beside the load of a house from its bills."""

from __future__ import annotations

from collections.abc import Sequence

from rich import box
from rich.console import Console
from rich.table import Table

from energymodel.report.house.table import print_lines
from energymodel.report.house.units import BillsDisplay
from energymodel.study.house.billed_house import BilledHouse
from energymodel.study.house.design_sizes import Carries, SizeAtDesign, Thumb

_MOST_SIZES = 6
_SHORT = (Carries.LOW, Carries.NONE, Carries.STOPPED)


def size_table(sizes: Sequence[SizeAtDesign], house: BilledHouse, show: BillsDisplay) -> Table:
    """Make the table of the catalogue's sizes at the design temperature.

    Parameters
    ----------
    sizes
        Smallest output first.
    house
        From its bills.
    show
        Units.

    Returns
    -------
    Table
        The largest that fall short, and the smallest that carry the load.
    """
    at = show.show.temperature(house.design_c)
    table = Table(box=box.SIMPLE_HEAD, padding=(0, 1, 0, 0), pad_edge=False, show_edge=False)
    table.add_column("Catalogue sizes, full output as rated", min_width=52, no_wrap=True)
    table.add_column(f"At {at}\n{show.heat_unit}", justify="right", no_wrap=True)
    table.add_column("Of the\nload", justify="right", no_wrap=True)
    table.add_column("Carries", no_wrap=True)
    for size in _chosen(sizes):
        table.add_row(
            size.name,
            f"{show.show.heat_value(size.output_w):.1f}",
            f"{size.share:.0%}",
            size.carries.value,
        )
    return table


def _chosen(sizes: Sequence[SizeAtDesign]) -> list[SizeAtDesign]:
    short = [size for size in sizes if size.carries in _SHORT]
    enough = [size for size in sizes if size.carries not in _SHORT]
    few = short[-2:] if enough else short[-_MOST_SIZES:]
    return [*few, *enough[: _MOST_SIZES - len(few)]]


def print_sizes(
    out: Console,
    house: BilledHouse,
    show: BillsDisplay,
    *,
    sizes: Sequence[SizeAtDesign],
    thumbs: Sequence[Thumb],
) -> None:
    """Print the catalogue's sizes and the rule of thumb beside the load.

    Parameters
    ----------
    out
        Where to.
    house
        From its bills.
    show
        Units.
    sizes
        Of the catalogue.
    thumbs
        Rule of thumb by class of insulation; empty: the floor area is not known.
    """
    out.print()
    out.print(size_table(sizes, house, show))
    print_lines(out, [thumb_line(thumbs, show)])


def thumb_line(thumbs: Sequence[Thumb], show: BillsDisplay) -> str:
    """Set the rule of thumb beside the load.

    Parameters
    ----------
    thumbs
        By class of insulation.
    show
        Units.

    Returns
    -------
    str
        One sentence.
    """
    if not thumbs:
        return "Rule of thumb by volume: give --area to set it beside this load."
    parts = [
        f"{one.insulation.value} {show.show.heat_value(one.load_w):.0f} ({one.share:.1f} times)"
        for one in thumbs
    ]
    return (
        f"Rule of thumb by volume, {show.heat_unit}: {', '.join(parts)} the load from the bills."
        " A trade shortcut (quoted), without a design temperature: not for sizing."
    )
