"""Records of a file of test points: US tests by their names, or European declared points."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Annotated, Literal

from pydantic import Field, model_validator

from energymodel.equipment.operation import Operation, SpeedLockout
from energymodel.errors import EquipmentError
from energymodel.ratings.conditions import CyclicPoint, TestPoint, condition
from energymodel.ratings.europe.map_declarations import USUAL_MODES
from energymodel.ratings.europe.points import (
    Control,
    CoolingDeclaration,
    DeclaredPoint,
    HeatingDeclaration,
)
from energymodel.ratings.europe.tables import Climate, ModePower
from energymodel.ratings.us.units import (
    Construction,
    DemandDefrost,
    SingleSpeedUnit,
    TwoCapacityUnit,
    UsUnit,
    VariableSpeedUnit,
)
from energymodel.scenario.fields import PositivePower, Power, Record, Temperature, refuse
from energymodel.scenario.plate_schema import SERVICES
from energymodel.scenario.unit_schema import IdleTable
from energymodel.units import BTU_PER_WH, btu_h_from_w

Positive = Annotated[float, Field(gt=0)]
_MINUTES_PER_HOUR = 60.0
CONTROLS = {
    "single speed": Control.FIXED,
    "two-stage": Control.STAGED,
    "inverter": Control.VARIABLE,
}
CLASSES: dict[str, type[SingleSpeedUnit | TwoCapacityUnit | VariableSpeedUnit]] = {
    "single speed": SingleSpeedUnit,
    "two-stage": TwoCapacityUnit,
    "inverter": VariableSpeedUnit,
}


class TestedPoint(Record):
    """Result of a steady or frost test; exactly one of power, cop and eer."""

    __test__ = False

    capacity: PositivePower
    power: PositivePower | None = None
    cop: Positive | None = None
    eer: Positive | None = None

    @model_validator(mode="after")
    def _one_of_three(self) -> TestedPoint:
        given = [name for name in ("power", "cop", "eer") if getattr(self, name) is not None]
        if len(given) != 1:
            raise refuse(
                f"a test with {' and '.join(given) or 'neither power, cop nor eer'}",
                expected="exactly one of power, cop and eer (Btu/h per W)",
            )
        return self

    @property
    def power_w(self) -> float:
        """Power, W."""
        if self.power is not None:
            return self.power
        cop = self.cop if self.cop is not None else (self.eer or 1.0) / BTU_PER_WH
        return self.capacity / cop

    def test_point(self) -> TestPoint:
        """Return the test for the ratings."""
        return TestPoint(capacity_btu_h=btu_h_from_w(self.capacity), power_w=self.power_w)


class CyclicTest(Record):
    """Result of a cyclic test: mean output and mean power over one whole cycle."""

    mean_capacity: PositivePower
    mean_power: PositivePower
    cycle_minutes: Positive

    def cyclic_point(self) -> CyclicPoint:
        """Return the test for the ratings, as heat and energy of one cycle."""
        hours = self.cycle_minutes / _MINUTES_PER_HOUR
        return CyclicPoint(
            capacity_btu=btu_h_from_w(self.mean_capacity) * hours,
            energy_wh=self.mean_power * hours,
            cycle_h=hours,
        )


class DefrostTable(Record):
    """Demand defrost as the frost test saw it."""

    between_hours: Positive
    longest_hours: Positive


class TestsFile(Record):
    """US test points of one unit."""

    __test__ = False

    name: str = ""
    kind: Literal["inverter", "two-stage", "single speed"]
    sold_as: Literal["heat pump", "air conditioner", "heating only"] = "heat pump"
    built_as: Literal["split", "single package", "outdoor unit without match"] = "split"
    tests: dict[str, TestedPoint] = Field(min_length=1)
    cyclic: dict[str, CyclicTest] = Field(default_factory=dict)
    cd_heating: float | None = Field(default=None, ge=0, lt=1)
    cd_cooling: float | None = Field(default=None, ge=0, lt=1)
    defrost: DefrostTable | None = None
    off: Temperature | None = None
    on: Temperature | None = None
    low_stage_off_below: Temperature | None = None
    low_stage_off_above: Temperature | None = None
    nominal_at_full_speed: bool = False
    minimum_speed_limiting: bool = False
    idle: IdleTable = IdleTable()

    @model_validator(mode="after")
    def _known_tests(self) -> TestsFile:
        for name in (*self.tests, *self.cyclic):
            try:
                condition(name)
            except EquipmentError as error:
                raise refuse(error.what, expected=error.expected, remedy=error.remedy) from None
        if self.on is not None and self.off is None:
            raise refuse('"on" without "off"', remedy="give both, or only off")
        staged = self.low_stage_off_below is not None or self.low_stage_off_above is not None
        if staged and self.kind != "two-stage":
            raise refuse(f"a lock-out of low stage on a {self.kind} unit")
        return self

    def unit(self) -> UsUnit:
        """Return the unit for the ratings.

        Returns
        -------
        UsUnit
            Its tests are checked when it is rated.

        Raises
        ------
        EquipmentError
            If a test is not positive.
        """
        tests = {name: test.test_point() for name, test in self.tests.items()}
        cyclic = {name: test.cyclic_point() for name, test in self.cyclic.items()}
        service, construction = SERVICES[self.sold_as], Construction(self.built_as)
        heating, cooling = self._operations()
        one: UsUnit = CLASSES[self.kind](tests=tests, cyclic=cyclic)
        if isinstance(one, VariableSpeedUnit):
            one = replace(
                one,
                nominal_at_full_speed=self.nominal_at_full_speed,
                minimum_speed_limiting=self.minimum_speed_limiting,
            )
        return replace(
            one,
            service=service,
            construction=construction,
            cd_heating=self.cd_heating,
            cd_cooling=self.cd_cooling,
            defrost=self._defrost(),
            heating_operation=heating,
            cooling_operation=cooling,
        )

    def _operations(self) -> tuple[Operation, Operation]:
        below, above = self.low_stage_off_below, self.low_stage_off_above
        low_heating = () if below is None else (SpeedLockout(speed=0, below_c=below),)
        low_cooling = () if above is None else (SpeedLockout(speed=0, above_c=above),)
        return (
            Operation(off_c=self.off, on_c=self.on, lockouts=low_heating),
            Operation(lockouts=low_cooling),
        )

    def _defrost(self) -> DemandDefrost | None:
        if self.defrost is None:
            return None
        return DemandDefrost(
            between_h=self.defrost.between_hours, longest_h=self.defrost.longest_hours
        )


class DeclaredRow(Record):
    """One European declared point; exactly one of cop and eer (W/W)."""

    outdoor: Temperature
    capacity: PositivePower
    cop: Positive | None = None
    eer: Positive | None = None

    @model_validator(mode="after")
    def _one_of_two(self) -> DeclaredRow:
        if (self.cop is None) == (self.eer is None):
            raise refuse("a declared point needs one of cop and eer (both in W/W)")
        return self

    def declared_point(self) -> DeclaredPoint:
        """Return the point for the ratings."""
        return DeclaredPoint(
            outdoor_c=self.outdoor, capacity_w=self.capacity, cop=self.cop or self.eer or 0.0
        )


class ModesTable(Record):
    """Electric power outside active mode."""

    thermostat_off: Power = USUAL_MODES.thermostat_off_w
    standby: Power = USUAL_MODES.standby_w
    off: Power = USUAL_MODES.off_w
    crankcase: Power = USUAL_MODES.crankcase_w

    def mode_power(self) -> ModePower:
        """Return the record of the ratings."""
        return ModePower(
            thermostat_off_w=self.thermostat_off,
            standby_w=self.standby,
            off_w=self.off,
            crankcase_w=self.crankcase,
        )


class DeclaredHeating(Record):
    """European heating declaration of one climate."""

    climate: Literal["average", "warmer", "colder"] = "average"
    design_load: PositivePower
    bivalent: Temperature
    limit: Temperature
    points: list[DeclaredRow] = Field(min_length=1)


class DeclaredCooling(Record):
    """European cooling declaration."""

    design_load: PositivePower
    points: list[DeclaredRow] = Field(min_length=1)


class DeclarationFile(Record):
    """European declared points of one unit."""

    name: str = ""
    kind: Literal["inverter", "two-stage", "single speed"]
    declared_heating: DeclaredHeating | None = None
    declared_cooling: DeclaredCooling | None = None
    modes: ModesTable = ModesTable()
    idle: IdleTable = IdleTable()

    @model_validator(mode="after")
    def _does_something(self) -> DeclarationFile:
        if self.declared_heating is None and self.declared_cooling is None:
            raise refuse("a declaration of neither heating nor cooling")
        return self

    def heating(self) -> Mapping[Climate, HeatingDeclaration]:
        """Return the heating declaration by its climate; empty: none."""
        given = self.declared_heating
        if given is None:
            return {}
        declaration = HeatingDeclaration(
            design_load_w=given.design_load,
            bivalent_c=given.bivalent,
            limit_c=given.limit,
            points=tuple(row.declared_point() for row in given.points),
            control=CONTROLS[self.kind],
            modes=self.modes.mode_power(),
        )
        return {Climate(given.climate): declaration}

    def cooling(self) -> CoolingDeclaration | None:
        """Return the cooling declaration; None: none."""
        given = self.declared_cooling
        if given is None:
            return None
        return CoolingDeclaration(
            design_load_w=given.design_load,
            points=tuple(row.declared_point() for row in given.points),
            control=CONTROLS[self.kind],
            modes=self.modes.mode_power(),
        )
