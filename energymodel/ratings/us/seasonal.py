"""US seasonal ratings: 10 CFR 430 Subpart B, Appendix M1 (SEER2, EER2, HSPF2) and Appendix M.

The equations of section 4 are from memory, except where a function says otherwise; every doubtful
number is a field of :class:`energymodel.ratings.us.editions.Edition`. Left out: the two-point
variant of very old editions, triple-capacity northern heat pumps, several indoor units.
"""

from __future__ import annotations

from collections.abc import Iterable

from energymodel.equipment.curves import Function
from energymodel.equipment.limits import check_map
from energymodel.errors import EquipmentError, InputError
from energymodel.ratings.conditions import needed
from energymodel.ratings.us import cooling as us_cooling
from energymodel.ratings.us import heating as us_heating
from energymodel.ratings.us.annual import AnnualPerformance, apf, off_mode_power_w
from energymodel.ratings.us.checks import within_second_law
from energymodel.ratings.us.cooling_points import (
    cooling_load_of,
    single_cooling,
    two_capacity_cooling,
    variable_cooling,
)
from energymodel.ratings.us.degradation import Findings, defrost_factor
from energymodel.ratings.us.editions import M1, Edition, M
from energymodel.ratings.us.heating_points import (
    single_heating,
    two_capacity_heating,
    variable_heating,
)
from energymodel.ratings.us.load import LoadOfBins, Requirement
from energymodel.ratings.us.maps import cooling_map, heating_map
from energymodel.ratings.us.operation import (
    check_cooling_operation,
    check_heating_operation,
    cut_out,
    low_locked_above_f,
    low_locked_below_f,
)
from energymodel.ratings.us.result import BinRow, SeasonalRating
from energymodel.ratings.us.tables import Region, heating_bins
from energymodel.ratings.us.units import (
    Service,
    SingleSpeedUnit,
    TwoCapacityUnit,
    UsUnit,
    VariableSpeedUnit,
)

__all__ = [
    "AnnualPerformance",
    "apf",
    "eer",
    "eer2",
    "hspf",
    "hspf2",
    "off_mode_power_w",
    "seer",
    "seer2",
    "seer_bin_form",
]


def seer2(unit: UsUnit, *, edition: Edition = M1) -> SeasonalRating:
    """SEER2 of a unit.

    Parameters
    ----------
    unit
        Tests and controls.
    edition
        Appendix M1, or a variant of it.

    Returns
    -------
    SeasonalRating
        Unrounded value, bin table, what was assumed.

    Raises
    ------
    EquipmentError
        If a test is missing or cannot be true; the message names it.

    References
    ----------
    10 CFR 430 Subpart B, Appendix M1, section 4.1 (from memory).

    Examples
    --------
    >>> from energymodel.ratings.conditions import TestPoint
    >>> tests = {
    ...     "A": TestPoint(capacity_btu_h=36_000.0, power_w=3000.0),
    ...     "B": TestPoint(capacity_btu_h=38_400.0, power_w=2640.0),
    ... }
    >>> rating = seer2(SingleSpeedUnit(tests=tests))
    >>> round(rating.value_btu_per_wh, 4), rating.published_btu_per_wh
    (13.0909, 13.1)
    """
    _of(edition, "SEER2")
    return _cooling(unit, edition)


def seer(unit: UsUnit, *, edition: Edition = M) -> SeasonalRating:
    """SEER of a unit.

    Parameters
    ----------
    unit
        Tests and controls.
    edition
        Appendix M, or its text before 2016.

    Returns
    -------
    SeasonalRating
        Unrounded value, bin table, what was assumed.

    Raises
    ------
    EquipmentError
        If a test is missing or cannot be true; the message names it.

    References
    ----------
    10 CFR 430 Subpart B, Appendix M, section 4.1 (from memory).
    """
    _of(edition, "SEER")
    return _cooling(unit, edition)


