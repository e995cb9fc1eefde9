"""Records of a plate file: what a plate, a label or a brochure says of a unit.

Three lines are enough: kind, capacity and one seasonal figure.
"""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, model_validator

from energymodel.equipment.curves import Function
from energymodel.equipment.operation import Operation
from energymodel.ratings.plate.input import (
    INVERTER,
    INVERTER_COLD_CLIMATE,
    RATED_COOLING_C,
    RATED_HEATING_C,
    SAME_K,
    SINGLE_SPEED,
    TWO_STAGE,
    EuropeanLoads,
    Level,
    Plate,
    PlateKind,
    PlatePoint,
)
from energymodel.ratings.plate.metrics import Label, Metric, Product
from energymodel.ratings.plate.shapes import LOW_CAPACITY_COMPRESSOR, ORDINARY, PartLoadShape
from energymodel.ratings.us.units import Service
from energymodel.scenario.fields import PositivePower, Record, Temperature, refuse
from energymodel.units import BTU_PER_WH

KINDS: dict[str, PlateKind] = {
    kind.name: kind for kind in (INVERTER, INVERTER_COLD_CLIMATE, TWO_STAGE, SINGLE_SPEED)
}
SHAPES: dict[str, PartLoadShape] = {
    shape.name: shape for shape in (ORDINARY, LOW_CAPACITY_COMPRESSOR)
}
SERVICES: dict[str, Service] = {
    "heat pump": Service.HEAT_PUMP,
    "air conditioner": Service.AIR_CONDITIONER,
    "heating only": Service.HEATING_ONLY,
}
_LEVELS = {
    "minimum": Level.MINIMUM,
    "low": Level.MINIMUM,
    "rated": Level.RATED,
    "full": Level.RATED,
    "maximum": Level.MAXIMUM,
}
_HEATING_FIGURES = {"hspf2": Metric.HSPF2, "hspf": Metric.HSPF, "scop": Metric.SCOP}
_COOLING_FIGURES = {
    "seer2": Metric.SEER2,
    "seer": Metric.SEER,
    "seer_europe": Metric.SEER_EUROPE,
}
Ratio = Annotated[float, Field(gt=0)]
"""A COP, an EER or a seasonal figure."""


class BrochurePoint(Record):
    """One point of a brochure; at most one of power, cop and eer."""

    speed: Literal["minimum", "low", "rated", "full", "maximum"] = "rated"
    outdoor: Temperature
    capacity: PositivePower | None = None
    power: PositivePower | None = None
    cop: Ratio | None = None
    eer: Ratio | None = None

    @model_validator(mode="after")
    def _something(self) -> BrochurePoint:
        given = [name for name in ("power", "cop", "eer") if getattr(self, name) is not None]
        if len(given) > 1:
            raise refuse(f"a point with {' and '.join(given)}", expected="one of them")
        if self.power is not None and self.capacity is None:
            raise refuse("a power without a capacity", expected="both, or a cop or an eer")
        if not given and self.capacity is None:
            raise refuse("a point that says nothing", expected="a capacity, a cop or an eer")
        return self

    def plate_point(self, function: Function) -> PlatePoint:
        """Return the point for the equipment layers.

        Parameters
        ----------
        function
            Heating or cooling.

        Returns
        -------
        PlatePoint
            With its efficiency in W/W.
        """
        cop = self.cop
        if self.eer is not None:
            cop = self.eer / BTU_PER_WH
        if self.power and self.capacity is not None:
            cop = self.capacity / self.power
        return PlatePoint(
            function=function,
            level=_LEVELS[self.speed],
            outdoor_c=self.outdoor,
            capacity_w=self.capacity,
            cop=cop,
        )


class EuropeanTable(Record):
    """Design loads of European figures."""

    heating_load: PositivePower | None = None
    cooling_load: PositivePower | None = None


