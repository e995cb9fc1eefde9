"""Can these hours be true: ranges, single false values, jumps, and columns in another unit."""

from __future__ import annotations

import numpy as np

from energymodel.arrays import Array, Index, Mask
from energymodel.errors import WeatherError
from energymodel.notices import Notice
from energymodel.weather.grid import YearGrid, runs_of
from energymodel.weather.year import Site

COLDEST_C, WARMEST_C = -60.0, 60.0
SPIKE_K = 10.0
STEP_K = 16.0
MONTH_JOIN_K = 30.0
EXTRA_STEP_K = 4.0
NEIGHBOUR_H = 4
MOST_SPIKES = 10
COOLEST_MAXIMUM_C = 5.0
SMALLEST_RANGE_K = 4.0
SWING_DAYS = 10
SMALLEST_SWING_SHARE = 0.2
SMALLEST_USUAL_SWING_K = 1.0
STUCK_H = 48
HUMIDITY_SLACK_PCT = 5.0
_SOLAR_CLOCK_SLACK_H = 4.0
_UNIT_REMEDY = "check the unit and the scale of the column from here on; say degF if it is degF"


def site_faults(site: Site) -> list[str]:
    """Say what cannot be true about a place.

    Parameters
    ----------
    site
        Place as read.

    Returns
    -------
    list of str
        One sentence per fault; empty if the place is plausible.

    Notes
    -----
    The local standard time of inhabited places lies within about three and a half hours of the
    sun's time there, so the offset checks the longitude and its sign.
    """
    faults = []
    if not -90.0 <= site.latitude_deg <= 90.0:
        faults.append(f"the latitude {site.latitude_deg:g} is not between -90 and 90 degrees")
    if not -180.0 <= site.longitude_deg <= 180.0:
        faults.append(f"the longitude {site.longitude_deg:g} is not between -180 and 180 degrees")
    if not -450.0 <= site.elevation_m <= 6000.0:
        faults.append(f"the elevation {site.elevation_m:g} m is not between -450 and 6000 m")
    if not -12.0 <= site.utc_offset_h <= 14.0 or (site.utc_offset_h * 4.0) % 1.0:
        faults.append(f"{site.utc_offset_h:g} h is not the offset of any local standard time")
    ahead = (site.utc_offset_h - site.longitude_deg / 15.0 + 12.0) % 24.0 - 12.0
    if not faults and not abs(ahead) <= _SOLAR_CLOCK_SLACK_H:
        faults.append(
            f"local standard time UTC{site.utc_offset_h:+g} h does not belong to the longitude "
            f"{site.longitude_deg:g} degrees"
        )
    return faults


def check_site(site: Site, *, where: str) -> None:
    """Refuse a place that cannot be.

    Parameters
    ----------
    site
        Place as read.
    where
        File it was read from.

    Raises
    ------
    WeatherError
        If a coordinate or the clock is impossible or the two do not fit.
    """
    faults = site_faults(site)
    if faults:
        raise WeatherError(
            "; ".join(faults),
            where=where,
            expected="latitude and longitude in degrees (north and east positive), elevation in "
            "metres, local standard time in hours from UTC",
            remedy="correct the place in the head of the file",
        )


def check_temperature_range(outdoor_c: Array, grid: YearGrid) -> None:
    """Refuse temperatures that no place has.

    Parameters
    ----------
    outdoor_c
        Outdoor temperature, degC, nan = missing, shape (hours,).
    grid
        The hours and their lines.

    Raises
    ------
    WeatherError
        At the first value outside -60..60 degC.
    """
    wrong = (outdoor_c < COLDEST_C) | (outdoor_c > WARMEST_C)
    if not wrong.any():
        return
    first = int(np.argmax(wrong))
    count = int(wrong.sum())
    raise WeatherError(
        f"the outdoor temperature reads {outdoor_c[first]:.1f} degC at {grid.label(first)}"
        + (f", and {count - 1} more hours are out of range" if count > 1 else ""),
        where=grid.at(first),
        expected=f"{COLDEST_C:g} to {WARMEST_C:g} degC",
        remedy=_UNIT_REMEDY,
    )


