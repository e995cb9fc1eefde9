"""What the limits of blocks count on each bill: months, days, baseline, billed demand."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from energymodel.arrays import Array, Mask
from energymodel.tariffs.billing_period import BillingPeriods
from energymodel.tariffs.blocks import BillScale
from energymodel.tariffs.charges import BlockCount, DemandCharge, EnergyCharge
from energymodel.tariffs.customer import Customer
from energymodel.tariffs.dates import date_keys
from energymodel.tariffs.demand import (
    RatchetHistory,
    billed_demand,
    period_dates,
    season_weights,
)
from energymodel.tariffs.registers import Registers
from energymodel.tariffs.tariff import Tariff
from energymodel.tariffs.windows import season_dates


def billed_kw(
    tariff: Tariff, charge: DemandCharge, registers: Registers, customer: Customer
) -> Array:
    """Demand billed under a charge.

    Parameters
    ----------
    tariff
        The charge belongs to it.
    charge
        With its ratchet and least demand.
    registers
        Measured demand.
    customer
        Demand before the first bill, if known.

    Returns
    -------
    Array
        kW, shape (bills, periods, columns); 0 in bills in which a period does not exist.
    """
    history = RatchetHistory(
        before_kw=tuple(customer.demand_before_kw.get(charge.name, ())),
        repeats=registers.cyclic,
    )
    billed = billed_demand(
        charge, registers.demand_kw[charge.name], registers.periods.month_of_end, history
    )
    there = season_weights(charge, tariff.seasons, registers.periods) > 0
    return np.where(there[:, :, None], billed, 0.0)


def days_in_seasons(tariff: Tariff, seasons: tuple[str, ...], periods: BillingPeriods) -> Array:
    """Days of each bill that lie in seasons.

    Parameters
    ----------
    tariff
        Defines the seasons.
    seasons
        Names; empty: all days.
    periods
        Of the bills.

    Returns
    -------
    Array
        Shape (bills,).
    """
    return _days_on(season_dates(seasons, tariff.seasons), periods)


def _days_on(there: Mask, periods: BillingPeriods) -> Array:
    """Count the days of each bill among certain dates of the year."""
    dates, owner = periods.each_day()
    days: Array = np.bincount(owner, there[date_keys(dates)], len(periods)).astype(np.float64)
    return days


def bill_scales(
    tariff: Tariff, charge: EnergyCharge, registers: Registers, customer: Customer
) -> tuple[BillScale, ...]:
    """Find what the limits of the blocks of each period count on each bill.

    Parameters
    ----------
    tariff
        The charge belongs to it.
    charge
        Names the demand that counts in blocks "per kW".
    registers
        Of the bills.
    customer
        Demand before the first bill, if known.

    Returns
    -------
    tuple of BillScale
        One per period. Where each period fills blocks of its own, its limits count the days of
        the bill on which it exists: a season that begins inside a bill has its days only.
    """
    whole = bill_scale(tariff, charge, registers, customer)
    if charge.count is not BlockCount.EACH_PERIOD or len(charge.periods) == 1:
        return (whole,) * len(charge.periods)
    found = []
    for there in period_dates(charge.periods, tariff.seasons):
        days = _days_on(there, registers.periods)
        share = days / np.maximum(whole.days, 1.0)
        baseline = _baseline(tariff, registers.periods, there)
        found.append(replace(whole, days=days, months=whole.months * share, baseline=baseline))
    return tuple(found)


def _baseline(tariff: Tariff, periods: BillingPeriods, there: Mask) -> Array:
    """Add up the allowance of each bill over certain dates of the year."""
    allowed = np.zeros(len(periods))
    for allowance in tariff.baseline:
        dates = there & season_dates(allowance.seasons, tariff.seasons)
        allowed += allowance.per_day * _days_on(dates, periods)
    return allowed


def bill_scale(
    tariff: Tariff, charge: EnergyCharge, registers: Registers, customer: Customer
) -> BillScale:
    """Find what the limits of an energy charge's blocks count on each bill.

    Parameters
    ----------
    tariff
        The charge belongs to it.
    charge
        Names the demand that counts in blocks "per kW".
    registers
        Of the bills.
    customer
        Demand before the first bill, if known.

    Returns
    -------
    BillScale
        For :func:`energymodel.tariffs.blocks.block_edges`.
    """
    periods = registers.periods
    every_day = season_dates((), tariff.seasons)
    demand = next((one for one in tariff.demand if one.name == charge.demand), None)
    kw = registers.highest_kw
    if demand is not None:
        kw = billed_kw(tariff, demand, registers, customer).max(axis=1)
    return BillScale(
        months=periods.months(tariff.monthly_amounts),
        days=periods.days,
        baseline=_baseline(tariff, periods, every_day),
        billed_kw=kw,
    )
