"""European reference seasons: bins, design temperatures, hours by mode, label classes.

The numbers lie in `data/ratings/europe_*.csv`, each file with its source and its doubts.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

import numpy as np

from energymodel.arrays import Array
from energymodel.datafiles import read_table
from energymodel.equipment.curves import Function
from energymodel.errors import InputError
from energymodel.ratings.bin_table import Bins

BALANCE_C = 16.0
"""Outdoor temperature without a load, heating and cooling (EN 14825, from memory)."""
COOLING_DESIGN_C = 35.0
COOLING_POINTS_C = {"A": 35.0, "B": 30.0, "C": 25.0, "D": 20.0}
"""Cooling test points of EN 14825:2012 (from memory); indoor 27 (19) degC."""


class Climate(Enum):
    """Reference heating climates of EN 14825."""

    AVERAGE = "average"
    WARMER = "warmer"
    COLDER = "colder"


class UnitKind(Enum):
    """Kinds of unit that have their own hours by mode."""

    COOLING_ONLY = "cooling only"
    REVERSIBLE = "reversible"
    HEATING_ONLY = "heating only"
    HYDRONIC_HEATING_ONLY = "hydronic heating only"


HEATING_POINTS_C = {
    Climate.AVERAGE: {"A": -7.0, "B": 2.0, "C": 7.0, "D": 12.0},
    Climate.WARMER: {"B": 2.0, "C": 7.0, "D": 12.0},
    Climate.COLDER: {"A": -7.0, "B": 2.0, "C": 7.0, "D": 12.0},
}
"""Fixed outdoor temperatures of the heating test points (EN 14825:2012, from memory)."""
EXTRA_COLD_POINT_C = -15.0
EXTRA_COLD_POINT_BELOW_C = -20.0
"""Colder climate: point G at -15 degC only if the unit runs below -20 degC (from memory)."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class HeatingSeason:
    """One reference heating season.

    Parameters
    ----------
    climate
        Its name.
    design_c
        Reference design temperature Tdesignh, degC.
    bivalent_max_c, limit_max_c
        Highest permitted bivalent temperature and operation limit, degC.
    bins
        Hours by outdoor temperature.
    """

    climate: Climate
    design_c: float
    bivalent_max_c: float
    limit_max_c: float
    bins: Bins


@dataclass(frozen=True, slots=True, kw_only=True)
class ModeHours:
    """Hours by mode, h/year.

    Parameters
    ----------
    active_h
        Equivalent full-load hours H_HE or H_CE.
    thermostat_off_h, standby_h, off_h, crankcase_h
        Hours H_TO, H_SB, H_OFF and H_CK.
    """

    active_h: float
    thermostat_off_h: float
    standby_h: float
    off_h: float
    crankcase_h: float


@dataclass(frozen=True, slots=True, kw_only=True)
class ModePower:
    """Electric power by mode, W.

    Parameters
    ----------
    thermostat_off_w, standby_w, off_w, crankcase_w
        P_TO, P_SB, P_OFF and P_CK.
    """

    thermostat_off_w: float = 0.0
    standby_w: float = 0.0
    off_w: float = 0.0
    crankcase_w: float = 0.0

    def yearly_kwh(self, hours: ModeHours) -> float:
        """Electricity outside active mode.

        Parameters
        ----------
        hours
            Hours by mode, h.

        Returns
        -------
        float
            H_TO P_TO + H_SB P_SB + H_CK P_CK + H_OFF P_OFF, kWh/year.

        References
        ----------
        EN 14825:2012, clauses 6.1-6.3 for cooling (from memory); heating alike.
        """
        return (
            hours.thermostat_off_h * self.thermostat_off_w
            + hours.standby_h * self.standby_w
            + hours.crankcase_h * self.crankcase_w
            + hours.off_h * self.off_w
        ) / 1000.0


