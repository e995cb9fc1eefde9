"""Bins, climatic regions and standard values of the US rating procedures.

The numbers lie in `data/ratings/us_*.csv`, each file with its source and its doubts.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from energymodel.datafiles import read_table

OLD_ZERO_LOAD_F = 65.0
"""Outdoor temperature without a load, Appendix M heating and both appendices' cooling (quoted)."""
COOLING_DESIGN_F = 95.0
COOLING_OVERSIZE = 1.1
"""Rated capacity over the design cooling load, section 4.1 (from memory)."""


class Region(Enum):
    """Generalised climatic regions of the heating season; the label is for region IV."""

    I = "I"  # noqa: E741 - the procedure's own Roman numeral
    II = "II"
    III = "III"
    IV = "IV"
    V = "V"
    VI = "VI"


@dataclass(frozen=True, slots=True, kw_only=True)
class RegionConstants:
    """Constants of one climatic region.

    Parameters
    ----------
    region
        Its name.
    design_f
        Outdoor design temperature T_OD, degF.
    load_hours_m, load_hours_m1
        Heating load hours of Appendix M and of M1, h.
    cooling_hours
        Cooling load hours, h.
    zero_load_m1_f
        Zero-load temperature T_zl of Appendix M1, degF.
    c, c_variable_speed
        Slope factors of Appendix M1: single speed and two capacity; variable speed. Doubtful:
        region I of the latter, remembered as 1.03 where 0.93 x 1.10 would be 1.02.

    References
    ----------
    10 CFR 430 Subpart B, Appendices M and M1, section 4.2 and Table 20 (from memory, confirmed
    by arithmetic except c).
    """

    region: Region
    design_f: float
    load_hours_m: float
    load_hours_m1: float
    cooling_hours: float
    zero_load_m1_f: float
    c: float
    c_variable_speed: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Bin:
    """One temperature bin of a season.

    Parameters
    ----------
    outdoor_f
        Its temperature, degF.
    fraction
        Share of the season's hours, 0..1.
    """

    outdoor_f: float
    fraction: float


@dataclass(frozen=True, slots=True, kw_only=True)
class LoadHours:
    """Hours at the design load in a year.

    Parameters
    ----------
    cooling_h
        Cooling load hours CLH, h.
    heating_h
        Heating load hours HLH, h.
    """

    cooling_h: float
    heating_h: float


RATING_HOURS_M = LoadHours(cooling_h=1000.0, heating_h=2080.0)
RATING_HOURS_M1 = LoadHours(cooling_h=1000.0, heating_h=1572.0)
"""Hours of the national average, "rating values" (from memory)."""


def region_constants(region: Region) -> RegionConstants:
    """Return the constants of a climatic region.

    Parameters
    ----------
    region
        I to VI.

    Returns
    -------
    RegionConstants
        Both editions' values.

    Examples
    --------
    >>> region_constants(Region.IV).design_f
    5.0
    """
    row = next(r for r in read_table("ratings", "us_regions.csv") if r["region"] == region.value)
    numbers = {name: float(text) for name, text in row.items() if name != "region"}
    return RegionConstants(region=region, **numbers)


def heating_bins(region: Region) -> tuple[Bin, ...]:
    """Return the heating bins that have hours, warmest first.

    Parameters
    ----------
    region
        I to VI.

    Returns
    -------
    tuple of Bin
        Fractions that sum to 1. In Appendix M1 the bins at and above the zero-load temperature
        count nothing, because the load is zero there; the others keep their fractions.
    """
    rows = read_table("ratings", "us_heating_bins.csv")
    every = (
        Bin(outdoor_f=float(row["outdoor_f"]), fraction=float(row[region.value])) for row in rows
    )
    return tuple(one for one in every if one.fraction > 0)


def cooling_bins() -> tuple[Bin, ...]:
    """Return the cooling bins, coolest first.

    Returns
    -------
    tuple of Bin
        67 to 102 F; fractions that sum to 1.
    """
    rows = read_table("ratings", "us_cooling_bins.csv")
    return tuple(
        Bin(outdoor_f=float(row["outdoor_f"]), fraction=float(row["fraction"])) for row in rows
    )


def standard_requirements() -> tuple[float, ...]:
    """Return the standard values of the design heating requirement, rising.

    Returns
    -------
    tuple of float
        5000 to 130 000 Btu/h.
    """
    rows = read_table("ratings", "us_design_requirements.csv")
    return tuple(float(row["requirement_btu_h"]) for row in rows)
