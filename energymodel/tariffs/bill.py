"""Bills: energy by interval, or by bill, and a tariff into itemised bills.

`prepare` lays the calendar of a tariff once; `Prepared.bill` then bills any number of load columns.
Money is unrounded here; :mod:`energymodel.tariffs.printed_bill` rounds by the tariff's rule.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike

from energymodel.arrays import Array
from energymodel.notices import Notice, UsedDefault
from energymodel.tariffs.bill_line import BillLine, LineKind
from energymodel.tariffs.billing_period import BillingPeriods, calendar_months
from energymodel.tariffs.calendar import WallClock
from energymodel.tariffs.customer import Customer
from energymodel.tariffs.flows import columns_of, flows_of
from energymodel.tariffs.lines import price_bills
from energymodel.tariffs.metering import MeterPlan, plan_meter, read_meter
from energymodel.tariffs.plausible import money_first
from energymodel.tariffs.registers import Registers
from energymodel.tariffs.split_seasons import split_season_defaults
from energymodel.tariffs.tariff import Tariff


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Bill:
    """Itemised bills of one load, or of many load columns.

    Parameters
    ----------
    tariff
        Under which they are billed.
    periods
        Billing periods.
    lines
        In the order of the bill; they add up to the total.
    energy_kwh
        Use of each bill, kWh, shape (bills,) or (bills, columns).
    notices
        What the reader should know.
    defaults
        Values that were used and not given.
    """

    tariff: Tariff
    periods: BillingPeriods
    lines: tuple[BillLine, ...]
    energy_kwh: Array
    notices: tuple[Notice, ...] = ()
    defaults: tuple[UsedDefault, ...] = ()

    @property
    def total_by_period(self) -> Array:
        """Money of each bill, shape (bills,) or (bills, columns)."""
        return _sum(self.lines, self.energy_kwh)

    @property
    def total(self) -> Array:
        """Money of all bills, shape () or (columns,)."""
        return np.asarray(self.total_by_period.sum(axis=0))

    @property
    def average_price_per_kwh(self) -> Array:
        """Money of all bills over their use; nan without use."""
        return _over(self.total, np.asarray(self.energy_kwh.sum(axis=0)))

    def of_column(self, column: int) -> Bill:
        """Take the bills of one load out of many.

        Parameters
        ----------
        column
            Number of the load.

        Returns
        -------
        Bill
            Without the axis of columns.
        """
        lines = tuple(line.of_column(column) for line in self.lines)
        return replace(self, lines=lines, energy_kwh=self.energy_kwh[:, column])

    def of_kind(self, kind: LineKind) -> Array:
        """Money of all lines of one kind.

        Parameters
        ----------
        kind
            Customer, energy, demand, ...

        Returns
        -------
        Array
            Shape (bills,) or (bills, columns).
        """
        return _sum((line for line in self.lines if line.kind is kind), self.energy_kwh)

    def of_charge(self, charge: str) -> Array:
        """Money of all lines of one charge.

        Parameters
        ----------
        charge
            Name of the charge.

        Returns
        -------
        Array
            Shape (bills,) or (bills, columns).
        """
        return _sum((line for line in self.lines if line.charge == charge), self.energy_kwh)


def _sum(lines: Iterable[BillLine], like: Array) -> Array:
    total = np.zeros_like(like)
    for line in lines:
        total += line.amount
    return total


def _over(money: Array, energy_kwh: Array) -> Array:
    nothing = np.full_like(money, np.nan)
    return np.divide(money, energy_kwh, out=nothing, where=energy_kwh != 0)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Prepared:
    """A tariff with its calendar laid, ready to bill.

    Parameters
    ----------
    plan
        How the meter is read.
    defaults
        Values that were used and not given.
    """

    plan: MeterPlan
    defaults: tuple[UsedDefault, ...] = ()

    def bill(
        self,
        load_kwh: ArrayLike,
        *,
        fed_in_kwh: ArrayLike | None = None,
        reactive_kvar: ArrayLike | None = None,
    ) -> Bill:
        """Bill loads.

        Parameters
        ----------
        load_kwh
            kWh of each interval, shape (rows,) or (rows, columns). Negative values are energy
            fed into the grid.
        fed_in_kwh
            kWh of the register of what is fed in (of all generation, where the tariff buys all
            use and all generation), >= 0, same shape; None: the negative values of the load.
        reactive_kvar
            Highest reactive demand of each bill, kvar, shape (bills,) or (bills, columns).

        Returns
        -------
        Bill
            Arrays of the same number of axes as the load.

        Raises
        ------
        InputError
            If shapes do not fit, a value is not finite, or energy is fed in and the tariff has no
            credit for it.
        """
        load = columns_of(load_kwh, len(self.plan.clock), "the load")
        fed_in = None
        if fed_in_kwh is not None:
            fed_in = columns_of(fed_in_kwh, len(self.plan.clock), "the energy fed in")
        kvar = None
        if reactive_kvar is not None:
            given = columns_of(reactive_kvar, len(self.plan.periods), "the reactive demand")
            kvar = np.broadcast_to(given, (len(given), load.shape[1]))
        flows = flows_of(self.plan.tariff, load, fed_in, step_min=self.plan.clock.step_min)
        flows = replace(flows, reactive_kvar=kvar)
        registers = read_meter(self.plan, flows)
        bill = bill_registers(self.plan.tariff, registers, customer=self.plan.customer)
        bill = replace(bill, defaults=(*self.defaults, *bill.defaults))
        return bill if np.ndim(load_kwh) > 1 else bill.of_column(0)


def bill_registers(
    tariff: Tariff, registers: Registers, *, customer: Customer | None = None
) -> Bill:
    """Bill what a meter has counted.

    Parameters
    ----------
    tariff
        With all its charges.
    registers
        Use and demand of each bill.
    customer
        What is known of the customer.

    Returns
    -------
    Bill
        Shape (bills, columns).
    """
    priced = price_bills(tariff, registers, customer or Customer())
    notices = (*tariff.unit.notices, *priced.notices, *_dates_notice(tariff, registers.periods))
    return Bill(
        tariff=tariff,
        periods=registers.periods,
        lines=priced.lines,
        energy_kwh=registers.total * tariff.unit.kwh,
        notices=money_first(notices),
        defaults=split_season_defaults(tariff, registers.periods),
    )


def _dates_notice(tariff: Tariff, periods: BillingPeriods) -> tuple[Notice, ...]:
    first, last = periods.starts[0], periods.ends[-1] - np.timedelta64(1, "D")
    too_early = tariff.effective is not None and first < np.datetime64(tariff.effective)
    too_late = tariff.expires is not None and last > np.datetime64(tariff.expires)
    if not (too_early or too_late):
        return ()
    text = (
        f"Prices in force from {tariff.effective or 'an unknown date'} to"
        f" {tariff.expires or 'an open date'} are used for {first} to {last}."
    )
    return (Notice(topic="prices", text=text),)


def bill(load_kwh: ArrayLike, tariff: Tariff, clock: WallClock) -> Bill:
    r"""Bill loads by calendar month, once; for more than one load prepare the calendar first.

    Parameters
    ----------
    load_kwh
        kWh of each interval, shape (rows,) or (rows, columns).
    tariff
        With all its charges.
    clock
        Wall-clock time of the rows.

    Returns
    -------
    Bill
        Itemised, unrounded.

    Examples
    --------
    >>> from energymodel.tariffs.calendar import year_clock
    >>> from energymodel.tariffs.toml_form import tariff_from_toml
    >>> flat = tariff_from_toml('name = "flat"\n[[energy]]\nname = "E"\nprice = 0.1')
    >>> year = bill(np.ones(8760), flat, year_clock(2023, zone=None))
    >>> round(float(year.total), 2), round(float(year.total_by_period[1]), 2)
    (876.0, 67.2)
    """
    return prepare(tariff, clock).bill(load_kwh)


def prepare(
    tariff: Tariff,
    clock: WallClock,
    *,
    periods: BillingPeriods | None = None,
    series: Mapping[str, Array] | None = None,
    customer: Customer | None = None,
) -> Prepared:
    """Lay the calendar of a tariff, once for any number of loads.

    Parameters
    ----------
    tariff
        With all its charges.
    clock
        Wall-clock time of the rows that will be billed.
    periods
        Billing periods; None: calendar months, listed as a default.
    series
        By name of each hourly price: money per unit of use at each row.
    customer
        What is known of the customer.

    Returns
    -------
    Prepared
        Bills loads of one row per interval of the clock.

    Raises
    ------
    InputError
        If the zone is needed and not known, or something does not fit.
    """
    plan = plan_meter(
        tariff,
        clock,
        periods or calendar_months(clock),
        series=series or {},
        customer=customer or Customer(),
    )
    return Prepared(
        plan=replace(plan, notices=(*clock.notices, *plan.notices, *_holiday_notice(tariff))),
        defaults=_defaults(tariff, periods, customer),
    )


def _holiday_notice(tariff: Tariff) -> tuple[Notice, ...]:
    if tariff.holidays is not None or not tariff.needs_clock:
        return ()
    text = "The tariff names no holidays; they are billed as the day of the week they fall on."
    return (Notice(topic="holidays", text=text),)


def _defaults(
    tariff: Tariff, periods: BillingPeriods | None, customer: Customer | None
) -> tuple[UsedDefault, ...]:
    used = []
    if periods is None:
        used.append(
            UsedDefault(name="billing periods", value="calendar months", source="our choice")
        )
    known = customer.demand_before_kw if customer else {}
    used += [
        UsedDefault(
            name=f"demand before the first bill, {charge.name}",
            value="the year repeats itself",
            source="our choice",
        )
        for charge in tariff.demand
        if charge.ratchet is not None and charge.name not in known
    ]
    return tuple(used)
