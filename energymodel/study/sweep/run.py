"""Run the pieces of a sweep: in a batch where one structure allows it, else one by one."""

from __future__ import annotations

import numpy as np

from energymodel.arrays import Index
from energymodel.errors import EnergyModelError
from energymodel.study.comparison.compare import compare
from energymodel.study.sweep.batch import Group, batch_block, group_of
from energymodel.study.sweep.block import Block, empty_block, fill
from energymodel.study.sweep.groups import AxisKind, axes_of, chunks_of
from energymodel.study.sweep.plan import SweepPlan

_TOLERANCE = 1e-9
_GROUPS_KEPT = 32


class Runner:
    """Runs pieces of one sweep; what pieces share is prepared once.

    Parameters
    ----------
    plan
        The sweep.
    """

    def __init__(self, plan: SweepPlan) -> None:
        self.plan = plan
        self.chunks = chunks_of(plan)
        self._structure = axes_of(plan, AxisKind.STRUCTURE)
        self._groups: dict[tuple[int, ...], Group | None] = {}

    def run(self, number: int) -> Block:
        """Run one piece.

        Parameters
        ----------
        number
            Of the piece, from 0.

        Returns
        -------
        Block
            Its numbers; refused variants carry their reason.
        """
        chunk = self.chunks[number]
        if chunk.together:
            block = self._together(chunk.variants)
            if block is not None:
                return block
        return one_by_one(self.plan, chunk.variants)

    def _together(self, variants: Index) -> Block | None:
        key = tuple(int(axis.code(variants[:1])[0]) for axis in self._structure)
        if key not in self._groups:
            if len(self._groups) >= _GROUPS_KEPT:
                self._groups.pop(next(iter(self._groups)))
            self._groups[key] = group_of(self.plan, int(variants[0]))
            block = self._checked(key, variants)
            if block is None:
                self._groups[key] = None
            return block
        group = self._groups[key]
        return None if group is None else batch_block(group, variants)

    def _checked(self, key: tuple[int, ...], variants: Index) -> Block | None:
        """Run the first piece of a group, and its first and last variant singly beside it."""
        group = self._groups[key]
        block = None if group is None else batch_block(group, variants)
        if block is None:
            return None
        good = [at for at in range(variants.size) if at not in block.reasons]
        ends = np.array(sorted({good[0], good[-1]} if good else {0}), dtype=np.intp)
        single = one_by_one(self.plan, variants[ends])
        return block if _same(block, single, ends) else None


def one_by_one(plan: SweepPlan, variants: Index) -> Block:
    """Compare the options of each variant by itself.

    Parameters
    ----------
    plan
        The sweep.
    variants
        Numbers of the variants.

    Returns
    -------
    Block
        Their numbers.
    """
    block = empty_block(plan, variants)
    for at, variant in enumerate(variants.tolist()):
        try:
            comparison = compare(plan.scenario(variant))
        except EnergyModelError as error:
            block.reasons[at] = str(error)
        else:
            fill(block, at, comparison, plan.options)
    return block


def _same(block: Block, single: Block, at: Index) -> bool:
    refused = {number for number, place in enumerate(at.tolist()) if place in block.reasons}
    if refused != set(single.reasons):
        return False
    pairs = ((block.years, single.years), (block.months, single.months))
    return all(
        np.allclose(ours[name][at], values, rtol=_TOLERANCE, atol=_TOLERANCE, equal_nan=True)
        for ours, theirs in pairs
        for name, values in theirs.items()
    )
