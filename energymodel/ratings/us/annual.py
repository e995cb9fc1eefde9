"""Annual performance factor and off-mode power of the US procedures."""

from __future__ import annotations

from dataclasses import dataclass

from energymodel.errors import InputError
from energymodel.ratings.conditions import needed
from energymodel.ratings.us.editions import Edition, M
from energymodel.ratings.us.load import RequirementRule
from energymodel.ratings.us.result import SeasonalRating
from energymodel.ratings.us.tables import LoadHours, region_constants
from energymodel.ratings.us.units import UsUnit

OFF_MODE_BASE_BTU_H = 36_000.0
"""Above this cooling capacity off-mode power is taken per 36 000 Btu/h, section 4.3 (doubtful)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class AnnualPerformance:
    """Annual performance factor with the energies it comes from.

    Parameters
    ----------
    apf_btu_per_wh
        Heat and cold of a year over their electricity, Btu/Wh.
    cooling_kwh, heating_kwh
        Electricity of the two seasons, kWh.
    """

    apf_btu_per_wh: float
    cooling_kwh: float
    heating_kwh: float


def apf(
    unit: UsUnit,
    *,
    cooling: SeasonalRating,
    heating: SeasonalRating,
    edition: Edition = M,
    hours: LoadHours | None = None,
) -> AnnualPerformance:
    """Annual performance factor, section 4.4 of Appendix M.

    Parameters
    ----------
    unit
        Tests of the unit; the capacity at 95 F counts.
    cooling, heating
        Its SEER and HSPF.
    edition
        Appendix M, for its experience factor.
    hours
        Load hours; None: those of the heating rating's region. National average:
        :data:`energymodel.ratings.us.tables.RATING_HOURS_M`.

    Returns
    -------
    AnnualPerformance
        (CLH Qc + HLH 0.77 DHR) / (CLH Qc/SEER + HLH 0.77 DHR/HSPF).

    Raises
    ------
    InputError
        If the heating rating has no design heating requirement.

    References
    ----------
    10 CFR 430 Subpart B, Appendix M, section 4.4 (from memory).
    """
    rule = edition.heating_load
    dhr = heating.requirement_btu_h
    if dhr is None or heating.region is None or not isinstance(rule, RequirementRule):
        raise InputError(
            f"an annual performance factor from {heating.metric}",
            expected="HSPF of Appendix M, which has a design heating requirement",
        )
    if hours is None:
        constants = region_constants(heating.region)
        hours = LoadHours(cooling_h=constants.cooling_hours, heating_h=constants.load_hours_m)
    rated = needed(unit.tests, unit.rated_cooling_test, "APF").capacity_btu_h
    cold, heat = hours.cooling_h * rated, hours.heating_h * rule.experience * dhr
    cooling_wh, heating_wh = cold / cooling.value_btu_per_wh, heat / heating.value_btu_per_wh
    return AnnualPerformance(
        apf_btu_per_wh=(cold + heat) / (cooling_wh + heating_wh),
        cooling_kwh=cooling_wh / 1000.0,
        heating_kwh=heating_wh / 1000.0,
    )


def off_mode_power_w(
    *, shoulder_w: float, heating_w: float, cooling_capacity_btu_h: float
) -> float:
    """Off-mode power P_W,OFF, which is no part of SEER2 or HSPF2.

    Parameters
    ----------
    shoulder_w, heating_w
        Average off-mode power P1 in the shoulder season and P2 in the heating season, per
        compressor when there are several, W.
    cooling_capacity_btu_h
        Capacity at 95 F, Btu/h.

    Returns
    -------
    float
        (P1 + P2)/2, from 36 000 Btu/h on divided by Qc/36 000, unrounded, W.

    References
    ----------
    10 CFR 430 Subpart B, Appendices M and M1, section 4.3 (from memory, doubtful); limits of 30 and
    33 W: 10 CFR 430.32(c) (published).

    Examples
    --------
    >>> off_mode_power_w(shoulder_w=20.0, heating_w=40.0, cooling_capacity_btu_h=48_000.0)
    22.5
    """
    scale = max(cooling_capacity_btu_h / OFF_MODE_BASE_BTU_H, 1.0)
    return (shoulder_w + heating_w) / (2.0 * scale)
