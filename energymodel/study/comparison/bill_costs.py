"""What an option costs under a tariff: the whole bill with it, less the bill without."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from energymodel.arrays import Array
from energymodel.meters.base_profile import spread_months
from energymodel.notices import Notice, UsedDefault
from energymodel.scenario.prices import ELECTRICITY, HouseTariff, OwnMeter
from energymodel.scenario.supply import weather_clock
from energymodel.season.result import COOLING, HEATING, AnnualResult
from energymodel.tariffs.bill import Bill, Prepared, prepare
from energymodel.tariffs.calendar import WallClock
from energymodel.tariffs.difference import BillDifference, difference
from energymodel.tariffs.several_meters import together
from energymodel.weather.year import WeatherYear

_SERVICES = (HEATING, COOLING)


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
    carrier
        What it bills.
    charges_per_year
        Money that the account costs in a year without any use.
    other_use_per_year
        Money that the other use adds to them.
    meters
        Meters of options apart from this one, laid on the same year, by name of the option.
    """

    prepared: Prepared
    other_kwh: Array
    month_of_hour: np.ndarray[tuple[int], np.dtype[np.intp]]
    defaults: tuple[UsedDefault, ...]
    notices: tuple[Notice, ...]
    carrier: str = ELECTRICITY
    charges_per_year: float = 0.0
    other_use_per_year: float = 0.0
    meters: Mapping[str, HouseBill] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class BilledOption:
    """One carrier of one option as a difference of two bills.

    Parameters
    ----------
    cost_by_month
        Money by service, shape (12,): heating is added to the other use first, cooling after it.
        The charges of a meter of its own are in the first service on that meter.
    whole
        The bill with the option against the bill without it, line by line; with a meter of its own
        the lines of both meters, each with the name of its meter.
    whole_bill
        The bill of the house with the option, all meters, money per year.
    appliance_cost
        Money per year for the appliances that the option brings along, added last.
    own_meter_charges
        What a meter of its own costs without any use, money per year; it is in the costs already.
    """

    cost_by_month: Mapping[str, Array]
    whole: BillDifference
    whole_bill: float
    appliance_cost: float = 0.0
    own_meter_charges: float = 0.0


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
    clock, defaults = weather_clock(house.tariff, weather)
    base = spread_months(house.other_use_kwh, weather.table.index.to_numpy())
    laid = _laid(house, clock, base.use_kwh, weather)
    meters = {
        name: _laid(_alone(meter), clock, np.zeros(len(clock)), weather)
        for name, meter in house.meters.items()
    }
    by_hour = any(house.other_use_kwh) and house.carrier == ELECTRICITY
    notices = [note for one in (laid, *meters.values()) for note in one.notices]
    return replace(
        laid,
        defaults=(*defaults, *(base.defaults if by_hour else ())),
        notices=(*dict.fromkeys(notices), *(base.notices if by_hour else ())),
        meters=meters,
    )


def _alone(meter: OwnMeter) -> HouseTariff:
    """Make a second meter a tariff with nothing else on it."""
    return HouseTariff(tariff=meter.tariff, other_use_kwh=(0.0,) * 12, folder=meter.folder)


def _laid(
    house: HouseTariff, clock: WallClock, other_kwh: Array, weather: WeatherYear
) -> HouseBill:
    prepared = prepare(house.tariff, clock, series=_series(house, clock))
    nothing, other = prepared.bill(np.column_stack([np.zeros(len(clock)), other_kwh])).total
    return HouseBill(
        prepared=prepared,
        other_kwh=other_kwh,
        month_of_hour=weather.month.astype(np.intp),
        defaults=(),
        notices=prepared.plan.notices,
        carrier=house.carrier,
        charges_per_year=float(nothing),
        other_use_per_year=float(other - nothing),
    )


def _series(house: HouseTariff, clock: WallClock) -> dict[str, Array]:
    """Read the hourly prices that the tariff names."""
    if not any(hourly.file for hourly in house.tariff.hourly):
        return {}
    from energymodel.tariffs.price_series import hourly_prices  # noqa: PLC0415 - few tariffs

    return hourly_prices(house.tariff, clock, house.folder)


def bill_option(
    house: HouseBill, result: AnnualResult, *, appliance_use_kwh: Sequence[float] | None = None
) -> BilledOption:
    """Bill an option's use of one carrier with and without.

    Parameters
    ----------
    house
        The tariff laid on the year; it says which carrier.
    result
        The option's year.
    appliance_use_kwh
        Use of appliances that the option brings along, kWh in January to December; None: none.

    Returns
    -------
    BilledOption
        Cost by service and month, and the whole difference.
    """
    meter = house.meters.get(result.option_name)
    used = [_hourly_kwh(house, result, name) for name in _SERVICES]
    own = [result.hourly_own_meter_of(name, house.month_of_hour) for name in _SERVICES]
    if meter is not None:
        # sums over the uses in another order differ by rounding: that is no energy fed in
        used = [np.maximum(kwh - passed, 0.0) for kwh, passed in zip(used, own, strict=True)]
    steps = [house.other_kwh, *used]
    if appliance_use_kwh is not None:
        steps.append(_spread(house, appliance_use_kwh))
    bills = house.prepared.bill(np.cumsum(np.column_stack(steps), axis=1))
    total = bills.total_by_period
    billed = BilledOption(
        cost_by_month={
            HEATING: total[:, 1] - total[:, 0],
            COOLING: total[:, 2] - total[:, 1],
        },
        whole=difference(bills.of_column(len(steps) - 1), bills.of_column(0)),
        whole_bill=float(total[:, -1].sum()),
        appliance_cost=float((total[:, -1] - total[:, 2]).sum()),
    )
    if meter is None:
        return billed
    apart = meter.prepared.bill(np.cumsum(np.column_stack(own), axis=1))
    found = _with_own_meter(billed, bills, apart, heats=HEATING in result.own_meter_kwh)
    return replace(found, own_meter_charges=meter.charges_per_year)


def _with_own_meter(billed: BilledOption, bills: Bill, apart: Bill, *, heats: bool) -> BilledOption:
    """Add the whole bill of a second meter, which is there for the option alone."""
    heating, both = apart.total_by_period.T
    own = {HEATING: heating, COOLING: both - heating} if heats else {COOLING: both}
    last = bills.energy_kwh.shape[1] - 1
    return replace(
        billed,
        cost_by_month={
            name: cost + own[name] if name in own else cost
            for name, cost in billed.cost_by_month.items()
        },
        whole=difference(
            together({"house": bills.of_column(last), "own meter": apart.of_column(1)}),
            together({"house": bills.of_column(0)}),
        ),
        whole_bill=billed.whole_bill + float(both.sum()),
    )


def _hourly_kwh(house: HouseBill, result: AnnualResult, service: str) -> Array:
    if house.carrier == ELECTRICITY:
        return result.hourly_electricity_of(service, house.month_of_hour)
    name = f"{service}_fuel_{house.carrier.replace(' ', '_')}_kwh"
    at_states = result.columns.get(name)
    if at_states is None:
        return np.zeros(house.month_of_hour.size)
    by_hour: Array = at_states[result.states.inverse]
    return by_hour


def _spread(house: HouseBill, monthly_kwh: Sequence[float]) -> Array:
    """Spread a use evenly over the hours of each month."""
    month = house.month_of_hour - 1
    by_hour: Array = (np.array(monthly_kwh) / np.bincount(month, minlength=12))[month]
    return by_hour
