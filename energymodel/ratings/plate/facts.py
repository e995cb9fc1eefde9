"""What follows from a plate before any point is filled: size, old metrics, product class."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from energymodel.equipment.curves import Function
from energymodel.notices import Notice
from energymodel.ratings.plate.input import (
    RATED_COOLING_C,
    RATED_HEATING_C,
    SAME_K,
    Level,
    Plate,
    PlatePoint,
)
from energymodel.ratings.plate.metrics import Label, Metric, Product, converted
from energymodel.ratings.plate.ratios import (
    Case,
    Ratios,
    ratios_of,
    room_unit_heating_w,
)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Facts:
    """A plate with what follows from it.

    Parameters
    ----------
    plate
        As given.
    case
        Which end of the spreads.
    ratios
        Ratios of its kind.
    product
        Product class, given or usual.
    hspf, seer
        Old metrics, for the relations that want them; None: no US label, or an inverter, for
        which there are no relations.
    notices
        Conversions that were made for that, by function.
    """

    plate: Plate
    case: Case
    ratios: Ratios
    product: Product
    hspf: float | None
    seer: float | None
    notices: Mapping[Function, tuple[Notice, ...]]

    def ratio(self, name: str) -> float:
        """Value of a ratio in this case.

        Parameters
        ----------
        name
            As in the shipped table.

        Returns
        -------
        float
            Low, likely or high.
        """
        return self.ratios[name].of(self.case)

    def source(self, name: str) -> str:
        """Source of a ratio.

        Parameters
        ----------
        name
            As in the shipped table.

        Returns
        -------
        str
            Document and place, "common practice" or "our choice".
        """
        return self.ratios[name].source

    @property
    def inverter(self) -> bool:
        """Whether the compressor changes speed."""
        return Level.MAXIMUM in self.plate.kind.speeds

    @property
    def ducted(self) -> bool:
        """Whether the rating contains a fan that works against ducts."""
        return self.product is not Product.DUCTLESS

    def heating_from_cooling(self, cooling_w: float) -> float:
        """Usual rated heating capacity.

        Parameters
        ----------
        cooling_w
            Rated cooling capacity, W.

        Returns
        -------
        float
            At 47 F, W.
        """
        if self.inverter:
            return room_unit_heating_w(cooling_w) * self.ratio("heating_relation_factor")
        return cooling_w * self.ratio("heating_per_cooling")


def facts_of(plate: Plate, case: Case) -> Facts:
    """Work out what follows from a plate.

    Parameters
    ----------
    plate
        As given.
    case
        Which end of the spreads.

    Returns
    -------
    Facts
        With the notices of conversions.
    """
    product = plate.product or plate.kind.product
    central = Level.MAXIMUM not in plate.kind.speeds
    hspf, first = _old(plate.heating_label if central else None, Metric.HSPF, product)
    seer, second = _old(plate.cooling_label if central else None, Metric.SEER, product)
    return Facts(
        plate=plate,
        case=case,
        ratios=ratios_of(plate.kind.ratios),
        product=product,
        hspf=hspf,
        seer=seer,
        notices={Function.HEATING: first, Function.COOLING: second},
    )


def _old(
    label: Label | None, metric: Metric, product: Product
) -> tuple[float | None, tuple[Notice, ...]]:
    if label is None or label.metric.european:
        return None, ()
    old, notice = converted(label, metric, product)
    if notice is None:
        return old.value, ()
    return old.value, (Notice(topic="label", text=f"{notice.text} For first guesses only."),)


def rated_point(plate: Plate, function: Function) -> PlatePoint | None:
    """Return the rated point of a function: 47 F in heating, 95 F in cooling.

    Parameters
    ----------
    plate
        As given.
    function
        Heating or cooling.

    Returns
    -------
    PlatePoint or None
        None if the plate has none.
    """
    rating_c = RATED_HEATING_C if function is Function.HEATING else RATED_COOLING_C
    return next(
        (
            point
            for point in plate.given(function, Level.RATED)
            if abs(point.outdoor_c - rating_c) <= SAME_K
        ),
        None,
    )
