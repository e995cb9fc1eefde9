"""What a meter has counted on each bill, before any price."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np

from energymodel.arrays import Array
from energymodel.notices import Notice
from energymodel.tariffs.billing_period import BillingPeriods


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Registers:
    """Use and demand of each bill, in the tariff's unit of sale.

    Parameters
    ----------
    periods
        Of the bills.
    total
        Use, shape (bills, columns).
    use
        By energy charge: shape (bills, periods of the charge, columns).
    in_blocks
        By energy charge whose blocks fill in time order: one array per period, shape
        (blocks, bills, columns).
    fed_in
        By energy charge (net metering) or by the export credit (otherwise): shape (bills, periods,
        columns).
    by_month
        Use by calendar month, shape (bills, 12, columns).
    series_money
        By hourly price: money, shape (bills, columns).
    demand_kw
        By demand charge: measured kW, shape (bills, periods of the charge, columns).
    highest_kw
        Highest interval of the data, kW, shape (bills, columns).
    reactive_kvar
        Highest reactive demand, kvar, shape (bills, columns); None: not known.
    cyclic
        The bills are those of a year that repeats itself.
    notices
        What the reader should know.
    """

    periods: BillingPeriods
    total: Array
    use: Mapping[str, Array]
    by_month: Array
    highest_kw: Array
    in_blocks: Mapping[str, tuple[Array, ...]] = field(default_factory=dict)
    fed_in: Mapping[str, Array] = field(default_factory=dict)
    series_money: Mapping[str, Array] = field(default_factory=dict)
    demand_kw: Mapping[str, Array] = field(default_factory=dict)
    reactive_kvar: Array | None = None
    cyclic: bool = False
    notices: tuple[Notice, ...] = ()

    @property
    def shape(self) -> tuple[int, int]:
        """Number of bills and of load columns."""
        bills, columns = self.total.shape
        return bills, columns

    @property
    def total_fed_in(self) -> Array:
        """Energy fed in, shape (bills, columns)."""
        for found in self.fed_in.values():
            return np.asarray(found.sum(axis=1), dtype=np.float64)
        return np.zeros(self.shape)
