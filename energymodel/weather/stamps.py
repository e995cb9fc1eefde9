"""Calendar parts of many rows -> hours, faults named by line."""

from __future__ import annotations

import numpy as np

from energymodel.arrays import Array, Mask
from energymodel.errors import WeatherError
from energymodel.weather.filetext import FileText
from energymodel.weather.grid import HourNumbers


def hours_from_parts(
    text: FileText, first: int, *, year: Array, month: Array, day: Array, hour: Array
) -> HourNumbers:
    """Turn calendar columns into hours.

    Parameters
    ----------
    text
        File the columns come from.
    first
        Index of the line of the first row.
    year, month, day
        Calendar date, shape (rows,).
    hour
        Hour of the day at which the row begins, 0..23, shape (rows,).

    Returns
    -------
    HourNumbers
        Whole hours since 1970-01-01 00:00, shape (rows,).

    Raises
    ------
    WeatherError
        At the first row whose date or hour does not exist.
    """
    whole = [np.nan_to_num(part, nan=-1.0).astype(np.int64) for part in (year, month, day, hour)]
    years, months, days, hours = whole
    wrong = (years < 1800) | (years > 2200) | (months < 1) | (months > 12) | (days < 1)
    months_since = (np.clip(years, 1800, 2200) - 1970) * 12 + np.clip(months, 1, 12) - 1
    starts = months_since.astype("datetime64[M]")
    dates = starts.astype("datetime64[D]") + (np.clip(days, 1, 99) - 1)
    wrong |= (dates.astype("datetime64[M]") != starts) | _not_whole(year, month, day)
    if wrong.any():
        row = int(np.argmax(wrong))
        raise WeatherError(
            f"there is no date with year {year[row]:g}, month {month[row]:g}, day {day[row]:g}",
            where=text.at(first + row),
            expected="year, month 1 to 12, day of the month",
        )
    _refuse_hours(text, first, hour)
    return dates.astype(np.int64) * 24 + hours


def _not_whole(*parts: Array) -> Mask:
    wrong: Mask = np.any([np.isnan(part) | (part != np.floor(part)) for part in parts], axis=0)
    return wrong


def _refuse_hours(text: FileText, first: int, hour: Array) -> None:
    wrong = ~((hour >= 0.0) & (hour <= 23.0)) | _not_whole(hour)
    if wrong.any():
        row = int(np.argmax(wrong))
        raise WeatherError(
            f"the hour of this row would begin at {hour[row]:g}:00",
            where=text.at(first + row),
            expected="hours of a day as this format counts them",
            remedy="check whether the file counts hours 1 to 24 or 0 to 23",
        )