def without_spikes(outdoor_c: Array, grid: YearGrid) -> tuple[Array, tuple[Notice, ...]]:
    """Turn single false values into gaps, and refuse jumps that stay.

    Parameters
    ----------
    outdoor_c
        Outdoor temperature, degC, nan = missing, shape (hours,).
    grid
        The hours and their lines.

    Returns
    -------
    tuple
        The column with nan in place of the false values, and a notice that lists them.

    Raises
    ------
    WeatherError
        If there are more than ten false values, or two hours that follow each other differ by more
        than 16 K (30 K where two months of a typical year are joined).

    Notes
    -----
    A value is false when both hours beside it lie more than 10 K away on the same side. Our
    choice: in the shipped years no true hour stands out by more than 5.5 K, and no two hours that
    follow each other differ by more than 11.1 K (computed). Beside a gap the
    nearest hours within four hours are compared; a jump may grow by 4 K for each further hour.
    """
    spiked = _spikes(outdoor_c)
    places = np.flatnonzero(spiked)
    if places.size > MOST_SPIKES:
        raise WeatherError(
            f"{places.size} single hours lie more than {SPIKE_K:g} K from both their neighbours",
            where=grid.at(int(places[0])),
            expected="outdoor temperatures that follow each other",
            remedy=_UNIT_REMEDY,
        )
    cleaned = np.where(spiked, np.nan, outdoor_c)
    _refuse_jumps(cleaned, grid)
    if not places.size:
        return outdoor_c, ()
    listed = ", ".join(f"{outdoor_c[at]:.1f} degC at {grid.label(int(at))}" for at in places)
    text = f"{grid.name}: false temperature left out, far from both neighbours: {listed}."
    return cleaned, (Notice(topic="weather", text=text),)


def _spikes(outdoor_c: Array) -> Mask:
    at, step, apart = _steps(outdoor_c)
    near = apart <= NEIGHBOUR_H
    large = np.abs(step) > SPIKE_K
    pair = near[:-1] & near[1:] & large[:-1] & large[1:] & (np.sign(step[:-1]) != np.sign(step[1:]))
    spiked: Mask = np.zeros(outdoor_c.size, dtype=np.bool_)
    spiked[at[1:-1][pair]] = True
    return spiked


def _steps(outdoor_c: Array) -> tuple[Index, Array, Index]:
    """Return the known hours, and what lies between each of them and the next known one."""
    at = np.flatnonzero(~np.isnan(outdoor_c))
    return at, np.diff(outdoor_c[at]), np.diff(at)


def _refuse_jumps(outdoor_c: Array, grid: YearGrid) -> None:
    at, step, apart = _steps(outdoor_c)
    limit = STEP_K + EXTRA_STEP_K * (apart - 1.0)
    if grid.typical:
        months = grid.starts.astype("datetime64[M]").astype(np.int64)[at]
        limit[np.diff(months) != 0] = MONTH_JOIN_K
    wrong = (np.abs(step) > limit) & (apart <= NEIGHBOUR_H)
    if not wrong.any():
        return
    first = int(np.argmax(wrong))
    hour, before = int(at[first + 1]), int(at[first])
    raise WeatherError(
        f"the outdoor temperature jumps from {outdoor_c[before]:.1f} to {outdoor_c[hour]:.1f} degC "
        f"within {apart[first]} h at {grid.label(hour)} and stays there",
        where=grid.at(hour),
        expected=f"at most {STEP_K:g} K from one hour to the next",
        remedy=_UNIT_REMEDY,
    )