def hspf2(unit: UsUnit, *, region: Region = Region.IV, edition: Edition = M1) -> SeasonalRating:
    """HSPF2 of a heat pump.

    Parameters
    ----------
    unit
        Tests and controls.
    region
        Climatic region; the label is for region IV (from memory).
    edition
        Appendix M1, or a variant of it.

    Returns
    -------
    SeasonalRating
        Unrounded value with the demand-defrost credit, bin table, what was assumed.

    Raises
    ------
    EquipmentError
        If a test is missing or cannot be true; the message names it.

    References
    ----------
    10 CFR 430 Subpart B, Appendix M1, section 4.2 (from memory).
    """
    _of(edition, "HSPF2")
    return _heating(unit, edition, region, Requirement.MINIMUM)


def hspf(
    unit: UsUnit,
    *,
    region: Region = Region.IV,
    requirement: Requirement = Requirement.MINIMUM,
    edition: Edition = M,
) -> SeasonalRating:
    """HSPF of a heat pump.

    Parameters
    ----------
    unit
        Tests and controls.
    region
        Climatic region; the energy standard uses region IV (published).
    requirement
        Design heating requirement; the energy standard uses the minimum (published).
    edition
        Appendix M, or its text before 2016.

    Returns
    -------
    SeasonalRating
        Unrounded value with the demand-defrost credit, bin table, what was assumed.

    Raises
    ------
    EquipmentError
        If a test is missing or cannot be true; the message names it.

    References
    ----------
    10 CFR 430 Subpart B, Appendix M, section 4.2 (from memory); 10 CFR 430.32(c).
    """
    _of(edition, "HSPF")
    return _heating(unit, edition, region, requirement)


def eer2(unit: UsUnit) -> float:
    """EER2 of a unit tested by Appendix M1.

    Parameters
    ----------
    unit
        With test A, or A2.

    Returns
    -------
    float
        Capacity over power at 95 F, unrounded, Btu/Wh.

    Raises
    ------
    MissingTestError
        If the test is missing.
    """
    return needed(unit.tests, unit.rated_cooling_test, "EER2").eer_btu_per_wh


def eer(unit: UsUnit) -> float:
    """EER of a unit tested by Appendix M.

    Parameters
    ----------
    unit
        With test A, or A2.

    Returns
    -------
    float
        Capacity over power at 95 F, unrounded, Btu/Wh.

    Raises
    ------
    MissingTestError
        If the test is missing.
    """
    return needed(unit.tests, unit.rated_cooling_test, "EER").eer_btu_per_wh


def seer_bin_form(unit: SingleSpeedUnit, *, edition: Edition = M1) -> SeasonalRating:
    """Single-speed SEER by the general bin form, which the closed form stands for.

    Parameters
    ----------
    unit
        Tests and controls.
    edition
        The procedure.

    Returns
    -------
    SeasonalRating
        For a fixed-speed blower about half a per cent below the published closed form.

    References
    ----------
    10 CFR 430 Subpart B, Appendices M and M1, section 4.1.2 (from memory).
    """
    findings = _cooling_findings(unit, edition)
    points = single_cooling(unit, edition, findings)
    rows = us_cooling.single_speed_rows(points, cooling_load_of(unit, edition), edition.btu_per_wh)
    return _cooling_rating(rows, edition, findings)


def _of(edition: Edition, metric: str) -> None:
    if metric not in {edition.cooling_metric, edition.heating_metric}:
        raise InputError(
            f"{edition.name} has no {metric}",
            expected=f"{edition.cooling_metric} and {edition.heating_metric}",
        )


def _checked(unit: UsUnit, edition: Edition, function: Function) -> Findings:
    """Refuse impossible tests by name, then an impossible map."""
    within_second_law(unit, function)
    build = heating_map if function is Function.HEATING else cooling_map
    return Findings(notices=list(check_map(build(unit, edition=edition))))


