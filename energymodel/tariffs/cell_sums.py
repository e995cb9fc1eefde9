"""Bills from sums and maxima over cells of hours, in the place of the hours themselves.

What most charges need of a load is its sum over the hours that share a price, and its maximum over
the hours of a demand window. Where that is all, a tariff bills loads that are known by such sums
only, through the same registers and the same lines as hourly loads.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from energymodel.arrays import Array, Index, frozen
from energymodel.tariffs.cells import Cells
from energymodel.tariffs.charges import BlockCount, BlockPer, Measured
from energymodel.tariffs.demand import DemandPlan
from energymodel.tariffs.metering import MeterPlan
from energymodel.tariffs.registers import Registers
from energymodel.tariffs.row_sums import RowSums
from energymodel.tariffs.tariff import Tariff

HIGHEST = ""
"""Name of the windows of the highest interval of each bill."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class DemandWindows:
    """Windows of one demand charge, each with one label of the caller.

    Parameters
    ----------
    window_of_hour
        Shape (hours,); negative: none.
    label
        Of each window, shape (windows,).
    cell
        Measuring time and period of the charge of each window, shape (windows,).
    cells
        Number of them.
    """

    window_of_hour: Index
    label: Index
    cell: Index
    cells: int

    def __len__(self) -> int:
        return int(self.label.size)

    def highest(self, peak_kw: Array) -> Array:
        """Maximum in each cell.

        Parameters
        ----------
        peak_kw
            Highest power in each window, kW, shape (windows, columns).

        Returns
        -------
        Array
            Shape (cells, columns); 0 where a cell has no window.
        """
        return RowSums(target=self.cell, count=self.cells).highest(peak_kw)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PricedHours:
    """Hours under an hourly price, by bill and label.

    Parameters
    ----------
    price
        Money per unit of use at each hour, shape (hours,).
    sum_of_hour
        Which sum each hour belongs to, shape (hours,).
    label
        Of each sum, shape (sums,).
    bills
        Sums by bill.
    """

    price: Array
    sum_of_hour: Index
    label: Index
    bills: RowSums


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class CellPlan:
    """How a tariff bills loads that are known by cells.

    Parameters
    ----------
    tariff
        The tariff.
    cell_of_hour
        Cell of each hour, shape (hours,): hours of a cell share every price and the label.
    label
        Of each cell, shape (cells,).
    bills
        Cells by bill.
    months
        Cells by bill and calendar month; None: no price asks for it.
    energy
        By energy charge: cells by bill and period.
    coincident
        By demand charge at the system's peak: cells by measuring time and period.
    demand
        Plans of the demand charges over the hours.
    windows
        By demand charge that takes a maximum; under :data:`HIGHEST` those of the bills, where
        blocks count the highest interval.
    series
        By hourly price.
    """

    tariff: Tariff
    cell_of_hour: Index
    label: Index
    bills: RowSums
    months: RowSums | None
    energy: Mapping[str, RowSums]
    coincident: Mapping[str, RowSums]
    demand: tuple[DemandPlan, ...]
    windows: Mapping[str, DemandWindows]
    series: Mapping[str, PricedHours]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class CellUse:
    """Use that is added to a load, by cell.

    Parameters
    ----------
    kwh
        Added in each cell, shape (cells, columns).
    priced
        By hourly price: use times price, money x kWh per unit, shape (sums, columns).
    peak_kw
        By charge of the windows: highest power of the whole load, base included, shape (windows,
        columns).
    """

    kwh: Array
    priced: Mapping[str, Array]
    peak_kw: Mapping[str, Array]


def why_hours(plan: MeterPlan) -> str:
    """Say what of a tariff needs the hours themselves.

    Parameters
    ----------
    plan
        How the meter is read.

    Returns
    -------
    str
        Empty where sums and maxima are enough.
    """
    if plan.clock.step_min != 60:
        return f"rows of {plan.clock.step_min} minutes"
    for energy in plan.tariff.energy:
        if energy.count is BlockCount.TIME_ORDER:
            return f"{energy.name}: blocks that fill in time order"
    for demand in plan.demand:
        if demand.merge > 1:
            return f"{demand.charge.name}: demand over more than an hour"
        if demand.charge.measured is Measured.DAY:
            return f"{demand.charge.name}: a maximum for every day"
    return ""


def plan_cells(plan: MeterPlan, label_of_hour: Index) -> CellPlan:
    """Sort the hours of a tariff into cells.

    Parameters
    ----------
    plan
        How the meter is read; :func:`why_hours` finds nothing in it.
    label_of_hour
        Hours of a cell share this too, >= 0, shape (hours,).

    Returns
    -------
    CellPlan
        Ready to bill any number of loads.
    """
    rows = len(plan.clock)
    bills = _index(plan.bills, rows)
    coincident = {one.charge.name: one for one in plan.demand if one.counts is not None}
    parts = {
        "bills": bills,
        **({"months": _index(plan.months, rows)} if plan.tariff.riders else {}),
        **{f"energy {name}": _index(cells, rows) for name, cells in plan.energy.items()},
        **{f"demand {name}": _index(one.cells, rows) for name, one in coincident.items()},
    }
    cell_of_hour, first = _distinct([label_of_hour, *parts.values()])

    def sums(name: str, count: int) -> RowSums:
        return RowSums(target=parts[name][first], count=count)

    return CellPlan(
        tariff=plan.tariff,
        cell_of_hour=cell_of_hour,
        label=label_of_hour[first],
        bills=sums("bills", plan.bills.count),
        months=sums("months", plan.months.count) if plan.tariff.riders else None,
        energy={name: sums(f"energy {name}", one.count) for name, one in plan.energy.items()},
        coincident={
            name: sums(f"demand {name}", one.cells.count) for name, one in coincident.items()
        },
        demand=plan.demand,
        windows=_windows(plan, label_of_hour),
        series={name: _priced(plan, price, label_of_hour) for name, price in plan.series.items()},
    )


