"""Heating points of a unit made complete for a rating: required tests and official estimates."""

from __future__ import annotations

from collections.abc import Mapping

from energymodel.notices import UsedDefault
from energymodel.ratings.conditions import TestPoint
from energymodel.ratings.us.checks import capacity_not_rising, intermediate_inside, stage_above
from energymodel.ratings.us.degradation import Findings, heating_cd
from energymodel.ratings.us.editions import Edition
from energymodel.ratings.us.points import (
    FrostLine,
    MinimumAir,
    Rate,
    SinglePoints,
    StagedHeating,
    between,
    frost_estimate,
    needed_rate,
    rate_of,
)
from energymodel.ratings.us.units import (
    Construction,
    SingleSpeedUnit,
    TwoCapacityUnit,
    VariableSpeedUnit,
)
from energymodel.units import f_from_c


def single_heating(
    unit: SingleSpeedUnit, edition: Edition, findings: Findings
) -> SinglePoints[FrostLine]:
    """Points of a single-speed unit in heating, sections 4.2.1 and 4.2.2.

    Parameters
    ----------
    unit
        The unit.
    edition
        The procedure.
    findings
        Receives what was assumed.

    Returns
    -------
    SinglePoints
        Complete and possible.
    """
    purpose = f"{edition.heating_metric} of a single-speed unit"
    minimum = None
    if unit.heating_fan is None:
        names, five = ("H3", "H2", "H1"), "H4"
    else:
        names, five = ("H3_2", "H2_2", "H1_2"), "H4_2"
        capacity_not_rising(unit.tests, "H3_1", "H1_1")
        cold, warm = (needed_rate(unit.tests, name, purpose) for name in ("H3_1", "H1_1"))
        at35 = _frost(unit.tests, "H2_1", (cold, warm), findings)
        minimum = MinimumAir(line=FrostLine(cold, at35, warm, None), fan=unit.heating_fan)
    at17, at35, at47 = (needed_rate(unit.tests, name, purpose) for name in names)
    _falling(unit.tests, five, *names)
    at5 = _five_f(unit.tests, five, edition) if minimum is None else None
    return SinglePoints(
        full=FrostLine(at17, at35, at47, at5),
        minimum=minimum,
        cd=heating_cd(unit, edition, findings),
    )


def two_capacity_heating(
    unit: TwoCapacityUnit, edition: Edition, findings: Findings
) -> StagedHeating:
    """Points of a two-capacity unit in heating, section 4.2.3.

    Parameters
    ----------
    unit
        The unit.
    edition
        The procedure.
    findings
        Receives what was assumed.

    Returns
    -------
    StagedHeating
        Complete and possible.
    """
    purpose = f"{edition.heating_metric} of a two-capacity unit"
    names = ("H0_1", "H1_1", "H3_2", "H2_2", "H1_2")
    h0, h1, at17, at35, at47 = (needed_rate(unit.tests, name, purpose) for name in names)
    for stage in ("H1", "H2", "H3"):
        stage_above(unit.tests, f"{stage}_1", f"{stage}_2")
    _falling(unit.tests, "H4_2", "H3_2", "H2_2", "H1_2")
    capacity_not_rising(unit.tests, "H3_1", "H1_1")
    return StagedHeating(
        low62=h0,
        low47=h1,
        low_frost=_low_stage_frost(unit, purpose, findings),
        mid35=None,
        full=FrostLine(at17, at35, at47, _five_f(unit.tests, "H4_2", edition)),
        limiting=False,
        cd=heating_cd(unit, edition, findings),
    )


