"""Blocks (tiers): where their limits lie on each bill, and how use is divided among them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from energymodel.arrays import Array
from energymodel.tariffs.charges import Block, BlockCount, BlockPer, EnergyCharge


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class BillScale:
    """What the limits of blocks count on each bill.

    Parameters
    ----------
    months
        Amounts per month due, shape (bills,).
    days
        Days, shape (bills,).
    baseline
        Baseline allowance, units of use, shape (bills,).
    billed_kw
        Billed demand, kW, shape (bills, columns).
    """

    months: Array
    days: Array
    baseline: Array
    billed_kw: Array

    def of(self, per: BlockPer) -> Array:
        """Multiplier of a limit.

        Parameters
        ----------
        per
            What the limit counts.

        Returns
        -------
        Array
            Shape (bills, columns) or (bills, 1).
        """
        match per:
            case BlockPer.MONTH:
                return self.months[:, None]
            case BlockPer.DAY:
                return self.days[:, None]
            case BlockPer.BASELINE:
                return self.baseline[:, None]
            case BlockPer.KW:
                return self.billed_kw * self.months[:, None]
            case BlockPer.KW_AND_DAY:
                return self.billed_kw * self.days[:, None]


def block_edges(blocks: Sequence[Block], scale: BillScale) -> Array:
    """Limits of blocks on each bill, from 0 to infinity.

    Parameters
    ----------
    blocks
        In rising order; limits that count different things are taken in the order given.
    scale
        Of the bills.

    Returns
    -------
    Array
        Units of use, shape (blocks + 1, bills, columns or 1), never falling.
    """
    edges = [np.zeros((len(scale.months), 1))]
    for block in blocks:
        if block.up_to is None:
            edges.append(np.full((len(scale.months), 1), np.inf))
        else:
            edges.append(np.maximum(edges[-1], block.up_to * scale.of(block.per)))
    return np.stack(np.broadcast_arrays(*edges))


def in_blocks(use: Array, edges: Array) -> Array:
    """Divide use among blocks.

    Parameters
    ----------
    use
        Units of use, >= 0, shape (bills, columns).
    edges
        From :func:`block_edges`.

    Returns
    -------
    Array
        Shape (blocks, bills, columns); adds up to the use.

    Examples
    --------
    >>> edges = np.array([0.0, 600.0, np.inf]).reshape(3, 1, 1)
    >>> in_blocks(np.array([[1500.0]]), edges).ravel().tolist()
    [600.0, 900.0]
    """
    return np.clip(use[None], edges[:-1], edges[1:]) - edges[:-1]


def by_period_and_block(
    charge: EnergyCharge, use: Array, scales: Sequence[BillScale]
) -> tuple[Array, ...]:
    """Divide the use of each bill among periods and blocks, by the total of the bill.

    Parameters
    ----------
    charge
        Counts blocks by month total or by each period.
    use
        Units of use, shape (bills, periods, columns).
    scales
        One per period.

    Returns
    -------
    tuple of Array
        One per period, shape (blocks, bills, columns).

    Notes
    -----
    By month total each period has the blocks in proportion to its share of the use, so that with
    the same blocks in all periods their sum is that of one period. By each period the limits count
    the days of the bill on which the period exists.
    """
    whole = use.sum(axis=1)
    divided = []
    for number, (period, scale) in enumerate(zip(charge.periods, scales, strict=True)):
        edges = block_edges(period.blocks, scale)
        own = use[:, number]
        if charge.count is BlockCount.EACH_PERIOD or len(charge.periods) == 1:
            divided.append(in_blocks(own, edges))
        else:
            share = np.divide(own, whole, out=np.zeros_like(own), where=whole > 0)
            divided.append(in_blocks(whole, edges) * share)
    return tuple(divided)