def _index(cells: Cells, rows: int) -> Index:
    """Cell of each row, -1 where it lies in none."""
    lengths = np.diff(np.append(cells.starts, len(cells.order)))
    index = np.full(rows, -1, dtype=np.intp)
    index[cells.order] = np.repeat(cells.present, lengths)
    return index


def _distinct(keys: list[Index]) -> tuple[Index, Index]:
    """Give every combination of keys a number: that of each row, and a row of each."""
    code = np.zeros(keys[0].size, dtype=np.intp)
    for key in keys:
        code = code * (int(key.max()) + 2) + key + 1
        code = np.unique(code, return_inverse=True)[1].astype(np.intp)
    return code, np.unique(code, return_index=True)[1].astype(np.intp)


def _windows(plan: MeterPlan, label: Index) -> dict[str, DemandWindows]:
    rows = len(plan.clock)
    found = {
        one.charge.name: _window(one.cells, label, rows)
        for one in plan.demand
        if one.counts is None
    }
    if _counts_highest(plan.tariff):
        found[HIGHEST] = _window(plan.bills, label, rows)
    return found


def _counts_highest(tariff: Tariff) -> bool:
    named = {charge.name for charge in tariff.demand}
    return any(
        block.per in (BlockPer.KW, BlockPer.KW_AND_DAY)
        for charge in tariff.energy
        if charge.demand not in named
        for period in charge.periods
        for block in period.blocks
    )


def _window(cells: Cells, label: Index, rows: int) -> DemandWindows:
    index = _index(cells, rows)
    code, first = _distinct([label, index])
    inside = index[first] >= 0
    number = np.where(inside, np.cumsum(inside) - 1, -1)
    return DemandWindows(
        window_of_hour=number[code],
        label=label[first][inside],
        cell=index[first][inside],
        cells=cells.count,
    )


def _priced(plan: MeterPlan, price: Array, label: Index) -> PricedHours:
    bills = _index(plan.bills, len(plan.clock))
    code, first = _distinct([label, bills])
    return PricedHours(
        price=frozen(price / plan.tariff.unit.kwh),
        sum_of_hour=code,
        label=label[first],
        bills=RowSums(target=bills[first], count=plan.bills.count),
    )


def read_cells(plan: CellPlan, base: Registers, added: CellUse) -> Registers:
    """Read the meter of loads that are a base and what is added to it.

    Parameters
    ----------
    plan
        From :func:`plan_cells`.
    base
        Registers of the base load alone, one column, from the hourly plan.
    added
        By cell.

    Returns
    -------
    Registers
        Of base and added use, shape (bills, columns) and so on.
    """
    unit_kwh, bills = plan.tariff.unit.kwh, len(base.periods)
    use = added.kwh if unit_kwh == 1.0 else added.kwh / unit_kwh
    return Registers(
        periods=base.periods,
        total=plan.bills.total(use) + base.total,
        use={name: sums.by_bill(use, bills) + base.use[name] for name, sums in plan.energy.items()},
        by_month=plan.months.by_bill(use, bills) + base.by_month
        if plan.months is not None
        else base.by_month,
        highest_kw=_highest_kw(plan, added),
        series_money={
            name: priced.bills.total(added.priced[name]) + base.series_money[name]
            for name, priced in plan.series.items()
        },
        demand_kw={one.charge.name: _demand_kw(plan, one, base, added) for one in plan.demand},
        cyclic=base.cyclic,
        notices=base.notices,
    )


def _highest_kw(plan: CellPlan, added: CellUse) -> Array:
    if HIGHEST in plan.windows:
        return plan.windows[HIGHEST].highest(added.peak_kw[HIGHEST])
    return np.full((plan.bills.count, added.kwh.shape[1]), np.nan)  # nothing asks for it


def _demand_kw(plan: CellPlan, demand: DemandPlan, base: Registers, added: CellUse) -> Array:
    name = demand.charge.name
    if demand.counts is None:
        found = plan.windows[name].highest(added.peak_kw[name])
        return found.reshape(-1, len(demand.charge.periods), found.shape[1])[demand.bill_rows]
    hours = np.maximum(demand.counts, 1.0)[:, np.newaxis]
    found = plan.coincident[name].total(added.kwh) / hours
    by_time = found.reshape(-1, len(demand.charge.periods), found.shape[1])
    return base.demand_kw[name] + by_time[demand.bill_rows]
