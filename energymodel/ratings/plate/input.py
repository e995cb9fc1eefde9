"""What people have of a unit: its kind, some points of a brochure, a label."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import Enum
from math import isfinite

from energymodel.equipment.curves import Function
from energymodel.equipment.kernel import StagingRule, modulating, time_shared
from energymodel.equipment.operation import Operation
from energymodel.errors import EquipmentError, InputError
from energymodel.ratings.plate.metrics import Label, Product
from energymodel.ratings.plate.shapes import PartLoadShape
from energymodel.ratings.us.units import Service
from energymodel.units import c_from_f, f_from_c

RATED_HEATING_C = c_from_f(47.0)
RATED_COOLING_C = c_from_f(95.0)
SAME_K = 0.3
"""Two temperatures this close are one: 17 F and -8.3 degC, for example."""


class Level(Enum):
    """Speeds that a brochure tells of."""

    MINIMUM = "minimum"
    RATED = "rated"
    MAXIMUM = "maximum"


@dataclass(frozen=True, slots=True, kw_only=True)
class PlateKind:
    """A kind of unit: its speeds, and what is usual for it.

    Parameters
    ----------
    name
        As printed.
    ratios
        Name of its ratios in the shipped table.
    speeds
        Names of its speeds by level, lowest first.
    staging
        What happens between two speeds.
    product
        Usual product class (common practice).
    heating_limits, cooling_limits
        Usual cut-outs (common practice).
    """

    name: str
    ratios: str
    speeds: Mapping[Level, str]
    staging: StagingRule
    product: Product
    heating_limits: Operation
    cooling_limits: Operation


def _limits(off_f: float, on_f: float) -> Operation:
    return Operation(off_c=c_from_f(off_f), on_c=c_from_f(on_f))


def _ambient(off_f: float) -> Operation:
    return Operation(off_c=c_from_f(off_f), off_above_c=c_from_f(115.0))


_INVERTER_SPEEDS = {Level.MINIMUM: "minimum", Level.RATED: "rated", Level.MAXIMUM: "full"}

SINGLE_SPEED = PlateKind(
    name="single speed",
    ratios="single speed",
    speeds={Level.RATED: "full"},
    staging=time_shared,
    product=Product.DUCTED_SPLIT,
    heating_limits=_limits(0.0, 5.0),
    cooling_limits=_ambient(55.0),
)
TWO_STAGE = PlateKind(
    name="two-stage",
    ratios="two-stage",
    speeds={Level.MINIMUM: "low", Level.RATED: "full"},
    staging=time_shared,
    product=Product.DUCTED_SPLIT,
    heating_limits=_limits(-5.0, 0.0),
    cooling_limits=_ambient(55.0),
)
INVERTER = PlateKind(
    name="inverter",
    ratios="inverter",
    speeds=_INVERTER_SPEEDS,
    staging=modulating,
    product=Product.DUCTLESS,
    heating_limits=_limits(-4.0, 0.0),
    cooling_limits=_ambient(20.0),
)
INVERTER_COLD_CLIMATE = PlateKind(
    name="inverter, cold-climate",
    ratios="inverter cold-climate",
    speeds=_INVERTER_SPEEDS,
    staging=modulating,
    product=Product.DUCTLESS,
    heating_limits=_limits(-15.0, -11.0),
    cooling_limits=_ambient(14.0),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class PlatePoint:
    """One point of a plate or brochure, steady: frost is not in it.

    Parameters
    ----------
    function
        Heating or cooling.
    level
        Speed. In cooling, "rated" is the full speed of the rating.
    outdoor_c
        Outdoor dry-bulb temperature, degC.
    capacity_w
        Net capacity, W; None: not known.
    cop
        COP, in cooling EER in W/W; None: not known.
    """

    function: Function
    level: Level
    outdoor_c: float
    capacity_w: float | None = None
    cop: float | None = None

    def __post_init__(self) -> None:
        for what, value in (("capacity", self.capacity_w), ("COP or EER", self.cop)):
            if value is not None and not (isfinite(value) and value > 0):
                raise EquipmentError(
                    f"{self} has a {what} of {value:g}", expected="above zero, or left out"
                )
        if self.capacity_w is None and self.cop is None:
            raise EquipmentError(f"{self} says nothing", expected="a capacity, a COP or both")

    def __str__(self) -> str:
        outdoor = f"{f_from_c(self.outdoor_c):.0f} F"
        return f"the {self.function.value} point {self.level.value} at {outdoor}"


@dataclass(frozen=True, slots=True, kw_only=True)
class EuropeanLoads:
    """Design loads under which a European figure was declared.

    Parameters
    ----------
    heating_w, cooling_w
        Pdesignh of the average climate, and Pdesignc, W; None: not known.
    """

    heating_w: float | None = None
    cooling_w: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Plate:
    """All that is known of a unit.

    Parameters
    ----------
    kind
        Kind of unit.
    points
        Points of the plate or brochure, at least one with a capacity.
    heating_label, cooling_label
        Seasonal figures; None: not known, or no such function.
    service
        What it is sold for.
    product
        Product class; None: the usual one of the kind.
    shape
        How COP changes with output (inverters); None: the points and usual ratios at minimum.
    cd_heating, cd_cooling
        Degradation coefficients; None: the procedure's defaults.
    heating_limits, cooling_limits
        Cut-outs; None: the usual ones of the kind.
    defrost_credit
        Demand-defrost credit inside the heating label, 1.00 to 1.03; None: not known.
    european
        Design loads of European figures.

    Raises
    ------
    EquipmentError
        If points stand twice or belong to no speed of this kind, or no capacity is given.
    """

    kind: PlateKind
    points: tuple[PlatePoint, ...]
    heating_label: Label | None = None
    cooling_label: Label | None = None
    service: Service = Service.HEAT_PUMP
    product: Product | None = None
    shape: PartLoadShape | None = None
    cd_heating: float | None = None
    cd_cooling: float | None = None
    heating_limits: Operation | None = None
    cooling_limits: Operation | None = None
    defrost_credit: float | None = None
    european: EuropeanLoads = field(default_factory=EuropeanLoads)

    def __post_init__(self) -> None:
        self._check_points()
        self._check_labels()
        if self.defrost_credit is not None and not 1.0 <= self.defrost_credit <= 1.03:
            raise EquipmentError(
                f"a defrost credit of {self.defrost_credit:g}", expected="1.00 to 1.03"
            )
        if self.shape is not None and Level.MAXIMUM not in self.kind.speeds:
            raise EquipmentError(f"a {self.kind.name} unit has no part-load shape")

    def _check_points(self) -> None:
        seen: set[tuple[Function, Level, int]] = set()
        for point in self.points:
            self._check_point(point)
            key = (point.function, point.level, round(point.outdoor_c / SAME_K))
            if key in seen:
                raise EquipmentError(f"{point} stands twice", remedy="keep one of them")
            seen.add(key)
        if all(point.capacity_w is None for point in self.points):
            raise EquipmentError(
                "no capacity is given",
                expected='the rated cooling capacity, such as "12 kBtu/h"; of a heating-only unit '
                "the rated heating capacity",
            )

    def _check_point(self, point: PlatePoint) -> None:
        if point.level not in self.kind.speeds:
            names = ", ".join(level.value for level in self.kind.speeds)
            raise EquipmentError(f"{point}: a {self.kind.name} unit has only {names}")
        if not self.serves(point.function):
            raise EquipmentError(f"{point} does not belong to a unit sold as {self.service.value}")

    def _check_labels(self) -> None:
        for label, function in (
            (self.heating_label, Function.HEATING),
            (self.cooling_label, Function.COOLING),
        ):
            if label is None:
                continue
            if label.metric.function is not function:
                raise InputError(f"{label} is no {function.value} figure")
            if not self.serves(function):
                raise InputError(f"{label} does not belong to a unit sold as {self.service.value}")

    def serves(self, function: Function) -> bool:
        """Whether the unit is sold for a function.

        Parameters
        ----------
        function
            Heating or cooling.

        Returns
        -------
        bool
            True if it is.
        """
        none = Service.AIR_CONDITIONER if function is Function.HEATING else Service.HEATING_ONLY
        return self.service is not none

    def given(self, function: Function, level: Level) -> tuple[PlatePoint, ...]:
        """Return the points of one speed.

        Parameters
        ----------
        function
            Heating or cooling.
        level
            Speed.

        Returns
        -------
        tuple of PlatePoint
            Coldest first.
        """
        mine = [
            point for point in self.points if point.function is function and point.level is level
        ]
        return tuple(sorted(mine, key=lambda point: point.outdoor_c))
