"""Seasonal figures as labels print them, and what an old US figure is in the new metric."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum
from functools import cache

from energymodel.datafiles import read_table
from energymodel.equipment.curves import Function
from energymodel.errors import InputError
from energymodel.notices import Notice


class Product(Enum):
    """Product classes of the US metrics that convert differently."""

    DUCTED_SPLIT = "ducted split"
    SINGLE_PACKAGE = "single package"
    SMALL_DUCT = "small-duct high-velocity"
    SPACE_CONSTRAINED = "space-constrained"
    DUCTLESS = "ductless"


class Metric(Enum):
    """Seasonal figures of labels."""

    HSPF2 = "HSPF2"
    HSPF = "HSPF"
    SCOP = "SCOP"
    SEER2 = "SEER2"
    SEER = "SEER"
    SEER_EUROPE = "European SEER"

    @property
    def function(self) -> Function:
        """Heating or cooling."""
        heats = self in {Metric.HSPF2, Metric.HSPF, Metric.SCOP}
        return Function.HEATING if heats else Function.COOLING

    @property
    def european(self) -> bool:
        """Whether the figure is W/W; the US ones are Btu/Wh."""
        return self in {Metric.SCOP, Metric.SEER_EUROPE}


_PLAUSIBLE = {
    Metric.HSPF2: (4.0, 18.0),
    Metric.HSPF: (4.0, 20.0),
    Metric.SCOP: (1.5, 7.0),
    Metric.SEER2: (6.0, 45.0),
    Metric.SEER: (6.0, 45.0),
    Metric.SEER_EUROPE: (2.0, 13.0),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Label:
    """One seasonal figure of a label.

    Parameters
    ----------
    metric
        Which figure.
    value
        As printed: US figures in Btu/Wh, European ones in W/W.

    Raises
    ------
    InputError
        If no unit has such a figure; a mix-up of metrics is the usual cause.
    """

    metric: Metric
    value: float

    def __post_init__(self) -> None:
        low, high = _PLAUSIBLE[self.metric]
        if not low <= self.value <= high:
            raise InputError(
                f"{self.metric.value} is {self.value:g}",
                expected=f"{low:g} to {high:g} {'W/W' if self.metric.european else 'Btu/Wh'}",
                remedy="check which metric the label prints",
            )

    def __str__(self) -> str:
        return f"{self.metric.value} {self.value:g}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Conversion:
    """New US metric over the old one, for one product class.

    Parameters
    ----------
    product
        Product class.
    seer2_per_seer, hspf2_per_hspf, eer2_per_eer
        Ratios.
    source
        Where they come from.
    """

    product: Product
    seer2_per_seer: float
    hspf2_per_hspf: float
    eer2_per_eer: float
    source: str


@cache
def conversion(product: Product) -> Conversion:
    """Return the ratios of a product class.

    Parameters
    ----------
    product
        Product class.

    Returns
    -------
    Conversion
        With its source.

    Examples
    --------
    >>> conversion(Product.DUCTED_SPLIT).hspf2_per_hspf
    0.85
    """
    rows = read_table("ratings", "metric_conversions.csv")
    row = next(one for one in rows if one["product"] == product.value)
    return Conversion(
        product=product,
        seer2_per_seer=float(row["seer2_per_seer"]),
        hspf2_per_hspf=float(row["hspf2_per_hspf"]),
        eer2_per_eer=float(row["eer2_per_eer"]),
        source=row["source"],
    )


_PAIRS = {
    Metric.HSPF2: (Metric.HSPF, "hspf2_per_hspf"),
    Metric.SEER2: (Metric.SEER, "seer2_per_seer"),
}


def converted(label: Label, wanted: Metric, product: Product) -> tuple[Label, Notice | None]:
    """Turn a US figure into the old or the new metric.

    Parameters
    ----------
    label
        As printed.
    wanted
        Metric of the same function.
    product
        Product class.

    Returns
    -------
    Label, Notice or None
        The figure, and what was done to it; no notice if nothing was.

    Raises
    ------
    InputError
        If the two metrics do not convert.

    References
    ----------
    A model that wants the old metric divides the new value by the factor: comments on addendum
    71 of a home-rating standard (published).

    Examples
    --------
    >>> new = Label(metric=Metric.HSPF2, value=7.5)
    >>> round(converted(new, Metric.HSPF, Product.DUCTED_SPLIT)[0].value, 2)
    8.82
    """
    if label.metric is wanted:
        return label, None
    for new, (old, name) in _PAIRS.items():
        if {label.metric, wanted} == {new, old}:
            ratio = float(getattr(conversion(product), name))
            value = label.value * ratio if wanted is new else label.value / ratio
            text = (
                f"{label} was taken as {wanted.value} {value:.2f}: ratio {ratio:.2f} for the class"
                f" {product.value} ({conversion(product).source})."
            )
            return Label(metric=wanted, value=value), Notice(topic="label", text=text)
    raise InputError(f"{label.metric.value} does not convert to {wanted.value}")
