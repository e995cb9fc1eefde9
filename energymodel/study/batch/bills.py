"""Bills of many variants under one tariff: by cells where sums and maxima are enough."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from energymodel.arrays import Array, Index
from energymodel.season.batch.cells import hours_in_cells, largest_base_w
from energymodel.season.states import States
from energymodel.study.comparison.bill_costs import HouseBill
from energymodel.tariffs.bill import bill_registers
from energymodel.tariffs.cell_sums import CellPlan, CellUse, plan_cells, read_cells, why_hours
from energymodel.tariffs.flows import Flows
from energymodel.tariffs.lines import price_bills
from energymodel.tariffs.metering import read_meter
from energymodel.tariffs.registers import Registers

_COLUMNS_AT_ONCE = 2048
"""Bills of as many columns stay within the cache."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class CellBills:
    """A tariff laid on the states of one option.

    Parameters
    ----------
    house
        The tariff laid on the year.
    plan
        Its cells.
    base
        Registers of the other use alone.
    base_cost
        Its bill, money per year.
    weights
        Hours of each state in each cell, then hours times price in each sum of an hourly price,
        shape (rows, states).
    label
        Month of each row, 0..11.
    window_label
        Month of each demand window, 0..11.
    base_w
        Largest other use in each demand window at each state, W, shape (windows, states).
    """

    house: HouseBill
    plan: CellPlan
    base: Registers
    base_cost: float
    weights: Array
    label: Index
    window_label: Index
    base_w: Array

    @property
    def cells(self) -> slice:
        """Rows that are the cells: together they are the year."""
        return slice(0, self.plan.label.size)

    @property
    def hours_in_month(self) -> Array:
        """Hours of each month, shape (12,)."""
        return np.bincount(self.house.month_of_hour - 1, minlength=12).astype(np.float64)

    def yearly_cost(self, added: Sequence[Array], peak_kw: Sequence[Array]) -> list[Array]:
        """Bill loads.

        Parameters
        ----------
        added
            One or more loads on top of the other use: sums by row of the weights, kWh, shape
            (rows, variants).
        peak_kw
            For each of them the highest power in each window, the other use included, kW, shape
            (windows, variants).

        Returns
        -------
        list of Array
            Bill with the load less bill without, money per year, shape (variants,), for each load.
        """
        variants = added[0].shape[1]
        width = max(_COLUMNS_AT_ONCE // len(added), 1)
        pieces = [
            self._cost(
                np.concatenate([one[:, rows] for one in added], axis=1),
                np.concatenate([one[:, rows] for one in peak_kw], axis=1),
            ).reshape(len(added), -1)
            for rows in _slices(variants, width)
        ]
        return list(np.concatenate(pieces, axis=1))

    def _cost(self, added: Array, peak_kw: Array) -> Array:
        use = CellUse(
            kwh=added[self.cells],
            priced=_divided(added[self.plan.label.size :], self.plan.series),
            peak_kw=_divided(peak_kw, self.plan.windows),
        )
        registers = read_cells(self.plan, self.base, use)
        lines = price_bills(self.plan.tariff, registers, self.house.prepared.plan.customer).lines
        total: Array = np.zeros(added.shape[1])
        for line in lines:
            total += line.amount.sum(axis=0)
        return total - self.base_cost


def _slices(count: int, width: int) -> Iterator[slice]:
    yield from (slice(start, start + width) for start in range(0, count, width))


def _divided(rows: Array, parts: Mapping[str, object]) -> dict[str, Array]:
    """Cut rows into those of each part, in their order."""
    found, start = {}, 0
    for name, part in parts.items():
        stop = start + part.label.size  # type: ignore[attr-defined]
        found[name] = rows[start:stop]
        start = stop
    return found


def needs_hours(house: HouseBill, *, electricity: bool) -> str:
    """Say why a tariff must bill the hours themselves.

    Parameters
    ----------
    house
        The tariff laid on the year.
    electricity
        Whether it bills electricity, whose maxima are known.

    Returns
    -------
    str
        Empty where cells are enough.
    """
    if (house.other_kwh < 0).any():
        return "other use below zero"
    if house.prepared.plan.tariff.demand and not electricity:
        return "a demand charge on a fuel"
    return why_hours(house.prepared.plan)


def cell_bills(house: HouseBill, states: States) -> CellBills:
    """Lay a tariff on the states of an option.

    Parameters
    ----------
    house
        The tariff laid on the year; :func:`needs_hours` finds nothing in it.
    states
        States of the option's year.

    Returns
    -------
    CellBills
        Ready to bill any number of variants.
    """
    hourly = house.prepared.plan
    plan = plan_cells(hourly, house.month_of_hour - 1)
    base = read_meter(hourly, Flows(use_kwh=house.other_kwh[:, np.newaxis]))
    bill = bill_registers(hourly.tariff, base, customer=hourly.customer)
    weights = [hours_in_cells(states, plan.cell_of_hour, plan.label.size)]
    weights += [
        hours_in_cells(states, one.sum_of_hour, one.label.size, weight=one.price)
        for one in plan.series.values()
    ]
    windows = list(plan.windows.values())
    base_w = [
        largest_base_w(states, 1000.0 * house.other_kwh, one.window_of_hour, len(one))
        for one in windows
    ]
    return CellBills(
        house=house,
        plan=plan,
        base=base,
        base_cost=float(bill.total[0]),
        weights=np.concatenate(weights),
        label=np.concatenate([plan.label, *(one.label for one in plan.series.values())]),
        window_label=np.concatenate([np.zeros(0, dtype=np.intp), *(one.label for one in windows)]),
        base_w=np.concatenate([np.zeros((0, len(states))), *base_w]),
    )
