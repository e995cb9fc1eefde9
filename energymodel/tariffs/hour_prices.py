"""Price of the first unit of use in each hour of weekdays and weekends, month by month."""

from __future__ import annotations

import numpy as np

from energymodel.arrays import Array
from energymodel.tariffs.schedule import Hours, period_index
from energymodel.tariffs.tariff import Tariff
from energymodel.tariffs.windows import DayKind, date_key

_MIDDLE_OF_MONTH = 15


def first_unit_prices(tariff: Tariff, kind: DayKind) -> Array:
    """Sum of energy and rider prices of the first block.

    Parameters
    ----------
    tariff
        The record; prices by an hourly series are left out.
    kind
        Kind of day.

    Returns
    -------
    Array
        Money per unit of use, shape (12, 24), on the 15th of each month at the start of the hour.
    """
    months, clock = np.meshgrid(np.arange(1, 13), np.arange(24), indexing="ij")
    hours = Hours(
        keys=months.ravel() * date_key(1, 0) + _MIDDLE_OF_MONTH,
        kinds=np.full(months.size, int(kind)),
        minutes=clock.ravel() * 60,
        seasons=tariff.seasons,
    )
    prices = np.zeros(months.size)
    for charge in tariff.energy:
        first = np.array([period.blocks[0].price for period in charge.periods])
        prices += first[period_index(charge.periods, hours)]
    for rider in tariff.riders:
        prices += np.array([rider.price_of(int(month)) for month in months.ravel()])
    return prices.reshape(12, 24)
