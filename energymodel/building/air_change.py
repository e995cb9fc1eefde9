"""Air that leaks and air that is brought in: air changes, blower-door figures, ventilation."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

import numpy as np

from energymodel.datafiles import read_table
from energymodel.errors import InputError
from energymodel.notices import UsedDefault
from energymodel.psychrometrics import standard_pressure_pa
from energymodel.units import BTU_PER_WH, KELVIN_PER_DEGF, METRE_PER_FOOT

AIR_HEAT_WH_PER_M3_K = 0.018 / (BTU_PER_WH * METRE_PER_FOOT**3 * KELVIN_PER_DEGF)
"""Heat of air at sea level: 0.018 Btu/(ft3 F) (from memory; 1.08 Btu/h per cfm and F)."""
_SOURCE = "from memory"


class Shielding(Enum):
    """How much the surroundings keep the wind away; the value is its row in the table."""

    SHIELDED = "shielded"
    NORMAL = "normal"
    EXPOSED = "exposed"


def air_density_ratio(altitude_m: float) -> float:
    """Density of outdoor air over that at sea level.

    Parameters
    ----------
    altitude_m
        Height above sea level, m, -500..5000.

    Returns
    -------
    float
        1 at sea level, falling with height.

    Raises
    ------
    InputError
        If the altitude is outside that range.

    References
    ----------
    Pressure of the standard atmosphere, :func:`energymodel.psychrometrics.standard_pressure_pa`;
    at equal temperature density goes with pressure.

    Examples
    --------
    >>> round(air_density_ratio(1600.0), 3)
    0.824
    """
    if not -500 <= altitude_m <= 5000:
        raise InputError(f"an altitude of {altitude_m:g} m", expected="-500 m to 5000 m")
    return float(standard_pressure_pa(altitude_m) / standard_pressure_pa(0.0))


def air_ua_w_per_k(flow_m3_per_h: float, *, altitude_m: float = 0.0) -> float:
    """Heat-loss coefficient of an exchange of air.

    Parameters
    ----------
    flow_m3_per_h
        Outdoor air that enters, m3/h.
    altitude_m
        Height above sea level, m.

    Returns
    -------
    float
        W/K.
    """
    return flow_m3_per_h * AIR_HEAT_WH_PER_M3_K * air_density_ratio(altitude_m)


def n_factor(*, zone: int, shielding: Shielding, storeys: float) -> float:
    """Divisor from air changes at 50 Pa to natural air changes.

    Parameters
    ----------
    zone
        Climate zone of the method, 1 to 4 (United States).
    shielding
        Shielding from wind.
    storeys
        Height in storeys, 1 to 3; linear between the listed 1, 1.5, 2 and 3.

    Returns
    -------
    float
        N.

    Raises
    ------
    InputError
        If the zone or the height is not covered.

    References
    ----------
    Form ACH50 / N (published); N = base of the zone x shielding x height, values from memory.

    Examples
    --------
    >>> round(n_factor(zone=2, shielding=Shielding.NORMAL, storeys=2.0), 2)
    14.8
    """
    bases = _rows("n_zone")
    if str(zone) not in bases:
        raise InputError(f"climate zone {zone} of the N-factor method", expected="1, 2, 3 or 4")
    heights = _rows("n_storeys")
    known = np.array([float(name) for name in heights])
    if not known[0] <= storeys <= known[-1]:
        raise InputError(f"a height of {storeys:g} storeys", expected="1 to 3 storeys")
    height = float(np.interp(storeys, known, np.array(list(heights.values()))))
    return bases[str(zone)] * _rows("n_shielding")[shielding.value] * height


def _rows(group: str) -> dict[str, float]:
    table = read_table("envelope.csv")
    return {row["name"]: float(row["value"]) for row in table if row["group"] == group}


@dataclass(frozen=True, slots=True, kw_only=True)
class Infiltration:
    """Air that leaks in.

    Parameters
    ----------
    volume_m3
        Heated volume, m3.
    air_changes_per_h
        Natural air changes, 1/h.
    used_defaults
        Values from memory that went into it.
    """

    volume_m3: float
    air_changes_per_h: float
    used_defaults: tuple[UsedDefault, ...] = ()

    def __post_init__(self) -> None:
        if not (self.volume_m3 >= 0 and 0 <= self.air_changes_per_h <= 10):
            raise InputError(
                f"{self.air_changes_per_h:g} natural air changes an hour in {self.volume_m3:g} m3",
                expected="0.1 to 2 natural air changes an hour",
                remedy="a blower-door figure (ACH50) must first be divided by N",
            )

    @property
    def flow_m3_per_h(self) -> float:
        """Outdoor air that leaks in, m3/h."""
        return self.volume_m3 * self.air_changes_per_h


def infiltration_from_ach50(
    *, volume_m3: float, ach50: float, zone: int, shielding: Shielding, storeys: float
) -> Infiltration:
    """Infiltration from a blower-door test.

    Parameters
    ----------
    volume_m3
        Heated volume, m3.
    ach50
        Air changes per hour at 50 Pa, >= 0.
    zone, shielding, storeys
        As for :func:`n_factor`.

    Returns
    -------
    Infiltration
        With N listed among the defaults.

    Raises
    ------
    InputError
        If a value is outside the method's range.
    """
    divisor = n_factor(zone=zone, shielding=shielding, storeys=storeys)
    text = f"{divisor:.3g} (zone {zone}, {shielding.value}, {storeys:g} storeys)"
    return Infiltration(
        volume_m3=volume_m3,
        air_changes_per_h=ach50 / divisor,
        used_defaults=(UsedDefault(name="divisor N of ACH50", value=text, source=_SOURCE),),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Ventilation:
    """Air that a fan brings in.

    Parameters
    ----------
    flow_m3_per_h
        Mean flow of outdoor air, m3/h.
    recovery
        Sensible heat recovery as a fraction; 0: none.
    """

    flow_m3_per_h: float
    recovery: float = 0.0

    def __post_init__(self) -> None:
        if not (self.flow_m3_per_h >= 0 and 0 <= self.recovery < 1):
            raise InputError(
                f"ventilation of {self.flow_m3_per_h:g} m3/h with a recovery of {self.recovery:g}",
                expected="0 m3/h or more, and a fraction such as 0.70",
            )

    @property
    def effective_flow_m3_per_h(self) -> float:
        """Flow that would lose as much heat without recovery, m3/h."""
        return self.flow_m3_per_h * (1.0 - self.recovery)


def usual_ventilation_m3_per_h(*, floor_area_m2: float, bedrooms: int) -> float:
    """Whole-house ventilation by floor area and bedrooms.

    Parameters
    ----------
    floor_area_m2
        Floor area, m2.
    bedrooms
        Number of bedrooms.

    Returns
    -------
    float
        m3/h: 0.03 cfm per ft2 + 7.5 cfm x (bedrooms + 1), from memory.

    Examples
    --------
    >>> round(usual_ventilation_m3_per_h(floor_area_m2=185.8, bedrooms=3))
    153
    """
    floor_ft2 = floor_area_m2 / METRE_PER_FOOT**2
    flow_cfm = 0.03 * floor_ft2 + 7.5 * (bedrooms + 1)
    return flow_cfm * METRE_PER_FOOT**3 * 60.0