def check_whole_year(outdoor_c: Array, grid: YearGrid) -> tuple[Notice, ...]:
    """Refuse a complete year that is in another unit or on another scale, wholly or for a while.

    Parameters
    ----------
    outdoor_c
        Complete outdoor temperature, degC, shape (hours,).
    grid
        The hours and their lines.

    Returns
    -------
    tuple of Notice
        One if the same temperature stands for more than two days on end.

    Raises
    ------
    WeatherError
        If no hour is above 5 degC, the whole year lies within 4 K, or the days of a stretch swing
        by less than a fifth of what is usual in that year.

    Notes
    -----
    A year of one single temperature is let through for checks by hand; the notice says so.
    """
    warmest, coldest = float(outdoor_c.max()), float(outdoor_c.min())
    what = ""
    if warmest == coldest:
        return _stuck_notice(outdoor_c, grid)
    if warmest < COOLEST_MAXIMUM_C:
        what = f"the warmest hour of the year is {warmest:.1f} degC"
    elif warmest - coldest < SMALLEST_RANGE_K:
        what = f"the whole year lies between {coldest:.1f} and {warmest:.1f} degC"
    if what:
        raise WeatherError(
            what,
            where=grid.name,
            expected="a year of an inhabited place",
            remedy="check the unit and the scale of the column: degC read as degF looks like this",
        )
    _refuse_flat_stretch(outdoor_c, grid)
    return _stuck_notice(outdoor_c, grid)


def _refuse_flat_stretch(outdoor_c: Array, grid: YearGrid) -> None:
    """Find a change of scale by the daily swing, even where the step is small."""
    days = outdoor_c.reshape(-1, 24)
    swing = days.max(axis=1) - days.min(axis=1)
    # the median by hand: numpy's imports its masked arrays first
    usual = float(np.sort(swing)[(swing.size - 1) // 2 : swing.size // 2 + 1].mean())
    sums = np.concatenate(([0.0], np.cumsum(swing)))
    mean = (sums[SWING_DAYS:] - sums[:-SWING_DAYS]) / SWING_DAYS
    flat = mean < SMALLEST_SWING_SHARE * usual
    if usual < SMALLEST_USUAL_SWING_K or not flat.any():
        return
    first = int(np.argmax(flat)) * 24
    raise WeatherError(
        f"from {grid.label(first)} on the days swing by only "
        f"{mean[first // 24]:.1f} K, against {usual:.1f} K in this year",
        where=grid.at(first),
        expected="the same unit and scale all year",
        remedy=_UNIT_REMEDY,
    )


def _stuck_notice(outdoor_c: Array, grid: YearGrid) -> tuple[Notice, ...]:
    same = np.append(False, np.diff(outdoor_c) == 0.0)
    stuck = [(first, length) for first, length in runs_of(same) if length >= STUCK_H]
    if not stuck:
        return ()
    first, length = max(stuck, key=lambda run: run[1])
    text = (
        f"{grid.name}: the same temperature stands for {length + 1} hours from "
        f"{grid.label(first - 1)} on; the sensor may have been stuck."
    )
    return (Notice(topic="weather", text=text),)


def checked_humidity(
    relative_humidity_pct: Array, grid: YearGrid
) -> tuple[Array, tuple[Notice, ...]]:
    """Limit readings just above saturation, and refuse what is no relative humidity.

    Parameters
    ----------
    relative_humidity_pct
        Relative humidity, %, nan = missing, shape (hours,).
    grid
        The hours and their lines.

    Returns
    -------
    tuple
        The column within 0..100 %, and a notice if readings up to 105 % were set to 100 %.

    Raises
    ------
    WeatherError
        If a value is below 0 or above 105 %, or the column looks like a fraction.
    """
    wrong = (relative_humidity_pct < 0.0) | (relative_humidity_pct > 100.0 + HUMIDITY_SLACK_PCT)
    if wrong.any():
        first = int(np.argmax(wrong))
        raise WeatherError(
            f"the humidity reads {relative_humidity_pct[first]:g} % at {grid.label(first)}",
            where=grid.at(first),
            expected="0 to 100 %",
            remedy="check the column and its unit",
        )
    known = relative_humidity_pct[~np.isnan(relative_humidity_pct)]
    if known.size and known.max() <= 1.5:
        raise WeatherError(
            "the relative humidity never exceeds 1.5 %",
            where=grid.name,
            expected="per cent, 0 to 100",
            remedy="multiply the column by 100 if it is a fraction",
        )
    above = relative_humidity_pct > 100.0
    if not above.any():
        return relative_humidity_pct, ()
    text = (
        f"{grid.name}: {int(above.sum())} readings of relative humidity just above 100 % were set "
        f"to 100 %, the first at {grid.label(int(np.argmax(above)))}."
    )
    return np.minimum(relative_humidity_pct, 100.0), (Notice(topic="weather", text=text),)
