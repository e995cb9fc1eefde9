"""Why an inverter and an on/off unit stand beside each other, in words."""

from __future__ import annotations

from collections.abc import Sequence

from energymodel.report.numbers import Display
from energymodel.study.room_day.pair import Machine, Pair

_WHEN = "in all hours of a mild, a typical and the coldest day"


def pair_line(pair: Pair, show: Display) -> str:
    """Say why these two units stand beside each other.

    Parameters
    ----------
    pair
        An inverter and an on/off unit.
    show
        Units of the reader.

    Returns
    -------
    str
        One sentence or two.
    """
    first, second = pair.inverter, pair.fixed
    sizes = f"{show.heat_value(first.size_w):.1f} and {show.heat_flow(second.size_w)}"
    if not first.key and not second.key:
        text = (
            f"{first.name} and {second.name} are the inverter and the on/off unit of the scenario"
            f" nearest in size ({sizes})"
        )
    else:
        lacks = [noun for one, noun in ((first, "inverter"), (second, "on/off unit")) if one.key]
        added = "the catalogue's nearest in size was added"
        if second.key and not pair.fixed_runs:
            added = "one of the catalogue that runs longer was added"
        text = (
            f"the scenario has no {' and no '.join(lacks)}"
            f"{f' that runs {_WHEN}' if pair.passed_over else ''}; {added} ({sizes})"
        )
    text += f"; both run {_WHEN}" if pair.fixed_runs else ""
    stopped = [*([] if pair.fixed_runs else [second]), *pair.passed_over]
    return f"Why this pair: {text}.{_standing(stopped, show)}"


def _standing(machines: Sequence[Machine], show: Display) -> str:
    parts = [
        f"{one.name} stands still at {show.temperature(off_c)} and below"
        for one in machines
        if (off_c := one.operation.off_c) is not None
    ]
    return f" {'; '.join(parts)}." if parts else ""
