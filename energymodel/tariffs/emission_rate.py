"""Emissions by hour or year, with the shape of a bill."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from energymodel.arrays import Array
from energymodel.errors import InputError
from energymodel.tariffs.billing_period import BillingPeriods
from energymodel.tariffs.calendar import WallClock
from energymodel.tariffs.cells import make_cells
from energymodel.tariffs.flows import columns_of


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class EmissionRate:
    """Emissions per unit of energy.

    Parameters
    ----------
    kg_per_kwh
        CO2 equivalent, one rate for the year, shape (), or one per interval, shape (rows,).
    basis
        What it holds for: place, data year, average or marginal. The two are never mixed.
    """

    kg_per_kwh: Array
    basis: str


def emissions_by_bill(
    rate: EmissionRate, load_kwh: ArrayLike, *, clock: WallClock, periods: BillingPeriods
) -> Array:
    """Emissions of each billing period.

    Parameters
    ----------
    rate
        Per kWh.
    load_kwh
        kWh of each interval, shape (rows,) or (rows, columns).
    clock
        Of the rows.
    periods
        Billing periods that cover them.

    Returns
    -------
    Array
        kg CO2 equivalent, shape (bills,) or (bills, columns).

    Raises
    ------
    InputError
        If the rate does not fit the rows.
    """
    load = columns_of(load_kwh, len(clock), "the load")
    kg = np.asarray(rate.kg_per_kwh, dtype=np.float64)
    if kg.shape not in ((), (len(clock),)):
        raise InputError(f"{kg.size} emission rates for {len(clock)} rows", where=rate.basis)
    by_row = load * (kg[:, None] if kg.ndim else kg)
    found = make_cells(periods.owner(clock.dates), len(periods)).total(by_row)
    return found if np.ndim(load_kwh) > 1 else found[:, 0]
