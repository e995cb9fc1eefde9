"""What an option costs under a tariff: the whole bill with it, less the bill without."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from energymodel.arrays import Array
from energymodel.meters.base_profile import spread_months
from energymodel.notices import Notice, UsedDefault
from energymodel.scenario.prices import HouseTariff
from energymodel.season.result import COOLING, HEATING, AnnualResult
from energymodel.tariffs.bill import Prepared, prepare
from energymodel.tariffs.calendar import year_clock
from energymodel.tariffs.difference import BillDifference, difference
from energymodel.tariffs.in_force import billing_year
from energymodel.weather.year import WeatherYear


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class HouseBill:
    """A house's tariff laid on the weather year, with its other use.

    Parameters
    ----------
    prepared
        The tariff with its calendar.
    other_kwh
        Other use of each hour, kWh, shape (hours,).
    month_of_hour
        Month of each hour in standard time, 1..12.
    defaults, notices
        What the preparation used and found.
    """

    prepared: Prepared
    other_kwh: Array
    month_of_hour: np.ndarray[tuple[int], np.dtype[np.intp]]
    defaults: tuple[UsedDefault, ...]
    notices: tuple[Notice, ...]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class BilledOption:
    """Electricity of one option as a difference of two bills.

    Parameters
    ----------
    cost_by_month
        Money by service, shape (12,): heating is added to the other use first, cooling after it.
    whole
        The bill with the option against the bill without it, line by line.
    whole_bill
        The bill of the house with the option, money per year.
    """

    cost_by_month: Mapping[str, Array]
    whole: BillDifference
    whole_bill: float


def house_bill(house: HouseTariff, weather: WeatherYear) -> HouseBill:
    """Lay a tariff on a weather year.

    Parameters
    ----------
    house
        The tariff and the other use.
    weather
        A complete year; an observed one is billed on its own calendar, a typical one on the
        tariff's first year.

    Returns
    -------
    HouseBill
        Ready to bill options.

    Raises
    ------
    InputError
        If the place's zone is not known or does not fit, or the tariff needs what hours cannot
        give.
    """
    hours = weather.table.index.to_numpy()
    defaults: tuple[UsedDefault, ...] = ()
    if weather.kind == "observed":
        year = int(weather.year_label)
    else:
        year, default = billing_year(house.tariff)
        defaults = (default,)
    clock = year_clock(
        year,
        zone=weather.site.zone,
        rows=hours.size,
        utc_offset_h=weather.site.utc_offset_h,
    )
    base = spread_months(house.other_use_kwh, hours)
    used = any(house.other_use_kwh)
    prepared = prepare(house.tariff, clock)
    return HouseBill(
        prepared=prepared,
        other_kwh=base.use_kwh,
        month_of_hour=weather.month.astype(np.intp),
        defaults=(*defaults, *(base.defaults if used else ())),
        notices=(*prepared.plan.notices, *(base.notices if used else ())),
    )


def bill_option(house: HouseBill, result: AnnualResult) -> BilledOption:
    """Bill an option's electricity with and without.

    Parameters
    ----------
    house
        The tariff laid on the year.
    result
        The option's year.

    Returns
    -------
    BilledOption
        Cost by service and month, and the whole difference.
    """
    heating = result.hourly_electricity_of(HEATING, house.month_of_hour)
    cooling = result.hourly_electricity_of(COOLING, house.month_of_hour)
    without = house.other_kwh
    loads = np.column_stack([without, without + heating, without + heating + cooling])
    bills = house.prepared.bill(loads)
    total = bills.total_by_period
    return BilledOption(
        cost_by_month={
            HEATING: total[:, 1] - total[:, 0],
            COOLING: total[:, 2] - total[:, 1],
        },
        whole=difference(bills.of_column(2), bills.of_column(0)),
        whole_bill=float(total[:, 2].sum()),
    )
