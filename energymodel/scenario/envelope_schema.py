"""Records of a heat loss by components: surfaces, slab edges, air, gains; and of a rough start."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import Literal

from pydantic import Field, model_validator

from energymodel.building.air_change import (
    Infiltration,
    Shielding,
    Ventilation,
    infiltration_from_ach50,
)
from energymodel.building.assemblies import (
    SlabEdge,
    Surface,
    listed_ach50,
    listed_slab_edge,
    listed_surface,
    surface_from_r_value,
)
from energymodel.building.gains import PERSON_SENSIBLE_W, gains_by_count_w
from energymodel.building.rough_load import Insulation, RoughLoad, rough_design_load
from energymodel.errors import InputError
from energymodel.scenario.fields import (
    Airflow,
    Area,
    FFactor,
    Length,
    Power,
    Record,
    RValue,
    UValue,
    Volume,
    refuse,
    shown,
)
from energymodel.scenario.ledger import Ledger
from energymodel.units import btu_h_from_w

SECONDS_PER_HOUR = 3600.0


def one_of(record: Record, *names: str) -> str:
    """Return which of several keys of a record is given.

    Parameters
    ----------
    record
        Entry of the file.
    *names
        Keys that exclude each other.

    Returns
    -------
    str
        The one that is given.

    Raises
    ------
    PydanticCustomError
        If none or several are.
    """
    given = [name for name in names if getattr(record, name) is not None]
    if len(given) != 1:
        what = f"{' and '.join(given)} are given" if given else f"no {', no '.join(names)}"
        raise refuse(
            what,
            expected=f"exactly one of {', '.join(names)}",
        )
    return given[0]


def _check(make: Callable[[], object]) -> None:
    """Let a lower layer refuse at the place in the file."""
    try:
        make()
    except InputError as error:
        raise refuse(error.what, expected=error.expected, remedy=error.remedy) from None


class SurfaceRecord(Record):
    """A wall, window, door, roof or floor: area and U-value, R-value or a listed assembly."""

    name: str = Field(min_length=1)
    area: Area
    u_value: UValue | None = None
    r_value: RValue | None = None
    assembly: str | None = None

    @model_validator(mode="after")
    def _one_value(self) -> SurfaceRecord:
        one_of(self, "u_value", "r_value", "assembly")
        _check(self.part)
        return self

    def part(self) -> Surface:
        """Return the record of the building layer."""
        if self.assembly is not None:
            return listed_surface(name=self.name, area_m2=self.area, assembly=self.assembly)
        if self.r_value is not None:
            return surface_from_r_value(
                name=self.name, area_m2=self.area, r_m2_k_per_w=self.r_value
            )
        return Surface(name=self.name, area_m2=self.area, u_w_per_m2_k=self.u_value or 0.0)


class SlabEdgeRecord(Record):
    """The exposed edge of a floor slab: length and F-factor, or a listed assembly."""

    name: str = Field(min_length=1)
    length: Length
    f_factor: FFactor | None = None
    assembly: str | None = None

    @model_validator(mode="after")
    def _one_value(self) -> SlabEdgeRecord:
        one_of(self, "f_factor", "assembly")
        _check(self.part)
        return self

    def part(self) -> SlabEdge:
        """Return the record of the building layer."""
        if self.assembly is not None:
            return listed_slab_edge(name=self.name, perimeter_m=self.length, assembly=self.assembly)
        return SlabEdge(name=self.name, perimeter_m=self.length, f_w_per_m_k=self.f_factor or 0.0)


class InfiltrationRecord(Record):
    """Air that leaks in: natural air changes, or a blower-door figure with where the house is."""

    volume: Volume
    air_changes: float | None = Field(default=None, ge=0, le=10)
    ach50: float | None = Field(default=None, ge=0, le=100)
    tightness: str | None = None
    zone: Literal[1, 2, 3, 4] | None = None
    shielding: Literal["shielded", "normal", "exposed"] = "normal"
    storeys: float | None = Field(default=None, ge=1, le=3)

    @model_validator(mode="after")
    def _one_way(self) -> InfiltrationRecord:
        way = one_of(self, "air_changes", "ach50", "tightness")
        if way != "air_changes" and (self.zone is None or self.storeys is None):
            raise refuse(
                f"{way} without zone and storeys, which turn it into natural air changes",
                expected="for example zone = 2, storeys = 1.5",
            )
        _check(partial(self.leaks, Ledger()))
        return self

    def leaks(self, ledger: Ledger) -> Infiltration:
        """Return the record of the building layer.

        Parameters
        ----------
        ledger
            Notes a figure taken from the table.

        Returns
        -------
        Infiltration
            Natural air changes.
        """
        if self.air_changes is not None:
            return Infiltration(volume_m3=self.volume, air_changes_per_h=self.air_changes)
        ach50 = self.ach50
        if ach50 is None:
            ach50, used = listed_ach50(self.tightness or "")
            ledger.default(used.name, used.value, used.source)
        return infiltration_from_ach50(
            volume_m3=self.volume,
            ach50=ach50,
            zone=self.zone or 0,
            shielding=Shielding(self.shielding),
            storeys=self.storeys or 0.0,
        )


class VentilationRecord(Record):
    """Air that a fan brings in."""

    flow: Airflow
    recovery: float = Field(default=0.0, ge=0, lt=1)

    def air(self) -> Ventilation:
        """Return the record of the building layer."""
        return Ventilation(flow_m3_per_h=self.flow * SECONDS_PER_HOUR, recovery=self.recovery)


class GainsRecord(Record):
    """Mean heat from people, appliances and sun in the heating season."""

    people: float = Field(default=0.0, ge=0)
    hours_present: float | None = Field(default=None, ge=0, le=24)
    appliances: Power = 0.0
    sun: Power = 0.0

    @model_validator(mode="after")
    def _people_have_hours(self) -> GainsRecord:
        if self.people and self.hours_present is None:
            raise refuse(
                f"{shown(self.people)} people without the hours they are there",
                expected="hours_present, in hours per day",
            )
        return self

    def mean_w(self, ledger: Ledger) -> float:
        """Mean gain.

        Parameters
        ----------
        ledger
            Notes the heat of a person.

        Returns
        -------
        float
            W.
        """
        if self.people:
            ledger.default(
                "sensible heat of a person",
                f"{btu_h_from_w(PERSON_SENSIBLE_W):.0f} Btu/h ({PERSON_SENSIBLE_W:.0f} W)",
                "from memory",
            )
        return gains_by_count_w(
            people=self.people,
            hours_present_per_day=self.hours_present or 0.0,
            equipment_w=self.appliances + self.sun,
        )


class RoughRecord(Record):
    """A rule of thumb by volume, for a first look only."""

    floor_area: Area
    ceiling_height: Length = Field(gt=0)
    insulation: Literal["poor", "medium", "good", "new"]

    def load(self) -> RoughLoad:
        """Return the design load with the notice that goes with it."""
        return rough_design_load(
            floor_area_m2=self.floor_area,
            ceiling_height_m=self.ceiling_height,
            insulation=Insulation(self.insulation),
        )
