"""Degradation coefficients from cyclic tests and defaults, and the demand-defrost credit."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import NamedTuple

from energymodel.errors import EquipmentError
from energymodel.notices import Notice, UsedDefault
from energymodel.ratings.conditions import CyclicPoint, ImpossiblePointError, TestPoint, needed
from energymodel.ratings.us.editions import DefrostCredit, Edition
from energymodel.ratings.us.units import (
    Construction,
    DemandDefrost,
    SingleSpeedUnit,
    TwoCapacityUnit,
    UsUnit,
    VariableSpeedUnit,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Findings:
    """Defaults and notices that gather while a unit's points are prepared.

    Parameters
    ----------
    used
        Values the unit did not have.
    notices
        Things the reader of the rating should know.
    """

    used: list[UsedDefault] = field(default_factory=list)
    notices: list[Notice] = field(default_factory=list)


class Cd(NamedTuple):
    """Degradation coefficients of the lowest speed, and of high stage where it cycles."""

    low: float
    full: float


class _Cycle(NamedTuple):
    what: str
    given: float | None
    pairs: tuple[tuple[str, str], ...]
    default: float


def degradation_coefficient(steady: TestPoint, cyclic: CyclicPoint) -> float:
    """Degradation coefficient from a steady and a cyclic test.

    Parameters
    ----------
    steady
        Steady test at the same conditions; dry coil in cooling.
    cyclic
        Cyclic test.

    Returns
    -------
    float
        C_D = (1 - EER_cyc/EER_ss)/(1 - CLF), CLF = q_cyc/(Q_ss x cycle time); never negative.
        In heating the same with COP and HLF.

    Raises
    ------
    ImpossiblePointError
        If the cycle gave as much as a whole cycle of steady running.

    References
    ----------
    10 CFR 430 Subpart B, Appendices M and M1, sections 3.5.3 and 3.8.1 (from memory).

    Examples
    --------
    >>> cycle = CyclicPoint(capacity_btu=3600.0, energy_wh=300.0, cycle_h=0.5)
    >>> steady = TestPoint(capacity_btu_h=36_000.0, power_w=2640.0)
    >>> round(degradation_coefficient(steady, cycle), 4)
    0.15
    """
    load_factor = cyclic.capacity_btu / (steady.capacity_btu_h * cyclic.cycle_h)
    if load_factor >= 1.0:
        raise ImpossiblePointError(
            f"the cyclic test gave {load_factor:.2f} of a steady cycle's capacity",
            expected="less than 1",
            remedy="check the length of the cycle, in hours, and the capacity, in Btu per cycle",
        )
    ratio = cyclic.capacity_btu / cyclic.energy_wh / steady.eer_btu_per_wh
    return max(0.0, (1.0 - ratio) / (1.0 - load_factor))


def defrost_factor(defrost: DemandDefrost | None, credit: DefrostCredit) -> float:
    """Demand-defrost credit on the heating rating.

    Parameters
    ----------
    defrost
        Demand defrost of the unit; None: 1.
    credit
        The edition's limits.

    Returns
    -------
    float
        F_def = 1 + 0.03 [1 - (tau_def - 1.5)/(tau_max - 1.5)], 1.00 to 1.03.

    Raises
    ------
    EquipmentError
        If a time is not above zero, or the control's limit lies below the time between defrosts.

    References
    ----------
    10 CFR 430 Subpart B, Appendices M and M1, section 3.9.2 (from memory).

    Examples
    --------
    >>> round(defrost_factor(DemandDefrost(between_h=6.0, longest_h=12.0), DefrostCredit()), 7)
    1.0171429
    """
    if defrost is None:
        return 1.0
    if not 0 < defrost.between_h <= defrost.longest_h:
        raise EquipmentError(
            f"{defrost.between_h:g} h between defrosts, at most {defrost.longest_h:g} h by control",
            expected="above zero, and not more than the control allows",
        )
    longest = min(defrost.longest_h, credit.longest_h)
    between = min(max(defrost.between_h, credit.shortest_h), longest)
    if longest <= credit.shortest_h:
        return 1.0 + credit.largest
    late = (between - credit.shortest_h) / (longest - credit.shortest_h)
    return 1.0 + credit.largest * (1.0 - late)


def cooling_cd(unit: UsUnit, edition: Edition, findings: Findings) -> Cd:
    """Degradation coefficients in cooling.

    Parameters
    ----------
    unit
        The unit.
    edition
        Supplies defaults.
    findings
        Receives what was assumed.

    Returns
    -------
    Cd
        High stage equals low stage where it was not tested.
    """
    fixed = edition.cd.cooling_fixed
    if unit.construction is Construction.UNMATCHED_OUTDOOR_UNIT:
        fixed = edition.cd.cooling_unmatched
    match unit:
        case VariableSpeedUnit():
            pairs: tuple[tuple[str, str], ...] = (("G1", "I1"),)
            default = edition.cd.cooling_variable
        case TwoCapacityUnit():
            pairs, default = (("C1", "D1"),), fixed
        case SingleSpeedUnit():
            pairs, default = ((("C1", "D1"),) if unit.cooling_fan else (("C", "D"),)), fixed
    low = _resolved(unit, _Cycle("cooling", unit.cd_cooling, pairs, default), edition, findings)
    if not isinstance(unit, TwoCapacityUnit):
        return Cd(low, low)
    high = _Cycle("cooling, high stage", unit.cd_cooling_full, (("C2", "D2"),), default)
    return Cd(low, _high_stage(unit, high, low, edition, findings))


def heating_cd(unit: UsUnit, edition: Edition, findings: Findings) -> Cd:
    """Degradation coefficients in heating.

    Parameters
    ----------
    unit
        The unit.
    edition
        Supplies defaults.
    findings
        Receives what was assumed.

    Returns
    -------
    Cd
        High stage equals low stage where it was not tested.
    """
    low_pair = (("H1_1", "H1C_1"),)
    match unit:
        case VariableSpeedUnit():
            pairs: tuple[tuple[str, str], ...] = (*low_pair, ("H0_1", "H0C_1"))
        case TwoCapacityUnit():
            pairs = low_pair
        case SingleSpeedUnit():
            pairs = low_pair if unit.heating_fan else (("H1", "H1C"),)
    default = edition.cd.heating
    low = _resolved(unit, _Cycle("heating", unit.cd_heating, pairs, default), edition, findings)
    if not isinstance(unit, TwoCapacityUnit):
        return Cd(low, low)
    high = _Cycle("heating, high stage", unit.cd_heating_full, (("H1_2", "H1C_2"),), default)
    return Cd(low, _high_stage(unit, high, low, edition, findings))


def _high_stage(
    unit: UsUnit, cycle: _Cycle, low: float, edition: Edition, findings: Findings
) -> float:
    if cycle.given is None and not _run(unit, cycle):
        return low
    return _resolved(unit, cycle, edition, findings)


def _run(unit: UsUnit, cycle: _Cycle) -> list[tuple[str, str]]:
    return [pair for pair in cycle.pairs if pair[1] in unit.cyclic]


def _resolved(unit: UsUnit, cycle: _Cycle, edition: Edition, findings: Findings) -> float:
    tested = _tested(unit, cycle)
    name = f"degradation coefficient C_D, {cycle.what}"
    source = f"{edition.name}, from memory"
    if tested is None:
        findings.used.append(UsedDefault(name=name, value=f"{cycle.default:g}", source=source))
        return cycle.default
    if tested > cycle.default:
        findings.notices.append(
            Notice(
                topic="cycling",
                text=f"{name}: tested {tested:.3g}, above the default {cycle.default:g}, which "
                "replaces it",
            )
        )
        return cycle.default
    return tested


def _tested(unit: UsUnit, cycle: _Cycle) -> float | None:
    run = _run(unit, cycle)
    if cycle.given is not None and run:
        raise EquipmentError(
            f"C_D in {cycle.what} is given as {cycle.given:g} and also by test {run[0][1]}",
            remedy="keep one of the two",
        )
    if cycle.given is not None:
        if not 0.0 <= cycle.given < 1.0:
            raise ImpossiblePointError(
                f"C_D in {cycle.what} is {cycle.given:g}", expected="0 to below 1"
            )
        return cycle.given
    if not run:
        return None
    steady, cyclic = run[0]
    point = needed(unit.tests, steady, f"C_D in {cycle.what} from test {cyclic}")
    return degradation_coefficient(point, unit.cyclic[cyclic])
