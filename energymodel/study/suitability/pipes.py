"""Refrigerant lines of a unit at this site: limits, capacity that they cost, charge they add."""

from __future__ import annotations

from dataclasses import dataclass

from energymodel.datafiles import read_table
from energymodel.equipment.curves import Function
from energymodel.equipment.line_length import capacity_factor
from energymodel.errors import EquipmentError
from energymodel.units import btu_h_from_w

WALL_OPENING_M = 0.075
"""Opening for lines, cable and drain (common practice)."""
USUAL_CHARGED_FOR_M = 7.5
"""25 ft: what manuals of small splits say (published); shown, never used for a unit."""
USUAL_LINE_CHARGE_KG_PER_M = (0.0149, 0.0195)
"""0.16 to 0.21 oz/ft with a 1/4 in liquid line (published); shown, never used for a unit."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LineFacts:
    """What the manual of a unit says of its lines, m and kg/m; None: not known."""

    shortest_m: float | None = None
    longest_m: float | None = None
    largest_height_m: float | None = None
    charged_for_m: float | None = None
    line_charge_kg_per_m: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class UsualLimits:
    """Limits of manuals of one size, the strictest and the most generous.

    Parameters
    ----------
    length_m, height_m
        Strictest and most generous, m; None: none seen.
    """

    length_m: tuple[float, float] | None
    height_m: tuple[float, float] | None


@dataclass(frozen=True, slots=True, kw_only=True)
class PipeFit:
    """The lines of a unit.

    Parameters
    ----------
    length_m, equivalent_m, height_m
        Of the site, m; None: not given. The height counts without its sign.
    facts
        Limits of the unit's own manual.
    usual
        What manuals of this size say.
    heating_factor, cooling_factor
        Capacity with this line over rated capacity; None: no line given, or beyond the table.
    beyond_table
        Why the capacity is not known; empty: it is.
    extra_charge_kg
        Charge to add for this line; None: not known.
    """

    length_m: float | None
    equivalent_m: float | None
    height_m: float | None
    facts: LineFacts
    usual: UsualLimits
    heating_factor: float | None
    cooling_factor: float | None
    beyond_table: str
    extra_charge_kg: float | None

    @property
    def too_long(self) -> bool:
        """Whether the line is longer than the unit's manual allows."""
        return _above(self.equivalent_m, self.facts.longest_m)

    @property
    def too_high(self) -> bool:
        """Whether the height is larger than the unit's manual allows."""
        return _above(self.height_m, self.facts.largest_height_m)

    @property
    def too_short(self) -> bool:
        """Whether the line is shorter than the unit's manual asks for."""
        return _above(self.facts.shortest_m, self.length_m)

    @property
    def breaks_a_limit(self) -> bool:
        """Whether a limit of the unit's own manual is not kept."""
        return self.too_long or self.too_high or self.too_short

    @property
    def beyond_usual(self) -> bool:
        """Whether the line is beyond every manual of this size that was seen."""
        length, height = self.usual.length_m, self.usual.height_m
        return (
            self.facts.longest_m is None
            and length is not None
            and _above(self.equivalent_m, length[1])
        ) or (
            self.facts.largest_height_m is None
            and height is not None
            and _above(self.height_m, height[1])
        )


def _above(value: float | None, limit: float | None) -> bool:
    return value is not None and limit is not None and value > limit * (1.0 + 1e-9)


def usual_limits(class_w: float | None) -> UsualLimits:
    """Return what manuals of a size say of the largest line.

    Parameters
    ----------
    class_w
        Rated cooling capacity, W; None: not known.

    Returns
    -------
    UsualLimits
        From the table `data/line_limits.csv` (published).

    Examples
    --------
    >>> usual_limits(3516.85).length_m
    (15.0, 30.0)
    """
    if class_w is None:
        return UsualLimits(length_m=None, height_m=None)
    size = round(btu_h_from_w(class_w) / 1000.0, 1)
    for row in read_table("line_limits.csv"):
        if float(row["class_from_kbtu_h"]) <= size <= float(row["class_to_kbtu_h"]):
            return UsualLimits(length_m=_pair(row, "length"), height_m=_pair(row, "height"))
    return UsualLimits(length_m=None, height_m=None)


def _pair(row: dict[str, str], name: str) -> tuple[float, float] | None:
    low, high = row[f"{name}_strict_m"], row[f"{name}_generous_m"]
    return (float(low), float(high)) if low and high else None


@dataclass(frozen=True, slots=True, kw_only=True)
class SiteLine:
    """The line of the site.

    Parameters
    ----------
    length_m, equivalent_m
        Length, and length with bends counted as straight pipe, m; None: not given.
    outdoor_above_m
        Height of the outdoor unit above the indoor unit, m; None: not known.
    """

    length_m: float | None
    equivalent_m: float | None
    outdoor_above_m: float | None


def pipe_fit(line: SiteLine, facts: LineFacts, *, class_w: float | None) -> PipeFit:
    """Hold a line against a unit.

    Parameters
    ----------
    line
        Of the site.
    facts
        What the unit's manual says.
    class_w
        Rated cooling capacity, W; None: not known.

    Returns
    -------
    PipeFit
        Capacity factors from the published multipliers of
        :func:`energymodel.equipment.line_length.capacity_factor`.
    """
    heating = cooling = None
    beyond = ""
    if line.equivalent_m is not None:
        try:
            heating = _factor(line, Function.HEATING)
            cooling = _factor(line, Function.COOLING)
        except EquipmentError as error:
            heating, beyond = None, f"{error.what}, beyond the published table"
    above = line.outdoor_above_m
    return PipeFit(
        length_m=line.length_m,
        equivalent_m=line.equivalent_m,
        height_m=None if above is None else abs(above),
        facts=facts,
        usual=usual_limits(class_w),
        heating_factor=heating,
        cooling_factor=cooling,
        beyond_table=beyond,
        extra_charge_kg=_extra_charge_kg(line.length_m, facts),
    )


def _factor(line: SiteLine, function: Function) -> float:
    return capacity_factor(
        line.equivalent_m or 0.0, function=function, outdoor_above_m=line.outdoor_above_m or 0.0
    )


def _extra_charge_kg(length_m: float | None, facts: LineFacts) -> float | None:
    if length_m is None or facts.charged_for_m is None:
        return None
    beyond_m = max(length_m - facts.charged_for_m, 0.0)
    if beyond_m == 0:
        return 0.0
    if facts.line_charge_kg_per_m is None:
        return None
    return beyond_m * facts.line_charge_kg_per_m