def heating_season(climate: Climate) -> HeatingSeason:
    """Return a reference heating season.

    Parameters
    ----------
    climate
        Average, warmer or colder.

    Returns
    -------
    HeatingSeason
        Bins with hours only.

    References
    ----------
    Regulation (EU) 206/2012 Annex II Tables 1 and 3 (bins from memory, confirmed by sums).

    Examples
    --------
    >>> heating_season(Climate.AVERAGE).bins.hours.sum()
    np.float64(4910.0)
    """
    design = next(
        row for row in read_table("ratings", "europe_design.csv") if row["climate"] == climate.value
    )
    rows = read_table("ratings", "europe_heating_bins.csv")
    hours = np.array([float(row[f"{climate.value}_h"]) for row in rows])
    outdoor = np.array([float(row["outdoor_c"]) for row in rows])
    return HeatingSeason(
        climate=climate,
        design_c=float(design["design_c"]),
        bivalent_max_c=float(design["bivalent_max_c"]),
        limit_max_c=float(design["limit_max_c"]),
        bins=Bins(outdoor_c=outdoor[hours > 0], hours=hours[hours > 0]),
    )


def cooling_bins() -> Bins:
    """Return the bins of the European cooling season.

    Returns
    -------
    Bins
        17 to 39 degC.

    References
    ----------
    EN 14825:2012 Table 36 (from memory, confirmed by sums).
    """
    rows = read_table("ratings", "europe_cooling_bins.csv")
    hours = np.array([float(row["hours_h"]) for row in rows])
    outdoor = np.array([float(row["outdoor_c"]) for row in rows])
    return Bins(outdoor_c=outdoor[hours > 0], hours=hours[hours > 0])


def part_load_ratio(outdoor_c: Array, design_c: float) -> Array:
    """Load over design load on the European load line.

    Parameters
    ----------
    outdoor_c
        Outdoor temperature, degC.
    design_c
        Temperature of full load, degC: below 16 in heating, above 16 in cooling.

    Returns
    -------
    Array
        (T - 16) / (Tdesign - 16), never negative, same shape.

    References
    ----------
    EN 14825:2012, clauses 6.4 and 7.2; EN 14825:2018, formula 23 (from memory).

    Examples
    --------
    >>> part_load_ratio(np.array([-7.0, 2.0, 7.0, 12.0]), -10.0).round(4).tolist()
    [0.8846, 0.5385, 0.3462, 0.1538]
    """
    return np.maximum((outdoor_c - BALANCE_C) / (design_c - BALANCE_C), 0.0)


def full_load_hours(bins: Bins, design_c: float) -> float:
    """Load of a season as hours at the design load.

    Parameters
    ----------
    bins
        Hours by outdoor temperature.
    design_c
        Temperature of full load, degC.

    Returns
    -------
    float
        Sum of hours x part-load ratio, h.
    """
    return float(bins.hours @ part_load_ratio(bins.outdoor_c, design_c))


def mode_hours(unit: UnitKind, function: Function, climate: Climate | None = None) -> ModeHours:
    """Return the hours by mode of a kind of unit.

    Parameters
    ----------
    unit
        Kind of unit.
    function
        Heating or cooling.
    climate
        Heating climate; not used in cooling.

    Returns
    -------
    ModeHours
        h/year.

    Raises
    ------
    InputError
        If the kind of unit has no such season.

    Notes
    -----
    Doubtful: which table holds for a given class of unit, and the crankcase hours of heating-only
    units in the warmer and colder climate. Pass other hours to the rating where they are known.

    References
    ----------
    EN 14825:2012 Annex D Tables D.1-D.4 (from memory); Regulation (EU) 811/2013 Annex VII(4).
    """
    season = "cooling" if function is Function.COOLING else climate.value if climate else ""
    for row in read_table("ratings", "europe_mode_hours.csv"):
        if row["unit"] == unit.value and row["season"] == season:
            return ModeHours(
                active_h=float(row["active_h"]),
                thermostat_off_h=float(row["thermostat_off_h"]),
                standby_h=float(row["standby_h"]),
                off_h=float(row["off_h"]),
                crankcase_h=float(row["crankcase_h"]),
            )
    raise InputError(
        f"there are no {season or 'heating'} hours by mode for a {unit.value} unit",
        expected="a kind of unit with this function, and in heating a climate",
    )


def class_bounds() -> tuple[tuple[str, float, float], ...]:
    """Return the energy efficiency classes of air conditioners, best first.

    Returns
    -------
    tuple of (name, lowest SEER, lowest SCOP)
        Class G has no lower bound and is not in the list.

    References
    ----------
    Regulation (EU) 626/2011 Annex II Table 1 (from memory).
    """
    rows = read_table("ratings", "europe_label_classes.csv")
    return tuple((row["class"], float(row["seer_min"]), float(row["scop_min"])) for row in rows)
