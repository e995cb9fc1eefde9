"""Hours by outdoor temperature: 5 F and 1 K bins."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from energymodel.arrays import Array, Index, frozen
from energymodel.errors import InputError
from energymodel.units import c_from_f, f_from_c, whole_f

_BIN_F = 5.0
_ROUNDING_F = 1.0e-9


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class TemperatureBins:
    """Hours of a year counted by outdoor temperature.

    Parameters
    ----------
    definition
        How an hour finds its bin, as printed with every table.
    unit
        "degF" or "degC": unit of `lower`.
    lower
        Lowest temperature of each bin, in `unit`, rising, without empty bins, shape (bins,).
    centre_c
        Temperature that stands for the bin, degC, shape (bins,).
    hours
        Hours in each bin, shape (bins,).
    bin_of_hour
        Bin of each hour, -1 where the temperature is missing, shape (hours,).
    """

    definition: str
    unit: str
    lower: Array
    centre_c: Array
    hours: Array
    bin_of_hour: Index


def bins_5f(outdoor_c: Array) -> TemperatureBins:
    """Count hours in 5 F bins, each hour rounded to a whole degree Fahrenheit first.

    Parameters
    ----------
    outdoor_c
        Outdoor temperature, degC, nan = missing, shape (hours,).

    Returns
    -------
    TemperatureBins
        The bin 60..64 F is represented by 62 F.

    Raises
    ------
    InputError
        If no hour has a temperature.

    Notes
    -----
    Files of Fahrenheit origin store 40 F as 4.4 degC = 39.92 F; rounding brings such an hour back
    to its own bin.

    Examples
    --------
    >>> bins = bins_5f(np.array([4.4, 16.7, 17.2]))
    >>> bins.lower, bins.hours
    (array([40., 60.]), array([1., 2.]))
    """
    return _counted(
        np.floor(whole_f(outdoor_c) / _BIN_F),
        width=_BIN_F,
        first=0.0,
        centre=2.0,
        label=("degF", "5 F bins, each hour rounded to whole F"),
    )


def bins_5f_as_read(outdoor_c: Array) -> TemperatureBins:
    """Count hours in 5 F bins by the temperature as it stands in the file.

    Parameters
    ----------
    outdoor_c
        Outdoor temperature, degC, nan = missing, shape (hours,).

    Returns
    -------
    TemperatureBins
        The bin 60 F up to but without 65 F is represented by 62.5 F.

    Raises
    ------
    InputError
        If no hour has a temperature.

    Notes
    -----
    A billionth of a degree is allowed for the conversion, so that 10.0 degC counts as 50 F.
    """
    return _counted(
        np.floor((f_from_c(outdoor_c) + _ROUNDING_F) / _BIN_F),
        width=_BIN_F,
        first=0.0,
        centre=2.5,
        label=("degF", "5 F bins, temperatures as read"),
    )


def bins_1k(outdoor_c: Array) -> TemperatureBins:
    """Count hours in 1 K bins about each whole degree Celsius.

    Parameters
    ----------
    outdoor_c
        Outdoor temperature, degC, nan = missing, shape (hours,).

    Returns
    -------
    TemperatureBins
        The bin of 5 degC holds 4.5 up to but without 5.5 degC.

    Raises
    ------
    InputError
        If no hour has a temperature.

    Examples
    --------
    >>> bins_1k(np.array([4.4, 4.5, 5.4])).centre_c
    array([4., 5.])
    """
    return _counted(
        np.floor(outdoor_c + 0.5),
        width=1.0,
        first=-0.5,
        centre=0.5,
        label=("degC", "1 K bins, nearest whole degree C"),
    )


def _counted(
    number: Array, *, width: float, first: float, centre: float, label: tuple[str, str]
) -> TemperatureBins:
    known = ~np.isnan(number)
    if not known.any():
        raise InputError("there is no hour with a temperature to put into bins")
    occupied, place, hours = np.unique(number[known], return_inverse=True, return_counts=True)
    bin_of_hour = np.full(number.size, -1, dtype=np.intp)
    bin_of_hour[known] = place
    bin_of_hour.flags.writeable = False
    lower = occupied * width + first
    unit, definition = label
    middle = lower + centre
    return TemperatureBins(
        definition=definition,
        unit=unit,
        lower=frozen(lower),
        centre_c=frozen(c_from_f(middle) if unit == "degF" else middle),
        hours=frozen(hours),
        bin_of_hour=bin_of_hour,
    )
