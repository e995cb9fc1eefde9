"""Set-points through the day: setback and preheating, as a user writes them."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from energymodel.arrays import Array, Mask
from energymodel.errors import InputError, ManyFaultsError
from energymodel.quantities import TEMPERATURE, read_quantity
from energymodel.units import f_from_c

MINUTES_OF_DAY = 1440
COLDEST_SET_POINT_C, WARMEST_SET_POINT_C = 5.0, 30.0
_EXAMPLE = '"65 degF 22-6"'
_FORM = re.compile(r"\s*(?P<temperature>.+?)\s+(?P<start>[\d:]+)\s*-\s*(?P<end>[\d:]+)\s*")
_CLOCK = re.compile(r"(\d{1,2})(?::(\d{2}))?")


@dataclass(frozen=True, slots=True, kw_only=True)
class SetPeriod:
    """One set-point between two times of every day.

    Parameters
    ----------
    indoor_c
        Set-point, degC.
    start_min, end_min
        Minutes of the day, local standard time; past midnight where the end is before the start.
    written
        The set-point as the user wrote it, for messages; empty: in Celsius.
    """

    indoor_c: float
    start_min: int
    end_min: int
    written: str = ""

    @property
    def text(self) -> str:
        """The set-point as it was written."""
        return self.written or self.like(self.indoor_c)

    def like(self, indoor_c: float) -> str:
        """Write another temperature in the unit that the user chose for this one.

        Parameters
        ----------
        indoor_c
            degC.

        Returns
        -------
        str
            To a tenth, with its unit.

        Examples
        --------
        >>> read_period("65 degF 22-6").like(21.111)
        '70 degF'
        """
        fahrenheit = self.written.upper().endswith("F")
        value, unit = (f_from_c(indoor_c), "degF") if fahrenheit else (indoor_c, "degC")
        return f"{round(value, 1):g} {unit}"

    @property
    def hours(self) -> float:
        """Length, h."""
        return ((self.end_min - self.start_min) % MINUTES_OF_DAY) / 60.0

    @property
    def clock(self) -> str:
        """Start and end as printed, "22-6 h"."""
        return f"{_clock_text(self.start_min)}-{_clock_text(self.end_min)} h"

    def minutes(self) -> Mask:
        """Minutes of the day that it covers.

        Returns
        -------
        Mask
            Shape (1440,).
        """
        minute = np.arange(MINUTES_OF_DAY)
        after, before = minute >= self.start_min, minute < self.end_min
        return after & before if self.start_min < self.end_min else after | before


def _clock_text(minute: int) -> str:
    hour, rest = divmod(minute, 60)
    return f"{hour}:{rest:02d}" if rest else f"{hour}"


def read_period(text: str, *, where: str = "") -> SetPeriod:
    """Read a set-point with its hours.

    Parameters
    ----------
    text
        Such as "65 degF 22-6" or "18 degC 22:30-5".
    where
        Named in the message.

    Returns
    -------
    SetPeriod
        Checked.

    Raises
    ------
    InputError
        If the text has another form, or the set-point is not one for a room.

    Examples
    --------
    >>> period = read_period("65 degF 22-6")
    >>> round(period.indoor_c, 2), period.hours, period.clock
    (18.33, 8.0, '22-6 h')
    """
    match = _FORM.fullmatch(text)
    if match is None:
        raise InputError(f"{text!r} is no set-point with its hours", where=where, expected=_EXAMPLE)
    indoor_c = read_quantity(match["temperature"], TEMPERATURE, where=where)
    if not COLDEST_SET_POINT_C <= indoor_c <= WARMEST_SET_POINT_C:
        raise InputError(
            f"a set-point of {match['temperature']}",
            where=where,
            expected="41 degF to 86 degF (5 degC to 30 degC)",
            remedy="check the temperature and its unit",
        )
    start, end = (_minute(match[name], text, where) for name in ("start", "end"))
    if start % MINUTES_OF_DAY == end % MINUTES_OF_DAY:
        raise InputError(
            f"{text!r} begins and ends at the same time", where=where, expected=_EXAMPLE
        )
    return SetPeriod(
        indoor_c=indoor_c,
        start_min=start % MINUTES_OF_DAY,
        end_min=end % MINUTES_OF_DAY,
        written=match["temperature"].strip(),
    )


def _minute(clock: str, text: str, where: str) -> int:
    match = _CLOCK.fullmatch(clock)
    hour, minute = (int(match[1]), int(match[2] or 0)) if match else (99, 0)
    if hour * 60 + minute > MINUTES_OF_DAY or minute > 59:
        raise InputError(
            f"{clock!r} in {text!r} is no time of the day",
            where=where,
            expected="0 to 24, or hours and minutes such as 5:30",
        )
    return hour * 60 + minute


def day_set_points(
    base_c: float, setback: Sequence[SetPeriod], preheat: Sequence[SetPeriod] = ()
) -> Array:
    """Set-point of each minute of a day.

    Parameters
    ----------
    base_c
        Usual set-point, degC.
    setback
        Periods below it.
    preheat
        Periods at it or above; they hold where both apply, so that the room is warm in time.

    Returns
    -------
    Array
        degC, shape (1440,).

    Raises
    ------
    ManyFaultsError
        If a setback is not below the usual set-point, a preheat is below it, or two periods of
        one kind overlap.
    """
    faults = [
        InputError(
            f"a setback to {one.text} is not below the usual set-point of {one.like(base_c)}",
            where="--setback",
            expected=f"a set-point below {one.like(base_c)}",
            remedy="lower it, or write a higher set-point as --preheat",
        )
        for one in setback
        if one.indoor_c >= base_c
    ]
    faults += [
        InputError(
            f"a preheat to {one.text} lies below the usual set-point of {one.like(base_c)}",
            where="--preheat",
            expected=f"{one.like(base_c)} or higher",
            remedy="raise it, or write a lower set-point as --setback",
        )
        for one in preheat
        if one.indoor_c < base_c - 1e-9
    ]
    for noun, periods in (("setback", setback), ("preheat", preheat)):
        covered = np.sum([one.minutes() for one in periods], axis=0)
        if np.any(covered > 1):
            faults.append(
                InputError(
                    f"two {noun} periods overlap",
                    where=f"--{noun}",
                    expected="periods that do not share a minute of the day",
                    remedy="shorten one of them",
                )
            )
    if faults:
        raise ManyFaultsError(faults)
    minutes = np.full(MINUTES_OF_DAY, base_c)
    for period in (*setback, *preheat):
        minutes[period.minutes()] = period.indoor_c
    return minutes
