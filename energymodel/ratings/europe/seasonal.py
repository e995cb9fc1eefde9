"""European seasonal ratings: SCOP, SEER, space-heating efficiency and label classes.

EN 14825 as used by Regulations (EU) 206/2012 and 626/2011 for air conditioners up to 12 kW and
811/2013 and 813/2013 for hydronic units.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from energymodel.equipment.curves import Function
from energymodel.errors import InputError
from energymodel.ratings.europe.checks import check_cooling, check_heating
from energymodel.ratings.europe.cooling import CoolingRating, rate_cooling
from energymodel.ratings.europe.heating import HeatingRating, rate_heating
from energymodel.ratings.europe.points import (
    CoolingDeclaration,
    HeatingDeclaration,
    PartLoadRules,
)
from energymodel.ratings.europe.tables import (
    Climate,
    ModeHours,
    UnitKind,
    class_bounds,
    cooling_bins,
    heating_season,
    mode_hours,
)

CONVERSION_COEFFICIENT = 2.5
"""CC of Regulation (EU) 2016/2281 Annex I(1): 40 % average generation efficiency. Later EU
energy-efficiency law lowered the default electricity factor (2.1 in 2018, 1.9 in 2023, from
memory), so it is a parameter wherever it is used."""
TEMPERATURE_CONTROL_CORRECTION = 0.03
"""F(1), from memory."""


def scop(
    declaration: HeatingDeclaration,
    *,
    climate: Climate,
    unit: UnitKind,
    rules: PartLoadRules | None = None,
    hours: ModeHours | None = None,
) -> HeatingRating:
    """Rate a heat pump for a European heating climate.

    Parameters
    ----------
    declaration
        Test points and electric power by mode.
    climate
        Average, warmer or colder.
    unit
        Kind of unit, for the hours by mode.
    rules
        Choices of the calculation; default: air-to-air, Cd 0.25, as recalled. Water-based units:
        `PartLoadRules(degradation=WaterDegradation())`.
    hours
        Hours by mode where they differ from the table.

    Returns
    -------
    HeatingRating
        SCOPon, SCOPnet, SCOP, yearly electricity and the bin table.

    Raises
    ------
    EquipmentError
        If a test point is missing, out of place or impossible.
    InputError
        If the kind of unit has no such season.
    """
    chosen = rules or PartLoadRules()
    season = heating_season(climate)
    notices = check_heating(declaration, season, chosen.cold_point)
    by_mode = hours or mode_hours(unit, Function.HEATING, climate)
    return replace(rate_heating(declaration, season, by_mode, chosen), notices=notices)


def seer(
    declaration: CoolingDeclaration,
    *,
    unit: UnitKind,
    rules: PartLoadRules | None = None,
    hours: ModeHours | None = None,
) -> CoolingRating:
    """Rate an air conditioner for the European cooling season.

    Parameters
    ----------
    declaration
        Test points and electric power by mode.
    unit
        Kind of unit, for the hours by mode.
    rules
        Choices of the calculation; default: air-to-air, Cd 0.25, as recalled.
    hours
        Hours by mode where they differ from the table.

    Returns
    -------
    CoolingRating
        SEERon, SEER, yearly electricity and the bin table.

    Raises
    ------
    EquipmentError
        If a test point is missing, out of place or impossible.
    InputError
        If the kind of unit has no such season.
    """
    notices = check_cooling(declaration)
    by_mode = hours or mode_hours(unit, Function.COOLING)
    rating = rate_cooling(declaration, cooling_bins(), by_mode, rules or PartLoadRules())
    return replace(rating, notices=notices)


def space_heating_efficiency(
    scop: float,
    *,
    conversion_coefficient: float = CONVERSION_COEFFICIENT,
    corrections: Sequence[float] = (TEMPERATURE_CONTROL_CORRECTION,),
) -> float:
    """Seasonal space-heating energy efficiency, related to primary energy.

    Parameters
    ----------
    scop
        SCOP.
    conversion_coefficient
        Primary energy per unit of electricity.
    corrections
        F(i) as shares: (0.03,) for air source, (0.03, 0.05) for ground water and brine.

    Returns
    -------
    float
        eta_s as a share: 1.25 = 125 %.

    Raises
    ------
    InputError
        If SCOP or coefficient is not above zero.

    Notes
    -----
    Air conditioners up to 12 kW are ranked on SEER and SCOP, not on this figure.

    References
    ----------
    Regulation (EU) 811/2013 Annex VII(4), in words; EN 14825:2018, formula 14 (from memory).

    Examples
    --------
    >>> round(space_heating_efficiency(4.4985), 4)
    1.7694
    """
    if not (scop > 0 and conversion_coefficient > 0):
        raise InputError(
            f"SCOP {scop:g} with conversion coefficient {conversion_coefficient:g}",
            expected="both above zero",
        )
    return scop / conversion_coefficient - sum(corrections)


def seer_class(seer: float) -> str:
    """Energy efficiency class of an air conditioner in cooling.

    Parameters
    ----------
    seer
        SEER.

    Returns
    -------
    str
        "A+++" to "G".

    References
    ----------
    Regulation (EU) 626/2011 Annex II Table 1 (from memory).

    Examples
    --------
    >>> seer_class(6.1)
    'A++'
    """
    return next((name for name, lowest, _ in class_bounds() if seer >= lowest), "G")


def scop_class(scop: float) -> str:
    """Energy efficiency class of an air conditioner in heating.

    Parameters
    ----------
    scop
        SCOP of the climate in question.

    Returns
    -------
    str
        "A+++" to "G".

    References
    ----------
    Regulation (EU) 626/2011 Annex II Table 1 (from memory).

    Examples
    --------
    >>> scop_class(3.99)
    'A'
    """
    return next((name for name, _, lowest in class_bounds() if scop >= lowest), "G")