def variable_heating(
    unit: VariableSpeedUnit, edition: Edition, findings: Findings
) -> StagedHeating:
    """Points of a variable-speed unit in heating, section 4.2.4.

    Parameters
    ----------
    unit
        The unit.
    edition
        The procedure.
    findings
        Receives what was assumed.

    Returns
    -------
    StagedHeating
        Complete and possible.
    """
    purpose = f"{edition.heating_metric} of a variable-speed unit"
    names = ("H0_1", "H1_1", "H2_V", "H3_2")
    h0, h1, h2_v, at17 = (needed_rate(unit.tests, name, purpose) for name in names)
    at47 = _full_speed_at_47(unit, at17, edition, findings)
    at35 = _frost(unit.tests, "H2_2", (at17, at47), findings)
    stage_above(unit.tests, "H1_1", "H1_2")
    stage_above(unit.tests, "H1_1", "H1_N")
    intermediate_inside("H2_V", between(35.0, (47.0, h1), (62.0, h0)), h2_v, at35)
    five = unit.tests.get("H4_2") if edition.five_f else None
    return StagedHeating(
        low62=h0,
        low47=h1,
        low_frost=None,
        mid35=h2_v,
        full=FrostLine(at17, at35, at47, rate_of(five) if five else None),
        limiting=unit.minimum_speed_limiting and edition.minimum_speed_limiting is not None,
        cd=heating_cd(unit, edition, findings),
    )


def _five_f(tests: Mapping[str, TestPoint], name: str, edition: Edition) -> Rate | None:
    counts = edition.five_f is not None and edition.five_f.single_speed_and_two_capacity
    return rate_of(tests[name]) if counts and name in tests else None


def _falling(tests: Mapping[str, TestPoint], *names: str) -> None:
    """Check every colder test against the warmest, the last one, and 5 F against 17 F.

    A frost test is not held against a steady one that is colder: frost may cost more than cold.
    """
    for colder in names[:-1]:
        capacity_not_rising(tests, colder, names[-1])
    capacity_not_rising(tests, names[0], names[1])


def _frost(
    tests: Mapping[str, TestPoint], name: str, neighbours: tuple[Rate, Rate], findings: Findings
) -> Rate:
    if name in tests:
        return rate_of(tests[name])
    estimate = frost_estimate(*neighbours)
    findings.used.append(
        UsedDefault(
            name=f"frost test {name} at 35 F",
            value=f"{estimate.capacity_btu_h:,.0f} Btu/h, {estimate.power_w:,.0f} W",
            source="10 CFR 430 Subpart B, Appendix M1, section 3.6, from memory",
        )
    )
    return estimate


def _low_stage_frost(unit: TwoCapacityUnit, purpose: str, findings: Findings) -> FrostLine | None:
    if "H3_1" not in unit.tests and _never_low_in_frost(unit):
        return None
    cold, warm = (needed_rate(unit.tests, name, purpose) for name in ("H3_1", "H1_1"))
    return FrostLine(cold, _frost(unit.tests, "H2_1", (cold, warm), findings), warm, None)


def _never_low_in_frost(unit: TwoCapacityUnit) -> bool:
    """Whether low stage is locked out in every bin below 40 F, the warmest of which is 37 F."""
    locked = [one.below_c for one in unit.heating_operation.lockouts if one.speed == 0]
    return any(edge is not None and f_from_c(edge) >= 37.0 - 1e-6 for edge in locked)


def _full_speed_at_47(
    unit: VariableSpeedUnit, at17: Rate, edition: Edition, findings: Findings
) -> Rate:
    """H1_2; else H1_N if run at the speed of H3_2; else the estimate of section 3.6.4."""
    if "H1_2" in unit.tests:
        return rate_of(unit.tests["H1_2"])
    if unit.nominal_at_full_speed:
        return needed_rate(unit.tests, "H1_N", "full speed at 47 F")
    slopes = edition.full_speed_estimate
    packaged = unit.construction is Construction.SINGLE_PACKAGE
    csf = slopes.capacity_package_per_f if packaged else slopes.capacity_split_per_f
    estimate = Rate(
        at17.capacity_btu_h * (1.0 + 30.0 * csf), at17.power_w * (1.0 + 30.0 * slopes.power_per_f)
    )
    findings.used.append(
        UsedDefault(
            name="full-speed test H1_2 at 47 F",
            value=f"{estimate.capacity_btu_h:,.0f} Btu/h, {estimate.power_w:,.0f} W",
            source=f"{edition.name}, section 3.6.4, from memory",
        )
    )
    return estimate
