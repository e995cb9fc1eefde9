"""What is done with a bill in which a season begins: in words, and as defaults of a result."""

from __future__ import annotations

import numpy as np

from energymodel.arrays import Array, Index
from energymodel.notices import UsedDefault
from energymodel.tariffs.billing_period import BillingPeriods
from energymodel.tariffs.charges import BlockCount, DemandCharge, EnergyCharge, Measured
from energymodel.tariffs.dates import date_keys
from energymodel.tariffs.demand import period_dates
from energymodel.tariffs.tariff import Tariff

DEMAND_BY_DAYS = "in a bill that its season begins or ends in, its kW count by its share of days"
NO_RATCHET_OUTSIDE = "bills outside its season bill nothing, and the ratchet lifts none of them"
LIMITS_OF_THE_SEASON = "the limits of a season's blocks count the days of the bill in that season"
LIMITS_OF_THE_BILL = (
    "limits count all days of the bill, and each season has the blocks in its share of the use"
)


def _has_blocks(charge: EnergyCharge) -> bool:
    return any(len(period.blocks) > 1 for period in charge.periods)


def _all_dates() -> Index:
    return date_keys(np.arange("2024-01-01", "2025-01-01", dtype="datetime64[D]"))


def is_seasonal(charge: DemandCharge | EnergyCharge, tariff: Tariff) -> bool:
    """Whether a period of a charge exists on some dates of the year only.

    Parameters
    ----------
    charge
        Of the tariff.
    tariff
        Defines the seasons.

    Returns
    -------
    bool
        True if a season can begin inside a bill.
    """
    dates = _all_dates()
    return any(not there[dates].all() for there in period_dates(charge.periods, tariff.seasons))


def leaves_dates_out(charge: DemandCharge, tariff: Tariff) -> bool:
    """Whether a demand charge exists on some dates of the year only.

    Parameters
    ----------
    charge
        Of the tariff.
    tariff
        Defines the seasons.

    Returns
    -------
    bool
        True if it is a charge of a season.
    """
    somewhere = np.logical_or.reduce(period_dates(charge.periods, tariff.seasons))
    return not bool(somewhere[_all_dates()].all())


def split_season_defaults(tariff: Tariff, periods: BillingPeriods) -> tuple[UsedDefault, ...]:
    """List the rules by which bills were made in which a season begins, or that it leaves out.

    Parameters
    ----------
    tariff
        With its charges.
    periods
        Of the bills.

    Returns
    -------
    tuple of UsedDefault
        Empty where every season fits the bills.
    """
    if not tariff.seasons:
        return ()
    rules: list[tuple[str, str]] = []
    for energy in tariff.energy:
        if _has_blocks(energy) and _is_cut(energy, tariff, periods):
            of_each = energy.count is BlockCount.EACH_PERIOD
            rules.append((energy.name, LIMITS_OF_THE_SEASON if of_each else LIMITS_OF_THE_BILL))
    for demand in tariff.demand:
        if demand.measured is not Measured.DAY and _is_cut(demand, tariff, periods):
            rules.append((demand.name, DEMAND_BY_DAYS))
        if demand.ratchet is not None and _is_absent(demand, tariff, periods):
            rules.append((demand.name, NO_RATCHET_OUTSIDE))
    return tuple(
        UsedDefault(name=f"seasons of {name}", value=value, source="our choice")
        for name, value in rules
    )


def _days_in(charge: DemandCharge | EnergyCharge, tariff: Tariff, periods: BillingPeriods) -> Array:
    """Count the days of each bill on which each period exists, shape (bills, periods)."""
    dates, owner = periods.each_day()
    keys = date_keys(dates)
    return np.stack(
        [
            np.bincount(owner, there[keys], len(periods))
            for there in period_dates(charge.periods, tariff.seasons)
        ],
        axis=1,
    )


def _is_cut(charge: DemandCharge | EnergyCharge, tariff: Tariff, periods: BillingPeriods) -> bool:
    days = _days_in(charge, tariff, periods)
    return bool(((days > 0) & (days < periods.days[:, None])).any())


def _is_absent(charge: DemandCharge, tariff: Tariff, periods: BillingPeriods) -> bool:
    return bool((_days_in(charge, tariff, periods) == 0).all(axis=1).any())
