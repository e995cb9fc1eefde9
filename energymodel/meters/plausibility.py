"""What meter values cannot be: missing codes, registers, a unit that changes on the way."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from energymodel.arrays import Array, Index, Mask
from energymodel.meters.import_report import MeterError, ReportEntry, place
from energymodel.meters.wall_clock import DAY_S, Seconds

_CODES = (999.0, 9999.0, 99999.0, 999999.0, -999.0, -9999.0, -99999.0)
_FAR_OUT = 5.0
"""A missing code stands at least this many times above every other value (our choice)."""
_FEWEST_REGISTER_ROWS = 96
_FEWEST_RISES = 24
_SCALE = (250.0, 100_000.0)
"""Steps between W, kW, Wh and kWh, a factor of 1,000 to 60,000, with room for the season."""
_LIKENESS = 2.0
_QUANTILES = (0.2, 0.5, 0.8)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ValueRows:
    """Values of one column in rising order.

    Parameters
    ----------
    file
        File name.
    lines
        Line of each row, shape (rows,).
    values
        As they stand in the file, nan where blank, shape (rows,).
    noun
        What `lines` counts: "line" or "reading".
    """

    file: str
    lines: Seconds
    values: Array
    noun: str = "line"


def without_missing_codes(rows: ValueRows) -> tuple[Array, tuple[ReportEntry, ...]]:
    """Turn codes for "no value" into gaps.

    Parameters
    ----------
    rows
        Values.

    Returns
    -------
    tuple
        Values with nan for codes, shape (rows,), and what was found.

    Notes
    -----
    A code counts as one only if it lies far above all other values, so that a real 999 stays.
    """
    codes = np.isin(rows.values, _CODES)
    others = np.abs(rows.values[~codes & ~np.isnan(rows.values)])
    largest = float(others.max(initial=0.0))
    codes &= np.abs(rows.values) > _FAR_OUT * largest
    if not codes.any() or not others.size or largest == 0.0:
        return rows.values, ()
    entry = ReportEntry(
        file=rows.file,
        row=f"line {rows.lines[int(np.argmax(codes))]}",
        found=f"{int(codes.sum())} values are codes such as {rows.values[codes][0]:g}",
        expected="the energy of each interval",
        done="taken as missing",
    )
    return np.where(codes, np.nan, rows.values), (entry,)


def refuse_register(rows: ValueRows) -> None:
    """Refuse the standing of a register, which only rises.

    Parameters
    ----------
    rows
        Values.

    Raises
    ------
    MeterError
        If no value of a long series is smaller than the one before it, and many are larger.
    """
    steps = np.diff(rows.values[~np.isnan(rows.values)])
    falls, rises = bool((steps < 0.0).any()), int((steps > 0.0).sum())
    if falls or rises < _FEWEST_RISES or steps.size + 1 < _FEWEST_REGISTER_ROWS:
        return
    raise MeterError(
        "the values only ever rise: they look like the standing of a register",
        where=rows.file,
        expected="the energy or power of each interval",
        remedy="export the use by interval, or take the differences first",
    )


def refuse_unit_change(rows: ValueRows, start_s: Seconds) -> None:
    """Refuse a column whose unit or scale changes on the way.

    Parameters
    ----------
    rows
        Values of one channel, or of both together.
    start_s
        Start of each interval, local standard time, s, rising, shape (rows,).

    Raises
    ------
    MeterError
        If some days lie hundreds of times above the others, at night as at peak. The stretch is
        named; it is not scaled or clipped.

    Notes
    -----
    A house that stands empty also uses a hundredth, but its small values do not look like its
    large ones scaled down: both the low and the high values of the days must differ by one factor.
    """
    positive = np.flatnonzero(np.abs(rows.values) > 0.0)
    values = np.abs(rows.values[positive])
    days, inverse = np.unique(start_s[positive] // DAY_S, return_inverse=True)
    if days.size < 2:
        return
    first_of_day = np.searchsorted(inverse, np.arange(1, days.size))
    level = np.log([np.median(part) for part in np.split(values, first_of_day)])
    ranked = np.sort(level)
    widest = int(np.argmax(np.diff(ranked)))
    if ranked[widest + 1] - ranked[widest] < np.log(_SCALE[0]) / 2:
        return
    high = (level > 0.5 * (ranked[widest] + ranked[widest + 1]))[inverse]
    ratio = np.quantile(values[high], _QUANTILES) / np.quantile(values[~high], _QUANTILES)
    if ratio.max() <= _LIKENESS * ratio.min() and _SCALE[0] <= ratio[1] <= _SCALE[1]:
        raise _unit_change(rows, positive, high, float(ratio[1]))


def _unit_change(rows: ValueRows, places: Index, high: Mask, ratio: float) -> MeterError:
    odd = high if high.sum() <= high.size / 2 else ~high
    first = int(np.argmax(odd))
    stretch = odd[first:]
    length = int(np.argmin(stretch)) if not stretch.all() else stretch.size
    lines = rows.lines[places[[first, first + length - 1]]]
    more = "" if int(odd.sum()) == length else f", and {int(odd.sum()) - length} rows elsewhere"
    word = "above" if odd is high else "below"
    return MeterError(
        f"these values{more} lie about {ratio:,.0f} times {word} the rest: the column seems to "
        "change its unit on the way",
        where=place(rows.file, f"{min(lines)}-{max(lines)}", noun=rows.noun),
        expected="one unit in the whole column",
        remedy="export the stretch again in the unit of the rest, or read the parts as files of "
        "their own",
    )
