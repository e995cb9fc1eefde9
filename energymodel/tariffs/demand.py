"""Demand: the highest average power of a bill, and the kW that are billed for it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from energymodel.arrays import Array, Index, Mask
from energymodel.errors import InputError
from energymodel.notices import Notice
from energymodel.tariffs.billing_period import BillingPeriods
from energymodel.tariffs.calendar import WallClock
from energymodel.tariffs.cells import Cells, make_cells
from energymodel.tariffs.charges import DemandBlock, DemandCharge, Measured, Ratchet
from energymodel.tariffs.dates import Dates, date_keys
from energymodel.tariffs.schedule import NO_PERIOD, Period
from energymodel.tariffs.windows import KEYS_PER_YEAR, Season, Window, any_of, season_dates


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class DemandPlan:
    """How the demand of one charge is measured on one clock.

    Parameters
    ----------
    charge
        The demand charge.
    cells
        Averaged intervals by measuring time (bill, calendar month or day) and period.
    bill_rows
        Measuring time of each bill (bill or calendar month), shape (bills,).
    merge
        Rows of data per averaged interval.
    step_min
        Length of the rows, minutes.
    day_cells
        Days by bill and period, where daily maxima are added up; None otherwise.
    counts
        Averaged intervals of the system's peak in each cell, for coincident demand; None otherwise.
    """

    charge: DemandCharge
    cells: Cells
    bill_rows: Index
    merge: int = 1
    step_min: int = 60
    day_cells: Cells | None = None
    counts: Array | None = None

    def measure(self, use_kwh: Array) -> Array:
        """Measure demand.

        Parameters
        ----------
        use_kwh
            kWh of each row, >= 0, shape (rows, columns).

        Returns
        -------
        Array
            kW, shape (bills, periods, columns); kW-days where daily maxima are added up.
        """
        columns = use_kwh.shape[1]
        rows = use_kwh.reshape(-1, self.merge, columns).sum(axis=1) if self.merge > 1 else use_kwh
        kw = rows * (60.0 / (self.step_min * self.merge))
        if self.counts is not None:
            found = self.cells.total(kw) / np.maximum(self.counts, 1.0)[:, None]
        else:
            found = self.cells.highest(kw)
        if self.day_cells is not None:
            found = self.day_cells.total(found)
        by_time = found.reshape(-1, len(self.charge.periods), columns)
        return by_time[self.bill_rows]


def plan_demand(
    charge: DemandCharge, index: Index, clock: WallClock, periods: BillingPeriods
) -> tuple[DemandPlan, tuple[Notice, ...]]:
    """Prepare the measuring of a demand charge.

    Parameters
    ----------
    charge
        The demand charge.
    index
        Period of the charge for each row, NO_PERIOD: none.
    clock
        Of the rows.
    periods
        Of the bills.

    Returns
    -------
    plan
        Ready to measure any number of load columns.
    notices
        What the length of the rows changes.

    Raises
    ------
    InputError
        If the rows do not fit the demand intervals.
    """
    merge = _merge(charge, clock)
    index = np.where(_system_peak(charge, clock), index, NO_PERIOD)[::merge]
    dates = clock.dates[::merge]
    if charge.measured is Measured.DAY:
        plan = _daily(charge, index, dates, periods)
    elif charge.measured is Measured.CALENDAR_MONTH:
        plan = _by_calendar_month(charge, index, clock, periods)
    else:
        plan = _by(charge, index, periods.owner(dates), np.arange(len(periods)))
    ready = replace(plan, merge=merge, step_min=clock.step_min)
    first_month = clock.first_date.astype("datetime64[M]").astype(int)
    unknown = (
        charge.measured is Measured.CALENDAR_MONTH
        and not clock.cyclic
        and bool(_months_before(periods)[0] < first_month)
    )
    return ready, _notices(charge, clock, index, unknown_month=unknown)


def _merge(charge: DemandCharge, clock: WallClock) -> int:
    if clock.step_min >= charge.interval_min:
        return 1
    merge, rest = divmod(charge.interval_min, clock.step_min)
    if rest or clock.minutes[0] % charge.interval_min or len(clock) % merge:
        raise InputError(
            f"rows of {clock.step_min} minutes from minute {clock.minutes[0] % 60} on do not make"
            f" whole demand intervals of {charge.interval_min} minutes",
            where=charge.name,
            remedy="begin and end the data on whole hours",
        )
    return merge


def _system_peak(charge: DemandCharge, clock: WallClock) -> Mask:
    if not charge.at:
        return np.ones(len(clock), dtype=np.bool_)
    hours = np.array(charge.at, dtype="datetime64[h]")
    return np.isin(clock.starts.astype("datetime64[h]"), hours)


def _cell_index(index: Index, owner: Index, width: int) -> Index:
    cell: Index = np.where(index == NO_PERIOD, NO_PERIOD, owner * width + index)
    return cell


def _by(charge: DemandCharge, index: Index, owner: Index, bill_rows: Index) -> DemandPlan:
    width = len(charge.periods)
    count = (int(max(owner.max(), bill_rows.max())) + 1) * width
    cell = _cell_index(index, owner, width)
    counts = None
    if charge.at:
        counts = np.bincount(cell[cell >= 0], minlength=count).astype(np.float64)
    return DemandPlan(
        charge=charge,
        cells=make_cells(cell, count),
        bill_rows=bill_rows,
        counts=counts,
    )


def _months_before(periods: BillingPeriods) -> Index:
    """Last calendar month that ends with each bill or before, months since 1970."""
    months: Index = periods.ends.astype("datetime64[M]").astype(np.intp) - 1
    return months


def _by_calendar_month(
    charge: DemandCharge, index: Index, clock: WallClock, periods: BillingPeriods
) -> DemandPlan:
    """Take the last calendar month that ends with it or before, on each bill."""
    step = len(clock) // len(index)
    months = clock.dates[::step].astype("datetime64[M]").astype(np.intp)
    first, last = int(months.min()), int(months.max())
    wanted = _months_before(periods)
    before = wanted < first
    wanted = np.where(before, last if clock.cyclic else first, wanted)
    return _by(charge, index, months - first, wanted - first)


def _daily(charge: DemandCharge, index: Index, dates: Dates, periods: BillingPeriods) -> DemandPlan:
    width = len(charge.periods)
    day = (dates - dates.min()).astype(np.intp)
    days = int(day.max()) + 1
    all_dates = dates.min() + np.arange(days)
    owner = np.repeat(periods.owner(all_dates), width) * width + np.tile(np.arange(width), days)
    return DemandPlan(
        charge=charge,
        cells=make_cells(_cell_index(index, day, width), days * width),
        bill_rows=np.arange(len(periods)),
        day_cells=make_cells(owner, len(periods) * width),
    )


def _notices(
    charge: DemandCharge, clock: WallClock, index: Index, *, unknown_month: bool
) -> tuple[Notice, ...]:
    texts = []
    if unknown_month:
        texts.append(
            f"{charge.name}: the calendar month of the first bill lies before the data; the first"
            " month of the data stands for it."
        )
    if clock.step_min > charge.interval_min:
        texts.append(
            f"{charge.name} is measured over {charge.interval_min} minutes, the data are means of"
            f" {clock.step_min}: the true demand is higher, and so is the bill."
        )
    if charge.at and (index == NO_PERIOD).all():
        texts.append(f"{charge.name}: none of the hours of the system's peak is in the data.")
    return tuple(Notice(topic="demand", text=text) for text in texts)


@dataclass(frozen=True, slots=True, kw_only=True)
class RatchetHistory:
    """Demand before the first bill.

    Parameters
    ----------
    before_kw
        Highest demand of the bills before the first one, kW, oldest first.
    repeats
        Nothing is known of them, and the year repeats itself: its own end stands before it.
    """

    before_kw: tuple[float, ...] = ()
    repeats: bool = False


def billed_demand(
    charge: DemandCharge, measured_kw: Array, months: Index, history: RatchetHistory
) -> Array:
    """Demand that is billed: measured, lifted by the ratchet and the least billed demand.

    Parameters
    ----------
    charge
        The demand charge.
    measured_kw
        kW, shape (bills, periods, columns).
    months
        Calendar month of each bill, 1..12.
    history
        Demand before the first bill.

    Returns
    -------
    Array
        kW, same shape. Where periods are seasons, the ratchet remembers the highest of all.
    """
    floor = np.full_like(measured_kw, charge.minimum_kw)
    if charge.ratchet is not None:
        remembered = measured_kw
        if not any(window.needs_clock for period in charge.periods for window in period.when):
            remembered = np.broadcast_to(measured_kw.max(axis=1, keepdims=True), measured_kw.shape)
        for bill in range(len(months)):
            share = charge.ratchet.share(int(months[bill]))
            highest = _remembered(charge.ratchet, remembered, months, bill, history)
            floor[bill] = np.maximum(floor[bill], share * highest)
    return np.maximum(measured_kw, floor)


def _remembered(
    ratchet: Ratchet, kw: Array, months: Index, bill: int, history: RatchetHistory
) -> Array:
    highest = np.zeros(kw.shape[1:])
    for back in range(1, ratchet.look_back + 1):
        other = bill - back
        if other >= 0 or (history.repeats and not history.before_kw):
            other %= len(months)
            if int(months[other]) in ratchet.months:
                highest = np.maximum(highest, kw[other])
        elif -other <= len(history.before_kw):
            highest = np.maximum(highest, history.before_kw[other])
    return highest


def season_weights(
    charge: DemandCharge, seasons: Sequence[Season], periods: BillingPeriods
) -> Array:
    """Share of the days of each bill on which each period of a demand charge exists.

    Parameters
    ----------
    charge
        The demand charge.
    seasons
        All seasons of the tariff.
    periods
        Of the bills.

    Returns
    -------
    Array
        Shape (bills, periods): a season that begins inside a bill is billed by its days.
    """
    dates, owner = periods.each_day()
    keys = date_keys(dates)
    days = np.maximum(np.bincount(owner, minlength=len(periods)), 1)
    return np.stack(
        [
            np.bincount(owner, weights=there[keys], minlength=len(periods)) / days
            for there in period_dates(charge.periods, seasons)
        ],
        axis=1,
    )


def period_dates(periods: Sequence[Period], seasons: Sequence[Season]) -> tuple[Mask, ...]:
    """Dates on which each period of a charge exists, at whatever hour.

    Parameters
    ----------
    periods
        Of the charge.
    seasons
        All seasons of the tariff.

    Returns
    -------
    tuple of Mask
        One per period, shape (KEYS_PER_YEAR,).
    """
    whole = [w for period in periods for w in period.when if not w.needs_clock]
    # the period without windows exists on the days that no season takes whole
    return tuple(
        _on_dates(period.when, seasons) if period.when else ~_on_dates(whole, seasons)
        for period in periods
    )


def _on_dates(windows: Sequence[Window], seasons: Sequence[Season]) -> Mask:
    tables = [season_dates(window.seasons, seasons) for window in windows]
    return any_of(tables) if tables else np.zeros(KEYS_PER_YEAR, dtype=np.bool_)


def demand_in_blocks(blocks: Sequence[DemandBlock], billed_kw: Array) -> Array:
    """Divide billed demand among blocks.

    Parameters
    ----------
    blocks
        In rising order.
    billed_kw
        kW, shape (bills, columns).

    Returns
    -------
    Array
        kW, shape (blocks, bills, columns).
    """
    limits = [np.inf if block.up_to_kw is None else block.up_to_kw for block in blocks]
    edges = np.array([0.0, *limits])[:, None, None]
    divided: Array = np.clip(billed_kw[None], edges[:-1], edges[1:]) - edges[:-1]
    return divided
