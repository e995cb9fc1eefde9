"""Numbers of a suitability study as a reader sees them, and the record of one reason."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from energymodel.report.numbers import Display
from energymodel.study.comparison.amounts import figures
from energymodel.units import KG_PER_LB, METRE_PER_FOOT, btu_h_from_w

_OUNCES_PER_LB = 16.0


class Grade(Enum):
    """What a reason means for the choice."""

    GOOD = "good"
    NOTE = "note"
    ASK = "ask"
    UNKNOWN = "not known"
    BAD = "bad"


@dataclass(frozen=True, slots=True, kw_only=True)
class Reason:
    """One reason.

    Parameters
    ----------
    topic
        "heat", "cold spell", "operating range", "cooling", "lowest output", "supply", "lines",
        "refrigerant", "build", "cost", "size".
    grade
        What it means.
    text
        Number first, then the reason.
    """

    topic: str
    grade: Grade
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SiteUnits:
    """Units of the reader beside temperatures and heat flows.

    Parameters
    ----------
    us
        Feet, pounds and square feet, or metres and kilograms.
    """

    us: bool

    @property
    def show(self) -> Display:
        """Temperatures and heat flows."""
        return Display(us=self.us)

    def length(self, length_m: float) -> str:
        """Format a length.

        Parameters
        ----------
        length_m
            m.

        Returns
        -------
        str
            Whole feet, or metres to a tenth.
        """
        if self.us:
            return f"{length_m / METRE_PER_FOOT:.0f} ft"
        return f"{length_m:.1f} m".replace(".0 m", " m")

    def area(self, area_m2: float) -> str:
        """Format an area.

        Parameters
        ----------
        area_m2
            m2.

        Returns
        -------
        str
            Square feet or square metres.
        """
        if self.us:
            return f"{area_m2 / METRE_PER_FOOT**2:,.0f} ft2"
        return f"{area_m2:,.1f} m2"

    def mass(self, mass_kg: float) -> str:
        """Format a mass.

        Parameters
        ----------
        mass_kg
            kg.

        Returns
        -------
        str
            Pounds, below one pound ounces; or kilograms.
        """
        if not self.us:
            return f"{mass_kg:.2f} kg"
        pounds = mass_kg / KG_PER_LB
        if pounds < 1:
            return f"{pounds * _OUNCES_PER_LB:.1f} oz"
        return f"{pounds:.2f} lb"

    def size(self, class_w: float | None) -> str:
        """Name a size.

        Parameters
        ----------
        class_w
            Rated cooling capacity, W; None: not known.

        Returns
        -------
        str
            Such as "12 kBtu/h class".
        """
        if class_w is None:
            return "size not known"
        if self.us:
            return f"{btu_h_from_w(class_w) / 1000.0:g} kBtu/h class".replace("e+", "e")
        return f"{class_w / 1000.0:.1f} kW class"

    def heat_pair(self, first_w: float, second_w: float) -> tuple[str, str]:
        """Format two heat flows that are compared.

        Parameters
        ----------
        first_w, second_w
            W.

        Returns
        -------
        tuple of str
            The first without its unit.
        """
        show = self.show
        return f"{show.heat_value(first_w):.1f}", show.heat_flow(second_w)


def energy(energy_kwh: float) -> str:
    """Format an amount of heat.

    Parameters
    ----------
    energy_kwh
        kWh.

    Returns
    -------
    str
        To three figures from 10 kWh on, below that to a tenth.
    """
    if energy_kwh < 10:
        return f"{energy_kwh:.1f} kWh"
    return f"{figures(energy_kwh)} kWh".replace(".0 kWh", " kWh")


def percent(share: float) -> str:
    """Format a share.

    Parameters
    ----------
    share
        0..1.

    Returns
    -------
    str
        Whole percent, small ones to a tenth or "under 0.1 %".
    """
    if 0 < share < 0.001:
        return "under 0.1 %"
    if 0 < share < 0.0995:
        return f"{100.0 * share:.1f} %"
    return f"{100.0 * share:.0f} %"


def hours(count: float) -> str:
    """Format a count of hours.

    Parameters
    ----------
    count
        Hours.

    Returns
    -------
    str
        With thousands separator.
    """
    return f"{count:,.0f} h"
