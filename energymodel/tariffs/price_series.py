"""Hourly price series from a file, laid on the hours of a clock."""

from __future__ import annotations

from pathlib import Path

from energymodel.arrays import Array
from energymodel.tariffs.calendar import WallClock
from energymodel.tariffs.hour_series import HourSeries, hour_series, read_rows, values_on
from energymodel.tariffs.tariff import Tariff


def read_price_series(path: str | Path) -> HourSeries:
    """Read a series of hourly prices.

    Parameters
    ----------
    path
        CSV with the heading "start,price": start of each hour by the wall clock
        ("2024-01-31 15:00", the hour that the autumn change repeats twice, in order) or with its
        offset from UTC ("2024-01-31T15:00-05:00"), and money per unit.

    Returns
    -------
    HourSeries
        As in the file.

    Raises
    ------
    InputError
        If the file is missing, its heading is another, a cell cannot be read, or an hour stands
        twice.
    """
    return hour_series(read_rows(path), name=Path(path).name, noun="price")


def hourly_prices(tariff: Tariff, clock: WallClock, folder: Path) -> dict[str, Array]:
    """Read the hourly prices that a tariff names, laid on the intervals of a clock.

    Parameters
    ----------
    tariff
        With or without hourly prices.
    clock
        Of the rows.
    folder
        Of the tariff file; price files are named from there.

    Returns
    -------
    dict of Array
        Money per unit at each row by name of the charge, shape (rows,).

    Raises
    ------
    InputError
        If a file cannot be read, or an hour of the clock has no price.
    """
    return {
        hourly.name: values_on(read_price_series(folder / hourly.file), clock)
        for hourly in tariff.hourly
        if hourly.file
    }
