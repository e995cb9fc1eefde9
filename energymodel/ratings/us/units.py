"""Units as the US procedures see them: tests by name, and what the controls do."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import Enum
from math import isfinite
from typing import TypeAlias

from energymodel.equipment.operation import Operation, SpeedLockout
from energymodel.errors import EquipmentError
from energymodel.ratings.conditions import (
    CyclicPoint,
    ImpossiblePointError,
    TestPoint,
    condition,
)
from energymodel.units import c_from_f


class Service(Enum):
    """What a unit is sold for."""

    HEAT_PUMP = "heat pump"
    AIR_CONDITIONER = "air conditioner"
    HEATING_ONLY = "heating-only heat pump"


class Construction(Enum):
    """How a unit is built, as far as the procedures ask."""

    SPLIT = "split"
    SINGLE_PACKAGE = "single package"
    UNMATCHED_OUTDOOR_UNIT = "outdoor unit without match"


@dataclass(frozen=True, slots=True, kw_only=True)
class DemandDefrost:
    """A control that defrosts when the coil needs it.

    Parameters
    ----------
    between_h
        Hours between defrost terminations in the frost test (two capacity: high-capacity test;
        variable speed: intermediate-speed test); 6 if the test saw no defrost.
    longest_h
        Longest time between defrosts that the control allows, h.
    """

    between_h: float
    longest_h: float


@dataclass(frozen=True, slots=True, kw_only=True)
class FanPower:
    """Indoor fan of a single-speed unit whose air volume follows the outdoor temperature.

    Parameters
    ----------
    minimum_w, full_w
        Fan power in the tests at minimum and at full air volume, W.
    outdoor_f, power_w
        Fan power against outdoor temperature as the control sets it: temperatures rising, degF,
        and power, W; straight lines between, held beyond the ends.
    """

    minimum_w: float
    full_w: float
    outdoor_f: tuple[float, ...]
    power_w: tuple[float, ...]

    def __post_init__(self) -> None:
        rising = all(a < b for a, b in zip(self.outdoor_f, self.outdoor_f[1:], strict=False))
        if not self.outdoor_f or len(self.outdoor_f) != len(self.power_w) or not rising:
            raise EquipmentError(
                "the fan power schedule needs rising temperatures with one power each"
            )
        if not 0 < self.minimum_w < self.full_w:
            raise EquipmentError(
                f"fan power {self.minimum_w:g} W at minimum, {self.full_w:g} W at full air volume",
                expected="0 < minimum < full",
            )
        if not all(self.minimum_w <= power <= self.full_w for power in self.power_w):
            raise EquipmentError(
                "the fan power schedule leaves the range between minimum and full air volume",
                expected=f"{self.minimum_w:g} to {self.full_w:g} W",
            )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Unit:
    tests: Mapping[str, TestPoint]
    cyclic: Mapping[str, CyclicPoint] = field(default_factory=dict)
    service: Service = Service.HEAT_PUMP
    construction: Construction = Construction.SPLIT
    cd_cooling: float | None = None
    cd_heating: float | None = None
    defrost: DemandDefrost | None = None
    heating_operation: Operation = field(default_factory=Operation)
    cooling_operation: Operation = field(default_factory=Operation)

    def __post_init__(self) -> None:
        object.__setattr__(self, "tests", dict(self.tests))
        object.__setattr__(self, "cyclic", dict(self.cyclic))
        for name, point in self.tests.items():
            _positive(name, point.capacity_btu_h, point.power_w, cyclic=False)
        for name, cycle in self.cyclic.items():
            _positive(name, cycle.capacity_btu, cycle.energy_wh, cyclic=True)
            if not cycle.cycle_h > 0:
                raise ImpossiblePointError(f"test {name} has a cycle of {cycle.cycle_h:g} h")


def _positive(name: str, capacity: float, power: float, *, cyclic: bool) -> None:
    if condition(name).cyclic != cyclic:
        raise EquipmentError(
            f"test {name} is a {condition(name).what} test",
            remedy="give cyclic tests as CyclicPoint in `cyclic`, others as TestPoint in `tests`",
        )
    if not (isfinite(capacity) and isfinite(power) and capacity > 0 and power > 0):
        raise ImpossiblePointError(
            f"test {name} has a capacity of {capacity:g} and a power of {power:g}",
            expected="both above zero",
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class SingleSpeedUnit(_Unit):
    """A unit with one compressor speed.

    Parameters
    ----------
    tests
        Test points by name: A, B; H1, H2, H3 (H4). With variable air volume A1, A2, B1, B2;
        H1_1, H1_2, H2_2 (H2_1), H3_1, H3_2.
    cyclic
        Cyclic tests by name: D (its steady partner C stands in `tests`), H1C.
    service, construction
        What it is sold for and how it is built.
    cd_cooling, cd_heating
        Degradation coefficients, 0..1; None: from the cyclic tests, else the edition's default.
    defrost
        Demand defrost; None: time defrost, no credit.
    heating_operation, cooling_operation
        Cut-outs of the site; the ratings use the cold cut-out of heating.
    cooling_fan, heating_fan
        Indoor fan whose air volume follows the outdoor temperature; None: fixed-speed blower.
    """

    cooling_fan: FanPower | None = None
    heating_fan: FanPower | None = None

    @property
    def rated_cooling_test(self) -> str:
        """Test at 95 F that gives the rated cooling capacity."""
        return "A2" if self.cooling_fan else "A"

    @property
    def nominal_heating_test(self) -> str:
        """Test at 47 F that gives the nominal heating capacity."""
        return "H1_2" if self.heating_fan else "H1"


@dataclass(frozen=True, slots=True, kw_only=True)
class TwoCapacityUnit(_Unit):
    """A unit with two compressor stages.

    Parameters
    ----------
    tests
        Test points by name: A2, B2, B1, F1; H0_1, H1_1, H3_1 (H2_1), H1_2, H2_2, H3_2 (H4_2).
        H3_1 may be missing if low stage is locked out at and below 37 F or higher.
    cyclic
        Cyclic tests by name: D1, D2 (steady partners C1, C2 in `tests`), H1C_1, H1C_2.
    service, construction
        What it is sold for and how it is built.
    cd_cooling, cd_heating
        Degradation coefficients of low stage, 0..1; None: from the cyclic tests, else the
        edition's default.
    defrost
        Demand defrost; None: time defrost, no credit.
    heating_operation, cooling_operation
        Cut-outs and lock-outs of low stage (speed 0).
    cd_cooling_full, cd_heating_full
        The same of high stage, used where low stage is locked out; None: as low stage.
    """

    cd_cooling_full: float | None = None
    cd_heating_full: float | None = None

    @property
    def rated_cooling_test(self) -> str:
        """Test at 95 F that gives the rated cooling capacity."""
        return "A2"

    @property
    def nominal_heating_test(self) -> str:
        """Test at 47 F that gives the nominal heating capacity."""
        return "H1_2"


@dataclass(frozen=True, slots=True, kw_only=True)
class VariableSpeedUnit(_Unit):
    """A unit whose compressor changes speed.

    Parameters
    ----------
    tests
        Test points by name: A2, B2, E_V, B1, F1; H0_1, H1_1, H2_V, H3_2, H1_N
        (H1_2, H2_2, H4_2).
    cyclic
        Cyclic tests by name: I1 (steady partner G1 in `tests`), H1C_1 or the older H0C_1.
    service, construction
        What it is sold for and how it is built.
    cd_cooling, cd_heating
        Degradation coefficients, 0..1; None: from the cyclic tests, else the edition's default.
    defrost
        Demand defrost; None: time defrost, no credit.
    heating_operation, cooling_operation
        Cut-outs of the site; the ratings use the cold cut-out of heating.
    minimum_speed_limiting
        The control raises the minimum speed below 47 F (Appendix M1 only).
    nominal_at_full_speed
        H1_N was run at the speed of H3_2, so it serves as the full-speed point at 47 F.
    """

    minimum_speed_limiting: bool = False
    nominal_at_full_speed: bool = False

    @property
    def rated_cooling_test(self) -> str:
        """Test at 95 F that gives the rated cooling capacity."""
        return "A2"

    @property
    def nominal_heating_test(self) -> str:
        """Test at 47 F that gives the nominal heating capacity."""
        return "H1_N"


UsUnit: TypeAlias = SingleSpeedUnit | TwoCapacityUnit | VariableSpeedUnit


def heating_operation_f(
    *,
    off_f: float | None = None,
    on_f: float | None = None,
    low_locked_below_f: float | None = None,
) -> Operation:
    """Heating controls from temperatures in degF.

    Parameters
    ----------
    off_f, on_f
        Cut-out and cut-in, degF; None: never stops for cold.
    low_locked_below_f
        Low stage is locked out at and below this temperature, degF.

    Returns
    -------
    Operation
        The record that ratings and site runs share.
    """
    return Operation(
        off_c=None if off_f is None else c_from_f(off_f),
        on_c=None if on_f is None else c_from_f(on_f),
        lockouts=()
        if low_locked_below_f is None
        else (SpeedLockout(speed=0, below_c=c_from_f(low_locked_below_f)),),
    )


def cooling_operation_f(*, low_locked_above_f: float | None = None) -> Operation:
    """Cooling controls from temperatures in degF.

    Parameters
    ----------
    low_locked_above_f
        Low stage is locked out at and above this temperature, degF.

    Returns
    -------
    Operation
        The record that ratings and site runs share.
    """
    if low_locked_above_f is None:
        return Operation()
    return Operation(lockouts=(SpeedLockout(speed=0, above_c=c_from_f(low_locked_above_f)),))
