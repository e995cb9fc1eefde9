"""What to run where: the heat pump alone, both, or the other source alone."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from enum import Enum
from itertools import pairwise

import numpy as np

from energymodel.economics.break_even import CostBalance
from energymodel.study.switchover.heat_cost import HeatCost

_CARRIES = 1.0 - 1e-9


class Runs(Enum):
    """What heats for the least in a stretch of outdoor temperature."""

    HEAT_PUMP = "the heat pump alone"
    BOTH = "both"
    OTHER = "the other source alone"


@dataclass(frozen=True, slots=True, kw_only=True)
class Zone:
    """A stretch of outdoor temperature.

    Parameters
    ----------
    from_c, to_c
        Its ends, degC.
    runs
        What heats there for the least.
    """

    from_c: float
    to_c: float
    runs: Runs


def zones(
    balance: CostBalance, pump: HeatCost, *, capacity_balances_c: Sequence[float]
) -> tuple[Zone, ...]:
    """Divide the range of outdoor temperature by what to run.

    Parameters
    ----------
    balance
        Which source is cheaper where; the heat pump is its first.
    pump
        The heat pump at the user's load.
    capacity_balances_c
        Temperatures at which it begins or ceases to carry the load, degC.

    Returns
    -------
    tuple of Zone
        From cold to warm; neighbours differ. Where the heat pump is cheaper and too small, both
        run: it gives what it can, the other source the rest.
    """
    inside = [at for at in capacity_balances_c if balance.coldest_c < at < balance.warmest_c]
    ends = sorted({balance.coldest_c, *balance.balances_c, *inside, balance.warmest_c})
    found: list[Zone] = []
    for low, high in pairwise(ends):
        runs = _runs(balance, pump, (low + high) / 2.0)
        if found and found[-1].runs is runs:
            found[-1] = Zone(from_c=found[-1].from_c, to_c=high, runs=runs)
        else:
            found.append(Zone(from_c=low, to_c=high, runs=runs))
    return tuple(found)


def _runs(balance: CostBalance, pump: HeatCost, outdoor_c: float) -> Runs:
    stretch = int(np.searchsorted(balance.balances_c, outdoor_c))
    if balance.cheaper[stretch] == balance.second:
        return Runs.OTHER
    at = np.array([outdoor_c])
    flows = pump.flows(at)
    carried = flows.delivered_w[0] >= _CARRIES * pump.line.load_w(at)[0]
    return Runs.HEAT_PUMP if carried else Runs.BOTH


def zones_in_words(
    found: Sequence[Zone],
    other: str,
    *,
    in_turn: bool = False,
    temperature: Callable[[float], str] = "{:.1f} degC".format,
) -> str:
    """Say what to run where.

    Parameters
    ----------
    found
        From cold to warm.
    other
        The other source, as it should read in a sentence.
    in_turn
        Whether both take turns within the hour, because they stand in one air stream.
    temperature
        Writes an outdoor temperature, degC, as text.

    Returns
    -------
    str
        One sentence, without a final stop.

    Examples
    --------
    >>> cold = Zone(from_c=-20.0, to_c=-5.0, runs=Runs.OTHER)
    >>> both = Zone(from_c=-5.0, to_c=2.0, runs=Runs.BOTH)
    >>> mild = Zone(from_c=2.0, to_c=15.0, runs=Runs.HEAT_PUMP)
    >>> zones_in_words((cold, both, mild), "the furnace", temperature="{:.0f} degC".format)
    'the furnace alone below -5 degC, both from -5 degC to 2 degC, the heat pump alone above 2 degC'
    """
    who = {
        Runs.HEAT_PUMP: Runs.HEAT_PUMP.value,
        Runs.BOTH: "both in turn" if in_turn else "both",
        Runs.OTHER: f"{other} alone",
    }
    if len(found) == 1:
        return f"{who[found[0].runs]} at all temperatures"
    parts = [f"{who[found[0].runs]} below {temperature(found[0].to_c)}"]
    parts += [
        f"{who[zone.runs]} from {temperature(zone.from_c)} to {temperature(zone.to_c)}"
        for zone in found[1:-1]
    ]
    parts.append(f"{who[found[-1].runs]} above {temperature(found[-1].from_c)}")
    return ", ".join(parts)


def zones_in_brief(
    found: Sequence[Zone],
    other: str,
    *,
    temperature: Callable[[float], str] = "{:.1f} degC".format,
) -> str:
    """Say the same in few words, for a table.

    Parameters
    ----------
    found
        From cold to warm.
    other
        The other source in one or two words.
    temperature
        Writes an outdoor temperature, degC, as text.

    Returns
    -------
    str
        Such as "below 28 degF furnace, above heat pump".

    Examples
    --------
    >>> cold = Zone(from_c=-20.0, to_c=-5.0, runs=Runs.OTHER)
    >>> mild = Zone(from_c=-5.0, to_c=15.0, runs=Runs.HEAT_PUMP)
    >>> zones_in_brief((cold, mild), "furnace", temperature="{:.0f} degC".format)
    'below -5 degC furnace, above heat pump'
    """
    who = {Runs.HEAT_PUMP: "heat pump", Runs.BOTH: "both", Runs.OTHER: other}
    if len(found) == 1:
        return f"{who[found[0].runs]} throughout"
    parts = [f"below {temperature(found[0].to_c)} {who[found[0].runs]}"]
    parts += [f"to {temperature(zone.to_c)} {who[zone.runs]}" for zone in found[1:-1]]
    return ", ".join([*parts, f"above {who[found[-1].runs]}"])
