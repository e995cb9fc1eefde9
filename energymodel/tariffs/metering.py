"""Intervals into registers: the calendar of a tariff is prepared once, then reads many columns."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from itertools import pairwise

import numpy as np

from energymodel.arrays import Array, Index, frozen
from energymodel.errors import InputError
from energymodel.notices import Notice
from energymodel.tariffs.billing_period import BillingPeriods
from energymodel.tariffs.blocks import block_edges
from energymodel.tariffs.calendar import WallClock, day_kinds
from energymodel.tariffs.cells import Cells, make_cells
from energymodel.tariffs.charges import BlockCount, EnergyCharge
from energymodel.tariffs.customer import Customer
from energymodel.tariffs.dates import date_keys
from energymodel.tariffs.demand import DemandPlan, plan_demand
from energymodel.tariffs.export import ExportRule
from energymodel.tariffs.flows import Flows
from energymodel.tariffs.registers import Registers
from energymodel.tariffs.scale import bill_scale
from energymodel.tariffs.schedule import Hours, period_index, whole_index
from energymodel.tariffs.tariff import Tariff


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class MeterPlan:
    """How the meter of a tariff reads rows of one clock.

    Parameters
    ----------
    tariff, clock, periods
        What it was made for.
    bills
        Rows by bill.
    months
        Rows by bill and calendar month.
    energy
        By energy charge: rows by bill and period.
    period_of_row
        By energy charge whose blocks fill in time order: period of each row.
    export
        Rows by bill and export period; None with net metering or without export.
    demand
        One per demand charge.
    series
        By hourly price: money per unit of use at each row.
    customer
        What is known of the customer.
    notices
        What the reader should know.
    """

    tariff: Tariff
    clock: WallClock
    periods: BillingPeriods
    bills: Cells
    months: Cells
    energy: Mapping[str, Cells]
    period_of_row: Mapping[str, Index]
    export: Cells | None
    demand: tuple[DemandPlan, ...]
    series: Mapping[str, Array]
    customer: Customer = field(default_factory=Customer)
    notices: tuple[Notice, ...] = ()


def tariff_hours(tariff: Tariff, clock: WallClock) -> Hours:
    """Rows of a clock as the windows of a tariff see them.

    Parameters
    ----------
    tariff
        With its seasons and holidays.
    clock
        Of the rows.

    Returns
    -------
    Hours
        One entry per row.
    """
    dates, row = np.unique(clock.dates, return_inverse=True)
    return Hours(
        keys=date_keys(dates)[row],
        kinds=day_kinds(dates, tariff.holidays)[row],
        minutes=clock.minutes,
        seasons=tariff.seasons,
    )


def plan_meter(
    tariff: Tariff,
    clock: WallClock,
    periods: BillingPeriods,
    *,
    series: Mapping[str, Array],
    customer: Customer,
) -> MeterPlan:
    """Prepare the reading of a tariff's meter.

    Parameters
    ----------
    tariff
        With all its charges.
    clock
        Of the rows that will be billed.
    periods
        Of the bills; they cover the rows.
    series
        By name of each hourly price: money per unit of use at each row.
    customer
        What is known of the customer.

    Returns
    -------
    MeterPlan
        Reads any number of load columns.

    Raises
    ------
    InputError
        If the zone is needed and not known, or a series does not fit.
    """
    if tariff.needs_clock and clock.zone is None:
        raise InputError(
            "its prices depend on the hour, and the time zone of the place is not known",
            where=tariff.name,
            expected='a zone such as "America/New_York"',
        )
    hours = tariff_hours(tariff, clock)
    owner = periods.owner(clock.dates)
    index = {
        charge.name: whole_index(charge.periods, hours, where=charge.name)
        for charge in tariff.energy
    }
    planned = [
        plan_demand(charge, period_index(charge.periods, hours), clock, periods)
        for charge in tariff.demand
    ]
    return MeterPlan(
        tariff=tariff,
        clock=clock,
        periods=periods,
        bills=make_cells(owner, len(periods)),
        months=make_cells(owner * 12 + clock.months - 1, len(periods) * 12),
        energy={
            charge.name: _cells(owner, index[charge.name], len(charge.periods), periods)
            for charge in tariff.energy
        },
        period_of_row={
            charge.name: index[charge.name]
            for charge in tariff.energy
            if charge.count is BlockCount.TIME_ORDER
        },
        export=_export_cells(tariff, hours, owner, periods),
        demand=tuple(plan for plan, _ in planned),
        series=_priced(tariff, series, len(clock)),
        customer=customer,
        notices=(*(n for _, found in planned for n in found), *_edge_notices(tariff, clock)),
    )


def _cells(owner: Index, index: Index, width: int, periods: BillingPeriods) -> Cells:
    return make_cells(owner * width + index, len(periods) * width)


def _export_cells(
    tariff: Tariff, hours: Hours, owner: Index, periods: BillingPeriods
) -> Cells | None:
    export = tariff.export
    if export is None or export.rule is ExportRule.NET_METERING:
        return None
    index = whole_index(export.periods, hours, where=export.name)
    return _cells(owner, index, len(export.periods), periods)


def _priced(tariff: Tariff, series: Mapping[str, Array], rows: int) -> dict[str, Array]:
    priced = {}
    for hourly in tariff.hourly:
        if hourly.name not in series:
            raise InputError(
                "its prices by the hour are not given",
                where=hourly.name,
                remedy="give the series under the name of the charge",
            )
        values = np.asarray(series[hourly.name], dtype=np.float64)
        if values.shape != (rows,) or not np.isfinite(values).all():
            raise InputError(
                f"a series of {values.size} prices for {rows} rows",
                where=hourly.name,
                expected="one finite price per row",
            )
        priced[hourly.name] = frozen(values * hourly.factor + hourly.adder)
    return priced


def _edge_notices(tariff: Tariff, clock: WallClock) -> tuple[Notice, ...]:
    edges = {
        minute
        for _, window in tariff.windows()
        for span in window.hours
        for minute in (span.from_minute, span.to_minute)
    }
    if all(edge % clock.step_min == 0 for edge in edges):
        return ()
    text = (
        f"Hours of the tariff begin inside an interval of {clock.step_min} minutes; each interval"
        " takes the price of the time at which it starts."
    )
    return (Notice(topic="calendar", text=text),)


def read_meter(plan: MeterPlan, flows: Flows) -> Registers:
    """Read the meter.

    Parameters
    ----------
    plan
        From :func:`plan_meter`.
    flows
        Energy of each row.

    Returns
    -------
    Registers
        In the tariff's unit of sale; demand in kW.
    """
    unit_kwh = plan.tariff.unit.kwh
    use = flows.use_kwh if unit_kwh == 1.0 else flows.use_kwh / unit_kwh
    bills = len(plan.periods)
    demand = {one.charge.name: one.measure(flows.use_kwh) for one in plan.demand}
    highest = plan.bills.highest(flows.use_kwh) * (60.0 / plan.clock.step_min)
    first = Registers(
        periods=plan.periods,
        total=plan.bills.total(use),
        use={name: _wide(cells.total(use), bills) for name, cells in plan.energy.items()},
        by_month=_wide(plan.months.total(use), bills) if plan.tariff.riders else np.zeros(0),
        highest_kw=highest,
        fed_in=_fed_in(plan, flows),
        series_money={n: plan.bills.total(p[:, None] * use) for n, p in plan.series.items()},
        demand_kw=demand,
        reactive_kvar=flows.reactive_kvar,
        cyclic=plan.clock.cyclic,
        notices=(*flows.notices, *plan.notices),
    )
    return first if not plan.period_of_row else _with_blocks_in_order(plan, first, use)


def _wide(cells: Array, bills: int) -> Array:
    return cells.reshape(bills, -1, cells.shape[1])


def _fed_in(plan: MeterPlan, flows: Flows) -> dict[str, Array]:
    if flows.fed_in_kwh is None or plan.tariff.export is None:
        return {}
    fed = flows.fed_in_kwh / plan.tariff.unit.kwh
    bills = len(plan.periods)
    if plan.export is not None:
        return {plan.tariff.export.name: _wide(plan.export.total(fed), bills)}
    return {name: _wide(cells.total(fed), bills) for name, cells in plan.energy.items()}


def _with_blocks_in_order(plan: MeterPlan, first: Registers, use: Array) -> Registers:
    reached = plan.bills.running_total(use)
    owner = plan.periods.owner(plan.clock.dates)
    ordered = {
        charge.name: _in_order(plan, charge, first, (owner, use, reached))
        for charge in plan.tariff.energy
        if charge.count is BlockCount.TIME_ORDER
    }
    return replace(first, in_blocks=ordered)


def _in_order(
    plan: MeterPlan, charge: EnergyCharge, first: Registers, rows: tuple[Index, Array, Array]
) -> tuple[Array, ...]:
    owner, use, reached = rows
    scale = bill_scale(plan.tariff, charge, first, plan.customer)
    cells, of_row = plan.energy[charge.name], plan.period_of_row[charge.name]
    divided = []
    for number, period in enumerate(charge.periods):
        edges = block_edges(period.blocks, scale)
        mine = np.flatnonzero(of_row == number)
        found = []
        for low, high in pairwise(edges):
            inside = np.zeros_like(use)
            at, bill = reached[mine], owner[mine]
            below = np.clip(at - use[mine], low[bill], high[bill])
            inside[mine] = np.clip(at, low[bill], high[bill]) - below
            found.append(_wide(cells.total(inside), len(plan.periods))[:, number])
        divided.append(np.stack(found))
    return tuple(divided)
