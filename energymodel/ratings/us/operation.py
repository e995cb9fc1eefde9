"""What of a unit's controls a US rating knows: cold cut-out, and lock-outs of low stage."""

from __future__ import annotations

from dataclasses import dataclass, replace

from energymodel.equipment.operation import Operation, SpeedLockout
from energymodel.errors import EquipmentError
from energymodel.ratings.us.cases import Mode
from energymodel.ratings.us.points import Rate
from energymodel.ratings.us.tables import cooling_bins
from energymodel.ratings.us.units import TwoCapacityUnit, UsUnit
from energymodel.units import c_from_f, f_from_c

WARMEST_HEATING_BIN_F = 62.0


def same_degree(temperature_c: float) -> float:
    """Temperature in degF, rounded to 1e-6.

    Parameters
    ----------
    temperature_c
        A limit of the controls, degC.

    Returns
    -------
    float
        degF; a limit typed in degF meets the bin of that number after any conversion.
    """
    return round(f_from_c(temperature_c), 6)


def low_locked_below_f(unit: TwoCapacityUnit) -> float | None:
    """Highest temperature at and below which low stage is locked out in heating.

    Parameters
    ----------
    unit
        The unit.

    Returns
    -------
    float or None
        degF; None: never.
    """
    edges = [lock.below_c for lock in unit.heating_operation.lockouts]
    return max((same_degree(edge) for edge in edges if edge is not None), default=None)


def low_locked_above_f(unit: TwoCapacityUnit) -> float | None:
    """Lowest temperature at and above which low stage is locked out in cooling.

    Parameters
    ----------
    unit
        The unit.

    Returns
    -------
    float or None
        degF; None: never.
    """
    edges = [lock.above_c for lock in unit.cooling_operation.lockouts]
    return min((same_degree(edge) for edge in edges if edge is not None), default=None)


def check_heating_operation(unit: UsUnit) -> None:
    """Refuse heating controls for which the procedure has no clause.

    Parameters
    ----------
    unit
        The unit.

    Raises
    ------
    EquipmentError
        For a warm limit inside the bins, or a lock-out other than of low stage in the cold.
    """
    operation = unit.heating_operation
    if operation.off_above_c is not None and same_degree(operation.off_above_c) < (
        WARMEST_HEATING_BIN_F
    ):
        raise EquipmentError(
            f"heating stops above {same_degree(operation.off_above_c):g} F",
            expected="no limit below 62 F, the warmest bin of the rating",
        )
    for lock in operation.lockouts:
        if lock.above_c is not None:
            _refuse_lockout("heating above a temperature")
        _only_low_stage(unit, lock)


def check_cooling_operation(unit: UsUnit) -> None:
    """Refuse cooling controls for which the procedure has no clause.

    Parameters
    ----------
    unit
        The unit.

    Raises
    ------
    EquipmentError
        For a limit inside the bins, or a lock-out other than of low stage in the heat.
    """
    operation = unit.cooling_operation
    coolest, warmest = cooling_bins()[0].outdoor_f, cooling_bins()[-1].outdoor_f
    cold = operation.on_c if operation.on_c is not None else operation.off_c
    warm = operation.off_above_c
    if (cold is not None and same_degree(cold) >= coolest) or (
        warm is not None and same_degree(warm) < warmest
    ):
        raise EquipmentError(
            "a cooling limit lies inside the bins of the rating",
            expected=f"cooling allowed from {coolest:g} to {warmest:g} F",
        )
    for lock in operation.lockouts:
        if lock.below_c is not None:
            _refuse_lockout("cooling below a temperature")
        _only_low_stage(unit, lock)


def _only_low_stage(unit: UsUnit, lock: SpeedLockout) -> None:
    if lock.speed != 0 or not isinstance(unit, TwoCapacityUnit):
        _refuse_lockout(f"speed {lock.speed} of a {type(unit).__name__}")


def _refuse_lockout(what: str) -> None:
    raise EquipmentError(
        f"the procedure has no lock-out of {what}",
        expected="lock-outs of the low stage of two capacity: heating in the cold, cooling in "
        "the heat",
    )


def snapped(operation: Operation) -> Operation:
    """Move the limits of controls onto whole millionths of a degF.

    Parameters
    ----------
    operation
        Controls of the unit.

    Returns
    -------
    Operation
        The same to 1e-6 F, so that a limit typed in degF meets the bin of that number.
    """
    return replace(
        operation,
        off_c=_snap(operation.off_c),
        on_c=_snap(operation.on_c),
        off_above_c=_snap(operation.off_above_c),
        lockouts=tuple(
            replace(lock, below_c=_snap(lock.below_c), above_c=_snap(lock.above_c))
            for lock in operation.lockouts
        ),
    )


def _snap(temperature_c: float | None) -> float | None:
    return None if temperature_c is None else c_from_f(same_degree(temperature_c))


@dataclass(frozen=True, slots=True, kw_only=True)
class CutOut:
    """Cut-out and cut-in of a heating rating, sections 4.2.1 to 4.2.4.

    Parameters
    ----------
    off_f, on_f
        Temperatures T_off and T_on, degF; None: never stops for cold.
    single_speed
        The stop at COP below 1 also counts at part load.
    k
        Btu per Wh.
    """

    off_f: float | None
    on_f: float | None
    single_speed: bool
    k: float

    def part_load(self, outdoor_f: float) -> float:
        """Factor delta' for bins whose load can be met.

        Parameters
        ----------
        outdoor_f
            Bin temperature, degF.

        Returns
        -------
        float
            0 if T <= T_off, 1/2 if T_off < T <= T_on, 1 above.
        """
        if self.off_f is None:
            return 1.0
        if outdoor_f <= self.off_f:
            return 0.0
        on_f = self.off_f if self.on_f is None else self.on_f
        return 0.5 if outdoor_f <= on_f else 1.0

    def share(self, outdoor_f: float, mode: Mode, full: Rate) -> float:
        """Factor delta, delta' or delta'', whichever the case has.

        Parameters
        ----------
        outdoor_f
            Bin temperature, degF.
        mode
            Case of the bin.
        full
            Full capacity and power there.

        Returns
        -------
        float
            delta' in part load; delta and delta'' are also 0 where Q/(K E) < 1.
        """
        may = self.part_load(outdoor_f)
        asks_cop = self.single_speed or mode is Mode.FULL
        below_1 = full.capacity_btu_h < self.k * full.power_w or full.capacity_btu_h <= 0
        return 0.0 if asks_cop and below_1 else may


def cut_out(operation: Operation, *, single_speed: bool, k: float) -> CutOut:
    """Cut-out of a rating from the record that ratings and site runs share.

    Parameters
    ----------
    operation
        Controls of the unit.
    single_speed
        Whether the unit has one speed.
    k
        Btu per Wh.

    Returns
    -------
    CutOut
        Temperatures in degF, rounded to 1e-6 so that a limit typed in degF meets its bin.
    """
    return CutOut(
        off_f=None if operation.off_c is None else same_degree(operation.off_c),
        on_f=None if operation.on_c is None else same_degree(operation.on_c),
        single_speed=single_speed,
        k=k,
    )
