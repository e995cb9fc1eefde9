"""Price of one more kWh in each hour of a house under its tariff."""

from __future__ import annotations

import numpy as np

from energymodel.arrays import Array, Index
from energymodel.study.comparison.bill_costs import HouseBill
from energymodel.tariffs.bill import Bill
from energymodel.tariffs.bill_line import LineKind
from energymodel.tariffs.metering import MeterPlan, tariff_hours
from energymodel.tariffs.schedule import period_index

_ADDED_KWH = 1e-3
_CLASSES_AT_ONCE = 64


def marginal_hour_price(house: HouseBill, load_kwh: Array) -> Array:
    """Price of one more kWh in each hour, from the difference of two bills.

    Parameters
    ----------
    house
        The tariff laid on the year.
    load_kwh
        All use of the house in each hour, kWh, shape (hours,): it decides the block.

    Returns
    -------
    Array
        Money per kWh, shape (hours,).

    Notes
    -----
    Hours of one month that share the period of every energy charge are one class: a little use is
    added to each of its hours and both bills are taken. Under a demand charge only the lines of
    energy and riders count, because a demand belongs to one hour and not to a kWh. Blocks that
    fill in time order give the mean of the class.
    """
    classes = _classes(house.prepared.plan)
    before = _priced(house.prepared.bill(load_kwh))
    counts = np.bincount(classes)
    by_class = np.zeros(counts.size)
    for first in range(0, counts.size, _CLASSES_AT_ONCE):
        chosen = np.arange(first, min(first + _CLASSES_AT_ONCE, counts.size))
        added = _ADDED_KWH * (classes[:, np.newaxis] == chosen)
        after = _priced(house.prepared.bill(load_kwh[:, np.newaxis] + added))
        by_class[chosen] = (after - before) / (_ADDED_KWH * counts[chosen])
    return by_class[classes] + _series(house.prepared.plan, classes, counts)


def _priced(bill: Bill) -> Array:
    if not bill.tariff.demand:
        return bill.total
    energy = bill.of_kind(LineKind.ENERGY) + bill.of_kind(LineKind.ADJUSTMENT)
    return np.asarray(energy.sum(axis=0))


def _classes(plan: MeterPlan) -> Index:
    """Give hours of one bill, calendar month and period of every energy charge one number."""
    hours = tariff_hours(plan.tariff, plan.clock)
    code = plan.periods.owner(plan.clock.dates) * 13 + plan.clock.months
    for charge in plan.tariff.energy:
        code = code * (len(charge.periods) + 1) + period_index(charge.periods, hours) + 1
    return np.asarray(np.unique(code, return_inverse=True)[1], dtype=np.intp)


def _series(plan: MeterPlan, classes: Index, counts: Index) -> Array:
    """Hourly prices less their mean in the class, which is in the difference of bills already."""
    total = np.zeros(classes.size)
    for price in plan.series.values():
        total += np.asarray(price, dtype=np.float64) / plan.tariff.unit.kwh
    return total - (np.bincount(classes, weights=total) / counts)[classes]
