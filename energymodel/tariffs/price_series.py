"""Hourly price series from a file, laid on the hours of a clock."""

from __future__ import annotations

import csv
import math
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from energymodel.arrays import Array, Index, frozen
from energymodel.errors import InputError
from energymodel.tariffs.calendar import WallClock
from energymodel.tariffs.dates import Dates

_HEAD = ["start", "price"]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PriceSeries:
    """Prices by wall-clock hour.

    Parameters
    ----------
    hours
        Wall-clock start of each hour, datetime64[h], in order of time; the hour that a clock
        change repeats stands twice, shape (hours,).
    prices
        Money per unit, shape (hours,).
    name
        Of the file, for messages.
    """

    hours: Dates
    prices: Array
    name: str


def read_price_series(path: str | Path) -> PriceSeries:
    """Read a series of hourly prices.

    Parameters
    ----------
    path
        CSV with the heading "start,price": wall-clock start of each hour ("2024-01-31 15:00"),
        money per unit.

    Returns
    -------
    PriceSeries
        As in the file.

    Raises
    ------
    InputError
        If the file is missing, its heading is another, or a cell cannot be read.
    """
    file = Path(path)
    try:
        text = file.read_bytes().decode("utf-8-sig")
    except FileNotFoundError:
        raise InputError("there is no such file", where=str(file)) from None
    except (OSError, UnicodeDecodeError) as error:
        raise InputError(f"cannot be read: {error}", where=str(file)) from None
    rows = [row for row in csv.reader(text.splitlines()) if row]
    if not rows or [cell.strip().lower() for cell in rows[0]] != _HEAD:
        raise InputError(
            f"the heading {','.join(rows[0]) if rows else ''!r}",
            where=file.name,
            expected=",".join(_HEAD),
        )
    read = [_row(row, f"{file.name}, row {n}") for n, row in enumerate(rows[1:], start=2)]
    return PriceSeries(
        hours=np.array([hour for hour, _ in read], dtype="datetime64[h]"),
        prices=frozen([price for _, price in read]),
        name=file.name,
    )


def _row(row: list[str], where: str) -> tuple[np.datetime64, float]:
    if len(row) != len(_HEAD):
        raise InputError(f"{len(row)} cells", where=where, expected="start,price")
    try:
        start = np.datetime64(row[0].strip().replace(" ", "T"), "m")
        price = float(row[1])
    except ValueError:
        raise InputError(
            f"{row[0]!r}, {row[1]!r}", where=where, expected="2024-01-31 15:00,0.1234"
        ) from None
    if start.astype("datetime64[h]") != start or not math.isfinite(price):
        raise InputError(f"{row[0]!r}, {row[1]!r}", where=where, expected="whole hours, a number")
    return start.astype("datetime64[h]"), price


def _keys(stamps: Dates) -> Index:
    """Give each stamp the number of its hour, another one where the stamp stood before."""
    order = np.argsort(stamps, kind="stable")
    again = np.zeros(len(stamps), dtype=np.intp)
    again[order[1:]] = stamps[order[1:]] == stamps[order[:-1]]
    return stamps.astype("datetime64[h]").astype(np.intp) * 2 + again


def prices_on(series: PriceSeries, clock: WallClock) -> Array:
    """Lay a series on the intervals of a clock.

    Parameters
    ----------
    series
        By wall-clock hour.
    clock
        Of the rows.

    Returns
    -------
    Array
        Money per unit at each row, shape (rows,).

    Raises
    ------
    InputError
        If an hour of the clock has no price.
    """
    rows = clock.starts
    have, want = _keys(series.hours), _keys(rows)
    order = np.argsort(have, kind="stable")
    place = np.minimum(np.searchsorted(have[order], want), len(have) - 1)
    found = order[place]
    missing = have[found] != want
    if missing.any():
        raise InputError(
            f"no price for {rows[missing][0]}",
            where=series.name,
            expected="a price for every wall-clock hour of the rows",
        )
    return series.prices[found]
