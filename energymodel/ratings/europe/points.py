"""European test points: what a maker declares, and what part load takes off it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from enum import Enum
from typing import Protocol

from energymodel.equipment.kernel import AirCycling, PartLoadFactor, WaterCycling
from energymodel.errors import EquipmentError
from energymodel.ratings.europe.tables import ModePower

MATCH_SLACK = 1e-9
"""So that a capacity of exactly 110 % of the load matches, however it was computed."""


class Control(Enum):
    """How the compressor meets part load."""

    FIXED = "fixed"
    STAGED = "staged"
    VARIABLE = "variable"


class WarmEnd(Enum):
    """What holds above the warmest heating point (doubtful in the recalled text)."""

    EXTRAPOLATED = "line through the two warmest points"
    HELD = "value of the warmest point"


class Degrade(Enum):
    """Where the cycling loss is taken (the recalled text: at the points)."""

    AT_POINTS = "at the test points, then interpolated"
    IN_BINS = "in every bin, after interpolation"


class Shortfall(Enum):
    """Where a declared capacity below the load means backup heat."""

    BELOW_BIVALENT = "only below the bivalent temperature"
    EVERYWHERE = "in every bin"


class ColdPoint(Enum):
    """Where point E is taken when the operation limit lies below the design temperature."""

    AT_DESIGN = "at the design temperature"
    AT_LIMIT = "at the operation limit"


class Degradation(Protocol):
    """Loss of a unit that cycles."""

    def degraded(self, declared: float, capacity_ratio: float) -> float:
        """COP or EER at a capacity ratio below 1.

        Parameters
        ----------
        declared
            Declared COP or EER.
        capacity_ratio
            Load over declared capacity, 0..1.

        Returns
        -------
        float
            COPbin or EERbin.
        """
        ...

    def cycling(self) -> PartLoadFactor:
        """Return the same loss as a part-load factor of the kernel.

        Returns
        -------
        PartLoadFactor
            Factor on the declared COP at a load factor.
        """
        ...


@dataclass(frozen=True, slots=True, kw_only=True)
class AirDegradation:
    """Air-to-air: COPbin = COPd [1 - Cd (1 - CR)].

    Parameters
    ----------
    cd
        Degradation coefficient; 0.25 without a test.

    References
    ----------
    EN 14825:2012, clauses 6.4.2.1 and 7.4.2.1 (from memory).
    """

    cd: float = 0.25

    def degraded(self, declared: float, capacity_ratio: float) -> float:
        """Return declared value x [1 - Cd (1 - CR)].

        Parameters
        ----------
        declared
            Declared COP or EER.
        capacity_ratio
            Load over declared capacity, 0..1.

        Returns
        -------
        float
            COP or EER while cycling.
        """
        return declared * (1.0 - self.cd * (1.0 - capacity_ratio))

    def cycling(self) -> PartLoadFactor:
        """Return the kernel's part-load factor with the same coefficient."""
        return AirCycling(cd=self.cd)


@dataclass(frozen=True, slots=True, kw_only=True)
class WaterDegradation:
    """Water-based: COPbin = COPd CR / (Cc CR + 1 - Cc).

    Parameters
    ----------
    cc
        Degradation coefficient; 0.9 without a test (later editions call it Cd; texts that say
        0.1 mean 1 - Cc).

    References
    ----------
    EN 14825:2012, clause 7.4.2.1 (from memory).
    """

    cc: float = 0.9

    def degraded(self, declared: float, capacity_ratio: float) -> float:
        """Return declared value x CR / (Cc CR + 1 - Cc).

        Parameters
        ----------
        declared
            Declared COP or EER.
        capacity_ratio
            Load over declared capacity, 0..1.

        Returns
        -------
        float
            COP or EER while cycling.
        """
        return declared * capacity_ratio / (self.cc * capacity_ratio + (1.0 - self.cc))

    def cycling(self) -> PartLoadFactor:
        """Return the kernel's part-load factor with the same coefficient."""
        return WaterCycling(cc=self.cc)


@dataclass(frozen=True, slots=True, kw_only=True)
class PartLoadRules:
    """Choices of the calculation, the doubtful ones by name.

    Parameters
    ----------
    degradation
        Loss by cycling.
    warm_end
        Above the warmest heating point; the recalled rule extrapolates from C and D. Holding
        the value of D changes the worked example of EN 14825:2018 Annex H by 0.1 %.
    degrade
        Points first, then interpolation (recalled rule), or in each bin.
    match_tolerance
        Staged and variable units: a declared capacity within this share of the load counts as
        matching it and its COP is not degraded. Clauses 6.4.2.2 and 7.4.2.2 say 0.10 (from
        memory); 0 applies the cycling formula always.
    shortfall
        Where declared capacity below the load is made up by electric backup.
    cold_point
        Where point E is taken when the operation limit lies below the design temperature
        (from memory, medium confidence).
    """

    degradation: Degradation = field(default_factory=AirDegradation)
    warm_end: WarmEnd = WarmEnd.EXTRAPOLATED
    degrade: Degrade = Degrade.AT_POINTS
    match_tolerance: float = 0.0
    shortfall: Shortfall = Shortfall.BELOW_BIVALENT
    cold_point: ColdPoint = ColdPoint.AT_DESIGN


