"""Building load lines of the US procedures, and the design heating requirement."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import Enum
from typing import Protocol

from energymodel.errors import InputError
from energymodel.ratings.conditions import needed
from energymodel.ratings.us.tables import (
    COOLING_DESIGN_F,
    COOLING_OVERSIZE,
    OLD_ZERO_LOAD_F,
    Region,
    RegionConstants,
    region_constants,
    standard_requirements,
)
from energymodel.ratings.us.units import Service, UsUnit, VariableSpeedUnit


class Requirement(Enum):
    """Which design heating requirement of Appendix M; the label uses the minimum."""

    MINIMUM = "minimum"
    MAXIMUM = "maximum"


class Tie(Enum):
    """Which standard value is taken half-way between two."""

    UP = "up"
    DOWN = "down"


@dataclass(frozen=True, slots=True, kw_only=True)
class LoadOfBins:
    """A building load line in the procedures' own units.

    Parameters
    ----------
    zero_load_f
        Outdoor temperature without a load, degF.
    slope_btu_h_per_f
        Rise per degF away from it, Btu/(h degF); negative towards the heat in heating.
    requirement_btu_h
        Design heating requirement DHR, Btu/h; None where the procedure has none.
    """

    zero_load_f: float
    slope_btu_h_per_f: float
    requirement_btu_h: float | None = None

    def at(self, outdoor_f: float) -> float:
        """Load at an outdoor temperature.

        Parameters
        ----------
        outdoor_f
            Outdoor temperature, degF.

        Returns
        -------
        float
            Load BL, Btu/h; below zero on the far side of the zero-load temperature.
        """
        return self.slope_btu_h_per_f * (outdoor_f - self.zero_load_f)


def cooling_load(rated_btu_h: float, factor: float) -> LoadOfBins:
    """Cooling load line.

    Parameters
    ----------
    rated_btu_h
        Capacity at 95 F, test A or A2, Btu/h.
    factor
        V: 1, or less for variable-speed heat pumps in Appendix M1.

    Returns
    -------
    LoadOfBins
        BL(T) = (T - 65)/(95 - 65) x Qc(95)/1.1 x V.

    References
    ----------
    10 CFR 430 Subpart B, Appendices M and M1, section 4.1 (from memory).

    Examples
    --------
    >>> round(cooling_load(36_000.0, 1.0).at(95.0), 3)
    32727.273
    """
    span = COOLING_DESIGN_F - OLD_ZERO_LOAD_F
    return LoadOfBins(
        zero_load_f=OLD_ZERO_LOAD_F,
        slope_btu_h_per_f=rated_btu_h / COOLING_OVERSIZE * factor / span,
    )


def nearest_requirement(value_btu_h: float, *, tie: Tie) -> float:
    """Round a design heating requirement to the nearest standard value.

    Parameters
    ----------
    value_btu_h
        Btu/h.
    tie
        Which neighbour counts when both are equally near. Doubtful; the general rule of
        10 CFR 430.23 is up.

    Returns
    -------
    float
        Standard value, Btu/h.

    Examples
    --------
    >>> nearest_requirement(16_333.0, tie=Tie.UP), nearest_requirement(12_500.0, tie=Tie.UP)
    (15000.0, 15000.0)
    """
    up = -1.0 if tie is Tie.UP else 1.0
    return min(
        standard_requirements(), key=lambda standard: (abs(standard - value_btu_h), up * standard)
    )


class HeatingLoadRule(Protocol):
    """How an edition sizes the heating load of its bins."""

    def load(self, unit: UsUnit, region: Region, requirement: Requirement) -> LoadOfBins:
        """Return the load line of a unit in a region.

        Parameters
        ----------
        unit
            The unit.
        region
            I to VI.
        requirement
            Minimum or maximum design heating requirement, where the edition has the two.

        Returns
        -------
        LoadOfBins
            Zero at the edition's zero-load temperature.
        """
        ...


@dataclass(frozen=True, slots=True, kw_only=True)
class RequirementRule:
    """Load line of Appendix M: a share of a standard design heating requirement.

    Parameters
    ----------
    experience
        Experience factor C, 0.77 (quoted for region IV).
    tie
        Tie rule of the standard values. Doubtful.

    References
    ----------
    10 CFR 430 Subpart B, Appendix M, section 4.2 (from memory).
    """

    experience: float = 0.77
    tie: Tie = Tie.UP

    def load(self, unit: UsUnit, region: Region, requirement: Requirement) -> LoadOfBins:
        """Return the load line of a unit in a region.

        Parameters
        ----------
        unit
            The unit; its nominal capacity at 47 F counts.
        region
            I to VI.
        requirement
            Minimum or maximum design heating requirement.

        Returns
        -------
        LoadOfBins
            BL(T) = (65 - T)/(65 - T_OD) x 0.77 x DHR.
        """
        constants = region_constants(region)
        nominal = needed(unit.tests, unit.nominal_heating_test, "design heating requirement")
        raw = nominal.capacity_btu_h * _requirement_ratio(constants, requirement)
        dhr = nearest_requirement(raw, tie=self.tie)
        slope = self.experience * dhr / (OLD_ZERO_LOAD_F - constants.design_f)
        return LoadOfBins(
            zero_load_f=OLD_ZERO_LOAD_F, slope_btu_h_per_f=-slope, requirement_btu_h=dhr
        )


def _requirement_ratio(constants: RegionConstants, requirement: Requirement) -> float:
    """DHR over nominal capacity: (65 - T_OD)/60, or 1 in region V; the maximum 2 or 2.2 times."""
    if constants.region is Region.V:
        return 1.0 if requirement is Requirement.MINIMUM else 2.2
    least = (OLD_ZERO_LOAD_F - constants.design_f) / 60.0
    return least if requirement is Requirement.MINIMUM else 2.0 * least


@dataclass(frozen=True, slots=True, kw_only=True)
class CapacityRule:
    """Load line of Appendix M1: a share of the rated cooling capacity.

    Parameters
    ----------
    design_f
        Temperature in the denominator, degF; None: the region's design temperature, as in the
        industry standard. Doubtful outside region IV: a constant 5 F gives nearly one slope for
        all regions, as one house design should.
    c_variable_speed
        Slope factors of variable speed that replace the table's, by region. Doubtful: region I,
        1.03 in the table, perhaps 1.02.

    References
    ----------
    10 CFR 430 Subpart B, Appendix M1, section 4.2 (from memory).
    """

    design_f: float | None = 5.0
    c_variable_speed: Mapping[Region, float] = field(default_factory=dict)

    def load(self, unit: UsUnit, region: Region, requirement: Requirement) -> LoadOfBins:
        """Return the load line of a unit in a region.

        Parameters
        ----------
        unit
            The unit; its cooling capacity at 95 F counts, or, heating-only, that at 47 F.
        region
            I to VI.
        requirement
            Only the minimum exists: Appendix M1 has one load line.

        Returns
        -------
        LoadOfBins
            BL(T) = (T_zl - T)/(T_zl - 5) x C x Qc(95).

        Raises
        ------
        InputError
            If the maximum is asked for.
        """
        if requirement is not Requirement.MINIMUM:
            raise InputError(
                "Appendix M1 has no maximum design heating requirement",
                expected="the maximum goes with HSPF of Appendix M",
            )
        constants = region_constants(region)
        only_heats = unit.service is Service.HEATING_ONLY
        name = unit.nominal_heating_test if only_heats else unit.rated_cooling_test
        rated = needed(unit.tests, name, "heating load line of Appendix M1").capacity_btu_h
        design = constants.design_f if self.design_f is None else self.design_f
        slope = self._factor(unit, constants) * rated / (constants.zero_load_m1_f - design)
        return LoadOfBins(zero_load_f=constants.zero_load_m1_f, slope_btu_h_per_f=-slope)

    def _factor(self, unit: UsUnit, constants: RegionConstants) -> float:
        if isinstance(unit, VariableSpeedUnit):
            return self.c_variable_speed.get(constants.region, constants.c_variable_speed)
        return constants.c
