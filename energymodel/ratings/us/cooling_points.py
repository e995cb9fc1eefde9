"""Cooling points of a unit made complete for a rating, and its cooling load line."""

from __future__ import annotations

from energymodel.ratings.conditions import needed
from energymodel.ratings.us.checks import intermediate_inside, stage_above
from energymodel.ratings.us.degradation import Findings, cooling_cd
from energymodel.ratings.us.editions import Edition
from energymodel.ratings.us.load import LoadOfBins, cooling_load
from energymodel.ratings.us.points import (
    CoolingLine,
    MinimumAir,
    SinglePoints,
    StagedCooling,
    between,
    needed_rate,
)
from energymodel.ratings.us.units import (
    Service,
    SingleSpeedUnit,
    TwoCapacityUnit,
    UsUnit,
    VariableSpeedUnit,
)


def cooling_load_of(unit: UsUnit, edition: Edition) -> LoadOfBins:
    """Cooling load line of a unit.

    Parameters
    ----------
    unit
        The unit; its capacity at 95 F counts.
    edition
        V below 1 for variable-speed heat pumps in Appendix M1.

    Returns
    -------
    LoadOfBins
        Section 4.1.
    """
    rated = needed(unit.tests, unit.rated_cooling_test, edition.cooling_metric)
    variable = isinstance(unit, VariableSpeedUnit) and unit.service is Service.HEAT_PUMP
    factor = edition.variable_speed_cooling_load if variable else 1.0
    return cooling_load(rated.capacity_btu_h, factor)


def single_cooling(
    unit: SingleSpeedUnit, edition: Edition, findings: Findings
) -> SinglePoints[CoolingLine]:
    """Points of a single-speed unit in cooling, sections 4.1.1 and 4.1.2.

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
    purpose = f"{edition.cooling_metric} of a single-speed unit"
    minimum = None
    names = ("B", "A")
    if unit.cooling_fan is not None:
        names = ("B2", "A2")
        b1, a1 = (needed_rate(unit.tests, name, purpose) for name in ("B1", "A1"))
        minimum = MinimumAir(line=CoolingLine(b1, a1), fan=unit.cooling_fan)
        stage_above(unit.tests, "B1", "B2")
        stage_above(unit.tests, "A1", "A2")
    b, a = (needed_rate(unit.tests, name, purpose) for name in names)
    return SinglePoints(
        full=CoolingLine(b, a), minimum=minimum, cd=cooling_cd(unit, edition, findings)
    )


def two_capacity_cooling(
    unit: TwoCapacityUnit, edition: Edition, findings: Findings
) -> StagedCooling:
    """Points of a two-capacity unit in cooling, section 4.1.3.

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
    StagedCooling
        Complete and possible.
    """
    purpose = f"{edition.cooling_metric} of a two-capacity unit"
    f1, b1, b2, a2 = (needed_rate(unit.tests, name, purpose) for name in ("F1", "B1", "B2", "A2"))
    stage_above(unit.tests, "B1", "B2")
    return StagedCooling(
        low67=f1,
        low82=b1,
        mid87=None,
        full=CoolingLine(b2, a2),
        cd=cooling_cd(unit, edition, findings),
    )


def variable_cooling(
    unit: VariableSpeedUnit, edition: Edition, findings: Findings
) -> StagedCooling:
    """Points of a variable-speed unit in cooling, section 4.1.4.

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
    StagedCooling
        Complete and possible.
    """
    purpose = f"{edition.cooling_metric} of a variable-speed unit"
    names = ("F1", "B1", "E_V", "B2", "A2")
    f1, b1, ev, b2, a2 = (needed_rate(unit.tests, name, purpose) for name in names)
    stage_above(unit.tests, "B1", "B2")
    low, full = between(87.0, (67.0, f1), (82.0, b1)), between(87.0, (82.0, b2), (95.0, a2))
    intermediate_inside("E_V", low, ev, full)
    return StagedCooling(
        low67=f1,
        low82=b1,
        mid87=ev,
        full=CoolingLine(b2, a2),
        cd=cooling_cd(unit, edition, findings),
    )