@dataclass(frozen=True, slots=True, kw_only=True)
class DeclaredPoint:
    """Declared performance at one outdoor temperature.

    Parameters
    ----------
    outdoor_c
        Outdoor dry-bulb temperature, degC.
    capacity_w
        Declared capacity, W: for a variable-speed unit what it gave in the part-load test, not
        what it could give.
    cop
        Declared COP, in cooling EER, W/W.
    """

    outdoor_c: float
    capacity_w: float
    cop: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """One control step of a staged or variable unit at a test temperature.

    Parameters
    ----------
    capacity_w
        Capacity, W.
    cop
        COP or EER, W/W.
    """

    capacity_w: float
    cop: float


@dataclass(frozen=True, slots=True, kw_only=True)
class HeatingDeclaration:
    """What a maker declares of a heat pump for one climate.

    Parameters
    ----------
    design_load_w
        Pdesignh, W.
    bivalent_c
        Tbiv: lowest temperature at which the declared capacity equals the load, degC.
    limit_c
        TOL: below it the unit does not run, degC.
    points
        Test points A to G that the climate asks for, any order; coinciding points once.
    control
        How the compressor meets part load.
    modes
        Electric power outside active mode.
    """

    design_load_w: float
    bivalent_c: float
    limit_c: float
    points: tuple[DeclaredPoint, ...]
    control: Control
    modes: ModePower = field(default_factory=ModePower)


@dataclass(frozen=True, slots=True, kw_only=True)
class CoolingDeclaration:
    """What a maker declares of an air conditioner or chiller.

    Parameters
    ----------
    design_load_w
        Pdesignc, W.
    points
        Test points A to D at 35, 30, 25 and 20 degC, any order.
    control
        How the compressor meets part load.
    modes
        Electric power outside active mode.
    """

    design_load_w: float
    points: tuple[DeclaredPoint, ...]
    control: Control
    modes: ModePower = field(default_factory=ModePower)


def capacity_ratio(load_w: float, capacity_w: float) -> float:
    """Load over declared capacity, at most 1.

    Parameters
    ----------
    load_w, capacity_w
        Load and declared capacity at the same temperature, W.

    Returns
    -------
    float
        CR, 0..1 (EN 14825, from memory).
    """
    return 1.0 if load_w >= capacity_w else load_w / capacity_w


def bin_efficiency(
    load_w: float, point: DeclaredPoint, rules: PartLoadRules, control: Control
) -> float:
    """COPbin or EERbin: the declared value less the cycling loss.

    Parameters
    ----------
    load_w
        Load at the point's temperature, W.
    point
        Declared capacity and COP.
    rules
        Cycling loss and tolerance.
    control
        The tolerance is for staged and variable units only.

    Returns
    -------
    float
        COPbin or EERbin.

    References
    ----------
    EN 14825:2012, clauses 6.4.2 and 7.4.2 (from memory).
    """
    if control is not Control.FIXED and matches(load_w, point.capacity_w, rules.match_tolerance):
        return point.cop
    ratio = capacity_ratio(load_w, point.capacity_w)
    return rules.degradation.degraded(point.cop, ratio)


def matches(load_w: float, capacity_w: float, tolerance: float) -> bool:
    """Whether a capacity counts as matching the load.

    Parameters
    ----------
    load_w, capacity_w
        Load and capacity, W.
    tolerance
        Permitted difference as a share of the load.

    Returns
    -------
    bool
        True within the tolerance.
    """
    return abs(capacity_w - load_w) <= (tolerance + MATCH_SLACK) * load_w


def point_from_steps(
    outdoor_c: float, load_w: float, steps: Sequence[Step], *, match_tolerance: float = 0.10
) -> DeclaredPoint:
    """Make the declared point of a staged or variable unit from its control steps.

    Parameters
    ----------
    outdoor_c
        Outdoor temperature at which all the steps were tested, degC.
    load_w
        Load of the standard's line there, W.
    steps
        Control steps tested at this temperature, any order.
    match_tolerance
        A step within this share of the load is taken as it is; rate with the same tolerance.

    Returns
    -------
    DeclaredPoint
        The closest step if it matches; capacity and COP interpolated at the load between the
        steps on either side; the smallest step if that exceeds the load (the rating then takes
        the cycling loss); the largest if the load exceeds it.

    Raises
    ------
    EquipmentError
        If there is no step.

    References
    ----------
    EN 14825:2012, clauses 6.4.2.2 and 7.4.2.2 (from memory).

    Examples
    --------
    >>> steps = [Step(capacity_w=1000.0, cop=5.0), Step(capacity_w=2000.0, cop=4.0)]
    >>> point_from_steps(7.0, 1500.0, steps).cop
    4.5
    """
    if not steps:
        raise EquipmentError(f"no control step was tested at {outdoor_c:g} degC")
    ordered = sorted(steps, key=lambda step: step.capacity_w)
    nearest = min(ordered, key=lambda step: abs(step.capacity_w - load_w))
    lower = [step for step in ordered if step.capacity_w <= load_w]
    higher = [step for step in ordered if step.capacity_w > load_w]
    if matches(load_w, nearest.capacity_w, match_tolerance) or not lower or not higher:
        return DeclaredPoint(outdoor_c=outdoor_c, capacity_w=nearest.capacity_w, cop=nearest.cop)
    low, high = lower[-1], higher[0]
    share = (load_w - low.capacity_w) / (high.capacity_w - low.capacity_w)
    return DeclaredPoint(
        outdoor_c=outdoor_c, capacity_w=load_w, cop=low.cop + share * (high.cop - low.cop)
    )