def _cooling_findings(unit: UsUnit, edition: Edition) -> Findings:
    if unit.service is Service.HEATING_ONLY:
        raise EquipmentError(f"a heating-only unit has no {edition.cooling_metric}")
    check_cooling_operation(unit)
    return _checked(unit, edition, Function.COOLING)


def _cooling(unit: UsUnit, edition: Edition) -> SeasonalRating:
    findings = _cooling_findings(unit, edition)
    load = cooling_load_of(unit, edition)
    k = edition.btu_per_wh
    match unit:
        case SingleSpeedUnit():
            points = single_cooling(unit, edition, findings)
            if points.minimum is None:
                value = us_cooling.closed_form(points)
                return _cooling_rating((), edition, findings, value)
            rows = us_cooling.single_speed_rows(points, load, k)
        case TwoCapacityUnit():
            staged = two_capacity_cooling(unit, edition, findings)
            rows = us_cooling.two_capacity_rows(staged, load, low_locked_above_f(unit), k)
        case VariableSpeedUnit():
            staged = variable_cooling(unit, edition, findings)
            rows = us_cooling.variable_rows(staged, load, edition)
    return _cooling_rating(rows, edition, findings)


def _cooling_rating(
    rows: tuple[BinRow, ...], edition: Edition, findings: Findings, closed: float | None = None
) -> SeasonalRating:
    """SEER = sum q_j / sum e_j, or the closed form of section 4.1.1."""
    value = closed if closed is not None else _ratio(rows)
    return SeasonalRating(
        metric=edition.cooling_metric,
        edition=edition.name,
        value_btu_per_wh=value,
        rows=rows,
        used=tuple(findings.used),
        notices=tuple(findings.notices),
    )


def _ratio(rows: Iterable[BinRow]) -> float:
    rows = tuple(rows)
    delivered = sum(row.fraction * row.delivered_btu_h for row in rows)
    return delivered / sum(row.fraction * row.power_w for row in rows)


def _heating(
    unit: UsUnit, edition: Edition, region: Region, requirement: Requirement
) -> SeasonalRating:
    """HSPF = F_def x sum f BL / (sum e + sum RH), section 4.2."""
    if unit.service is Service.AIR_CONDITIONER:
        raise EquipmentError(f"an air conditioner has no {edition.heating_metric}")
    check_heating_operation(unit)
    findings = _checked(unit, edition, Function.HEATING)
    load = edition.heating_load.load(unit, region, requirement)
    single_speed = isinstance(unit, SingleSpeedUnit)
    stops = cut_out(unit.heating_operation, single_speed=single_speed, k=edition.btu_per_wh)
    in_a_bin = _heating_case(unit, edition, load, findings)
    rows = us_heating.rows_of(heating_bins(region), load, in_a_bin, stops)
    credit = defrost_factor(unit.defrost, edition.defrost_credit)
    heat = sum(row.fraction * row.load_btu_h for row in rows)
    electricity = sum(row.fraction * (row.power_w + row.resistance_w) for row in rows)
    return SeasonalRating(
        metric=edition.heating_metric,
        edition=edition.name,
        value_btu_per_wh=credit * heat / electricity,
        rows=rows,
        region=region,
        requirement_btu_h=load.requirement_btu_h,
        defrost_factor=credit,
        used=tuple(findings.used),
        notices=tuple(findings.notices),
    )


def _heating_case(
    unit: UsUnit, edition: Edition, load: LoadOfBins, findings: Findings
) -> us_heating.Case:
    match unit:
        case SingleSpeedUnit():
            single = single_heating(unit, edition, findings)
            return us_heating.single_speed_case(single, edition)
        case TwoCapacityUnit():
            staged = two_capacity_heating(unit, edition, findings)
            return us_heating.two_capacity_case(staged, edition, low_locked_below_f(unit))
        case VariableSpeedUnit():
            staged = variable_heating(unit, edition, findings)
            return us_heating.variable_speed_case(staged, edition, load)