class PlateTable(Record):
    """What is known of a unit."""

    kind: Literal["inverter", "inverter, cold-climate", "two-stage", "single speed"]
    sold_as: Literal["heat pump", "air conditioner", "heating only"] = "heat pump"
    product: (
        Literal[
            "ducted split",
            "single package",
            "small-duct high-velocity",
            "space-constrained",
            "ductless",
        ]
        | None
    ) = None
    capacity: PositivePower | None = Field(
        default=None,
        description='a rated cooling capacity at 95 degF, such as "12 kBtu/h"',
    )
    heating_capacity: PositivePower | None = Field(
        default=None,
        description='a rated heating capacity at 47 degF, such as "14 kBtu/h"',
    )
    cop: Ratio | None = None
    eer: Ratio | None = None
    hspf2: Ratio | None = None
    hspf: Ratio | None = None
    scop: Ratio | None = None
    seer2: Ratio | None = None
    seer: Ratio | None = None
    seer_europe: Ratio | None = None
    part_load: Literal["ordinary inverter", "low-capacity compressor"] | None = None
    heating: list[BrochurePoint] = Field(default_factory=list)
    cooling: list[BrochurePoint] = Field(default_factory=list)
    cd_heating: float | None = Field(default=None, ge=0, le=0.5)
    cd_cooling: float | None = Field(default=None, ge=0, le=0.5)
    off: Temperature | None = None
    on: Temperature | None = None
    cooling_off: Temperature | None = None
    cooling_off_above: Temperature | None = None
    defrost_credit: float | None = Field(default=None, ge=1.0, le=1.03)
    europe: EuropeanTable = EuropeanTable()

    @model_validator(mode="after")
    def _one_figure_each(self) -> PlateTable:
        for figures in (_HEATING_FIGURES, _COOLING_FIGURES):
            given = [name for name in figures if getattr(self, name) is not None]
            if len(given) > 1:
                raise refuse(
                    f"{' and '.join(given)} are given",
                    expected="one of them",
                    remedy="keep the figure of the label; the others are computed",
                )
        return self

    @model_validator(mode="after")
    def _capacity_fits(self) -> PlateTable:
        if self.sold_as == "heating only" and self.capacity is not None:
            raise refuse(
                "capacity, the rated cooling capacity, of a heating-only unit",
                expected="heating_capacity, at 47 degF",
            )
        if self.on is not None and self.off is None:
            raise refuse(
                'a cut-in temperature "on" without a cut-out temperature "off"',
                remedy="give both, or only off",
            )
        return self

    def plate(self) -> Plate:
        """Return the plate for the ratings.

        Returns
        -------
        Plate
            Its rated capacities as points at 95 and 47 F.

        Raises
        ------
        EquipmentError
            If the points cannot belong to one plate.
        """
        kind = KINDS[self.kind]
        return Plate(
            kind=kind,
            points=self._points(),
            heating_label=self._label(_HEATING_FIGURES),
            cooling_label=self._label(_COOLING_FIGURES),
            service=SERVICES[self.sold_as],
            product=None if self.product is None else Product(self.product),
            shape=None if self.part_load is None else SHAPES[self.part_load],
            cd_heating=self.cd_heating,
            cd_cooling=self.cd_cooling,
            heating_limits=self._heating_limits(),
            cooling_limits=self._cooling_limits(kind),
            defrost_credit=self.defrost_credit,
            european=EuropeanLoads(
                heating_w=self.europe.heating_load, cooling_w=self.europe.cooling_load
            ),
        )

    def _label(self, figures: dict[str, Metric]) -> Label | None:
        for name, metric in figures.items():
            value = getattr(self, name)
            if value is not None:
                return Label(metric=metric, value=value)
        return None

    def _points(self) -> tuple[PlatePoint, ...]:
        heating = [point.plate_point(Function.HEATING) for point in self.heating]
        cooling = [point.plate_point(Function.COOLING) for point in self.cooling]
        eer = None if self.eer is None else self.eer / BTU_PER_WH
        heads = (
            (Function.HEATING, RATED_HEATING_C, self.heating_capacity, self.cop, heating),
            (Function.COOLING, RATED_COOLING_C, self.capacity, eer, cooling),
        )
        rated = [
            PlatePoint(
                function=function, level=Level.RATED, outdoor_c=at, capacity_w=capacity, cop=cop
            )
            for function, at, capacity, cop, points in heads
            if (capacity is not None or cop is not None) and not _repeated(points, at, capacity)
        ]
        return (*rated, *heating, *cooling)

    def _heating_limits(self) -> Operation | None:
        return None if self.off is None else Operation(off_c=self.off, on_c=self.on)

    def _cooling_limits(self, kind: PlateKind) -> Operation | None:
        if self.cooling_off is None and self.cooling_off_above is None:
            return None
        usual = kind.cooling_limits
        return Operation(
            off_c=usual.off_c if self.cooling_off is None else self.cooling_off,
            off_above_c=(
                usual.off_above_c if self.cooling_off_above is None else self.cooling_off_above
            ),
        )


def _repeated(points: list[PlatePoint], outdoor_c: float, capacity_w: float | None) -> bool:
    """Whether the rated capacity of the head stands among the points once more."""
    return any(
        point.level is Level.RATED
        and abs(point.outdoor_c - outdoor_c) <= SAME_K
        and point.capacity_w is not None
        and capacity_w is not None
        and abs(point.capacity_w / capacity_w - 1.0) < 1e-3
        for point in points
    )
