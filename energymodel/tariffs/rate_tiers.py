"""Tiers of a rate record into energy blocks."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal

from energymodel.errors import InputError
from energymodel.tariffs.charges import Block, BlockPer
from energymodel.tariffs.rate_record import Tier

_UNITS = {
    "": BlockPer.MONTH,
    "kWh": BlockPer.MONTH,
    "kWh daily": BlockPer.DAY,
    "kWh/kW": BlockPer.KW,
    "kWh/kW daily": BlockPer.KW_AND_DAY,
}


def tier_price(tier: Tier) -> float:
    """Price of a tier, the sum of rate and adjustment, as it would be added on paper.

    Parameters
    ----------
    tier
        As written.

    Returns
    -------
    float
        Money per unit.

    Examples
    --------
    >>> tier_price(Tier(rate=0.0687, adj=0.008376))
    0.077076
    """
    return float(Decimal(repr(tier.rate)) + Decimal(repr(tier.adj)))


def blocks_of(tiers: Sequence[Tier], remarks: list[str], *, where: str) -> tuple[Block, ...]:
    """Make energy blocks.

    Parameters
    ----------
    tiers
        Of one period.
    remarks
        Collects choices that were taken.
    where
        Name for messages.

    Returns
    -------
    tuple of Block
        The last one has no limit.

    Raises
    ------
    InputError
        If a unit is not known, or a tier before the last has no bound.
    """
    blocks = []
    for place, tier in enumerate(tiers):
        if tier.unit not in _UNITS:
            raise InputError(
                f"the unit {tier.unit!r} of a tier",
                where=where,
                expected=", ".join(unit for unit in _UNITS if unit),
            )
        if place == len(tiers) - 1:
            if tier.max is not None and len(tiers) > 1:
                remarks.append(
                    f"{where}: the last tier has a bound of {tier.max:g}; use above it is billed"
                    " at its price too."
                )
            blocks.append(Block(price=tier_price(tier)))
            continue
        if tier.max is None:
            raise InputError("a tier without max that is not the last", where=where)
        if not tier.unit:
            remarks.append(f"{where}: the bound {tier.max:g} has no unit: kWh a month are taken.")
        blocks.append(Block(price=tier_price(tier), up_to=tier.max, per=_UNITS[tier.unit]))
    return tuple(blocks)
