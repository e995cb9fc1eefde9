"""Bills from meter readings: one use per bill, where the tariff allows it; else the reason why not.

A tariff that prices hours needs the registers of its periods, a demand charge needs the demand that
the meter has recorded; neither can be had from the use of a month.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import ArrayLike

from energymodel.arrays import Array
from energymodel.errors import EnergyModelError, InputError, ManyFaultsError
from energymodel.notices import Notice
from energymodel.tariffs.bill import Bill, bill_registers
from energymodel.tariffs.billing_period import BillingPeriods
from energymodel.tariffs.charges import BlockCount, BlockPer, DemandCharge, EnergyCharge
from energymodel.tariffs.customer import Customer
from energymodel.tariffs.dates import date_keys, months_of
from energymodel.tariffs.flows import columns_of
from energymodel.tariffs.registers import Registers
from energymodel.tariffs.schedule import Hours, period_index, whole_index
from energymodel.tariffs.tariff import Tariff


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Readings:
    """What a meter shows for each bill.

    Parameters
    ----------
    use
        Use in the tariff's unit, shape (bills,) or (bills, columns).
    by_period
        Use by name of the tariff's period ("on-peak"), same shape; empty: the meter has one
        register.
    demand_kw
        By name of the demand charge, or "charge, period" where it has several: kW, same shape.
    reactive_kvar
        Highest reactive demand, kvar, same shape; None: not known.
    """

    use: ArrayLike
    by_period: Mapping[str, ArrayLike] = field(default_factory=dict)
    demand_kw: Mapping[str, ArrayLike] = field(default_factory=dict)
    reactive_kvar: ArrayLike | None = None


def bill_readings(
    tariff: Tariff,
    periods: BillingPeriods,
    readings: Readings,
    *,
    customer: Customer | None = None,
) -> Bill:
    """Bill meter readings.

    Parameters
    ----------
    tariff
        With all its charges.
    periods
        Between the readings.
    readings
        Of each period.
    customer
        What is known of the customer.

    Returns
    -------
    Bill
        Arrays with as many axes as the use.

    Raises
    ------
    ManyFaultsError
        With every charge that readings cannot be billed under, and why.

    Examples
    --------
    >>> from datetime import date
    >>> from energymodel.tariffs.billing_period import of_readings
    >>> from energymodel.tariffs.charges import Block, EnergyPeriod
    >>> flat = EnergyCharge(name="Energy", periods=(EnergyPeriod(blocks=(Block(price=0.1),)),))
    >>> bill = bill_readings(
    ...     Tariff(name="flat", energy=(flat,)),
    ...     of_readings([date(2024, 1, 1), date(2024, 2, 1)]),
    ...     Readings(use=[600.0]),
    ... )
    >>> bill.total_by_period.tolist()
    [60.0]
    """
    use = columns_of(readings.use, len(periods), "the use")
    meter = _Meter(tariff=tariff, periods=periods, readings=readings, use=use)
    faults = _refusals(meter)
    if faults:
        raise ManyFaultsError(faults, where=tariff.name)
    bill = bill_registers(tariff, _registers(meter), customer=customer)
    return bill if np.ndim(readings.use) > 1 else bill.of_column(0)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Meter:
    tariff: Tariff
    periods: BillingPeriods
    readings: Readings
    use: Array

    def columns(self, values: ArrayLike, what: str) -> Array:
        found = columns_of(values, len(self.periods), what)
        return np.broadcast_to(found, self.use.shape)


def _refusals(meter: _Meter) -> list[EnergyModelError]:
    faults: list[EnergyModelError] = []
    if (meter.use < 0).any():
        faults.append(
            InputError(
                "the use of a bill is below zero",
                remedy="feed-in needs interval data: use and feed-in are priced apart",
            )
        )
    faults += [fault for charge in meter.tariff.energy for fault in _energy_faults(meter, charge)]
    faults += [fault for charge in meter.tariff.demand for fault in _demand_faults(meter, charge)]
    faults += [
        InputError(
            "its price changes every hour",
            where=charge.name,
            expected="interval data: the use of a month does not say when it was",
        )
        for charge in meter.tariff.hourly
    ]
    return faults


def _prices_hours(charge: EnergyCharge) -> bool:
    return any(window.needs_clock for period in charge.periods for window in period.when)


def _energy_faults(meter: _Meter, charge: EnergyCharge) -> list[EnergyModelError]:
    faults: list[EnergyModelError] = []
    names = [period.name for period in charge.periods]
    if _prices_hours(charge) and not set(names) <= set(meter.readings.by_period):
        faults.append(
            InputError(
                "its price depends on the hour, and the use of a month does not say when it was",
                where=charge.name,
                expected="interval data, or readings of the registers " + ", ".join(names),
            )
        )
    if _prices_hours(charge) and charge.count is BlockCount.TIME_ORDER:
        faults.append(
            InputError(
                "its blocks fill in time order over periods of the day",
                where=charge.name,
                expected="interval data",
            )
        )
    if _counts_unknown_kw(charge):
        faults.append(
            InputError(
                "its blocks count per kW, and no demand charge is named for them",
                where=charge.name,
                expected="interval data, or demand = the name of a demand charge",
            )
        )
    return faults


def _counts_unknown_kw(charge: EnergyCharge) -> bool:
    per_kw = {BlockPer.KW, BlockPer.KW_AND_DAY}
    blocks = [block for period in charge.periods for block in period.blocks]
    return not charge.demand and any(block.per in per_kw for block in blocks)


def _demand_names(charge: DemandCharge) -> list[str]:
    """Names of the readings that a charge needs, one for each maximum that it bills."""
    if any(window.needs_clock for period in charge.periods for window in period.when):
        return [
            f"{charge.name}, {period.name}" if period.name else charge.name
            for period in charge.periods
        ]
    return [charge.name]


def _demand_faults(meter: _Meter, charge: DemandCharge) -> list[EnergyModelError]:
    wanted = _demand_names(charge)
    missing = [name for name in wanted if name not in meter.readings.demand_kw]
    if not missing:
        return []
    return [
        InputError(
            f"it bills the highest {charge.interval_min} minutes, which the use of a month does"
            " not contain",
            where=charge.name,
            expected="interval data, or the recorded demand (kW) of " + "; ".join(missing),
        )
    ]


def _registers(meter: _Meter) -> Registers:
    days, owner = meter.periods.each_day()
    months = np.bincount(owner * 12 + months_of(days) - 1, minlength=len(meter.periods) * 12)
    shares = (months.reshape(-1, 12) / meter.periods.days[:, None])[:, :, None]
    demand = {charge.name: _demand(meter, charge) for charge in meter.tariff.demand}
    kvar = meter.readings.reactive_kvar
    highest = [kw.max(axis=1) for kw in demand.values()] or [np.zeros_like(meter.use)]
    return Registers(
        periods=meter.periods,
        total=meter.use,
        use={charge.name: _energy(meter, charge) for charge in meter.tariff.energy},
        by_month=meter.use[:, None] * shares,
        highest_kw=np.maximum.reduce(highest),
        demand_kw=demand,
        reactive_kvar=None if kvar is None else meter.columns(kvar, "the reactive demand"),
        notices=_split_notices(meter),
    )


def _season_shares(meter: _Meter, charge: EnergyCharge | DemandCharge) -> Array:
    """Days of each bill in each period over all its days, shape (bills, periods)."""
    days, owner = meter.periods.each_day()
    none = np.zeros(len(days), dtype=np.intp)
    hours = Hours(keys=date_keys(days), kinds=none, minutes=none, seasons=meter.tariff.seasons)
    if isinstance(charge, EnergyCharge):
        index = whole_index(charge.periods, hours, where=charge.name)
    else:
        index = period_index(charge.periods, hours)
    width = len(charge.periods)
    inside = index >= 0
    cell = (owner * width + index)[inside]
    count = np.bincount(cell, minlength=len(meter.periods) * width).reshape(-1, width)
    shares: Array = count / meter.periods.days[:, None]
    return shares


def _energy(meter: _Meter, charge: EnergyCharge) -> Array:
    if not _prices_hours(charge):
        return _season_shares(meter, charge)[:, :, None] * meter.use[:, None]
    parts = [
        meter.columns(meter.readings.by_period[period.name], period.name)
        for period in charge.periods
    ]
    found = np.stack(parts, axis=1)
    if not np.allclose(found.sum(axis=1), meter.use, rtol=1e-6, atol=0.5):
        raise InputError(
            "the registers of the periods do not add up to the use",
            where=charge.name,
            expected="within half a unit on every bill",
        )
    return found


def _demand(meter: _Meter, charge: DemandCharge) -> Array:
    given = [meter.columns(meter.readings.demand_kw[name], name) for name in _demand_names(charge)]
    if len(given) == len(charge.periods):
        return np.stack(given, axis=1)
    there = _season_shares(meter, charge) > 0
    return np.where(there[:, :, None], given[0][:, None], 0.0)


def _split_notices(meter: _Meter) -> tuple[Notice, ...]:
    split = [
        charge.name
        for charge in meter.tariff.energy
        if not _prices_hours(charge)
        and ((shares := _season_shares(meter, charge)) > 0).any()
        and (np.count_nonzero(shares, axis=1) > 1).any()
    ]
    if not split:
        return ()
    text = (
        f"{', '.join(split)}: a season begins inside a bill; the use of that bill is divided by"
        " days."
    )
    return (Notice(topic="seasons", text=text),)
