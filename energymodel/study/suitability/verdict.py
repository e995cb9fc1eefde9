"""The judgement on each unit, and the order of the list: stated criteria, no score."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from enum import Enum

from energymodel.study.suitability.capacity import ColdHours, ServiceFit
from energymodel.study.suitability.costs import YearlyCost
from energymodel.study.suitability.pipes import PipeFit
from energymodel.study.suitability.room_area import RoomAreaFit
from energymodel.study.suitability.supply import SupplyFit
from energymodel.study.suitability.units import Candidate

BACKUP_SHARE = 0.10
"""A unit that leaves up to a tenth of the year's heat to backup heat is named with it, before
units that are too large even at their lowest output (our choice)."""
BEYOND_SHARE = 0.01
"""A unit that carries the design loads may leave up to a hundredth of a year's load to the hours
beyond them: a 1 % design temperature is by definition passed in 1 % of the hours (our choice)."""
COOLING_OVERSIZE = 1.25
HEATING_OVERSIZE = 1.40
"""Output over design load above which even the lowest speed is named too large: sizing limits of
heat pumps in cooling and of furnaces in heating (older Manual S, quoted)."""
CYCLING_STEP = 0.10
"""Hours below the lowest output count in steps of a tenth, so that yearly cost decides between
units that are alike (our choice)."""


class Verdict(Enum):
    """Judgement in one or two words."""

    FITS = "fits"
    GAINS = "fits with gains"
    BEYOND = "short beyond design"
    LARGER = "larger than needed"
    BACKUP = "needs backup heat"
    SMALL = "too small"
    STOPS = "stops in the cold"
    SHORT_COOLING = "short in cooling"
    STOPS_COOLING = "stops cooling"
    COOLS_ONLY = "cools only"
    HEATS_ONLY = "heats only"
    SITE = "not at this site"
    SUPPLY = "needs other supply"


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class UnitFit:
    """One candidate with all its numbers.

    Parameters
    ----------
    candidate
        The unit in one version.
    heating, cooling
        None: the room has no such load, or the unit does not serve it.
    cold
        Cooling load at or below the unit's lowest cooling temperature; None: no such limit.
    supply, pipes, room_area
        Site checks; pipes None: no lines are made on site.
    cost
        Per year; None: no price, or nothing to price.
    verdict
        Judgement.
    smaller
        A smaller unit of the same build that carries the loads too; empty: none.
    """

    candidate: Candidate
    heating: ServiceFit | None
    cooling: ServiceFit | None
    cold: ColdHours | None
    supply: SupplyFit
    pipes: PipeFit | None
    room_area: RoomAreaFit
    cost: YearlyCost | None
    verdict: Verdict = Verdict.FITS
    smaller: str = ""

    @property
    def fits(self) -> bool:
        """Whether it is named as fitting, backup heat not needed."""
        return self.verdict in (Verdict.FITS, Verdict.GAINS)

    @property
    def services(self) -> tuple[ServiceFit, ...]:
        """What it serves of the room's loads."""
        return tuple(one for one in (self.heating, self.cooling) if one is not None)

    @property
    def site_fault(self) -> bool:
        """Whether a site check says no: lines, or charge against the room."""
        lines = self.pipes is not None and (
            self.pipes.breaks_a_limit or bool(self.pipes.beyond_table)
        )
        return lines or self.room_area.above is True

    @property
    def oversized(self) -> bool:
        """Whether even the lowest output is above the sizing limits of every load."""
        pairs = ((self.heating, HEATING_OVERSIZE), (self.cooling, COOLING_OVERSIZE))
        there = [(one, limit) for one, limit in pairs if one is not None]
        return bool(there) and all(
            one.design_lowest_w > limit * one.design_load_w for one, limit in there
        )

    @property
    def cycling_share(self) -> float:
        """Hours below the lowest output over hours with a load, both functions, 0..1."""
        both = [one.cycling for one in self.services]
        loaded = sum(one.loaded_h for one in both)
        return sum(one.hours for one in both) / loaded if loaded else 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """What the room asks for.

    Parameters
    ----------
    heats, cools
        Which loads it has.
    never_warm
        Whether cooling may not stop for an hour, as in a server room.
    """

    heats: bool
    cools: bool
    never_warm: bool = False


def judged(fits: Sequence[UnitFit], asked: Asked) -> list[UnitFit]:
    """Give each unit its verdict.

    Parameters
    ----------
    fits
        All candidates.
    asked
        What the room asks for.

    Returns
    -------
    list of UnitFit
        In the same order.
    """
    first = [_supplied(replace(fit, verdict=_verdict(fit, asked))) for fit in fits]
    able = [fit for fit in first if fit.fits]
    return [_against_smaller(fit, able) for fit in first]


def _supplied(fit: UnitFit) -> UnitFit:
    """Name the supply only where nothing else stands against the unit."""
    return replace(fit, verdict=Verdict.SUPPLY) if fit.fits and fit.supply.missing else fit


def _verdict(fit: UnitFit, asked: Asked) -> Verdict:
    if fit.site_fault:
        return Verdict.SITE
    if asked.heats and fit.heating is None:
        return Verdict.COOLS_ONLY
    if asked.cools and fit.cooling is None:
        return Verdict.HEATS_ONLY
    if fit.heating is not None and not _nearly_carries(fit.heating):
        return _short_heating(fit.heating)
    short = None if fit.cooling is None else _short_cooling(fit.cooling, asked)
    return _carrying(fit) if short is None else short


def _carrying(fit: UnitFit) -> Verdict:
    if not all(one.carries for one in fit.services):
        return Verdict.BEYOND
    sheet = fit.heating is not None and fit.heating.below_sheet
    return Verdict.GAINS if sheet else Verdict.FITS


def _nearly_carries(service: ServiceFit) -> bool:
    """Carried, or at design and short by little in the hours beyond, running all the while."""
    short = service.worst.short.share
    near = not service.short_at_design and short <= BEYOND_SHARE and not _stands(service)
    return service.carries or near


def _short_cooling(cooling: ServiceFit, asked: Asked) -> Verdict | None:
    if asked.never_warm and cooling.below_h + cooling.above_h > 0:
        return Verdict.STOPS_COOLING
    if cooling.carries or (not asked.never_warm and _nearly_carries(cooling)):
        return None
    return Verdict.STOPS_COOLING if _stands(cooling) else Verdict.SHORT_COOLING


def _short_heating(heating: ServiceFit) -> Verdict:
    if heating.worst.short.share <= BACKUP_SHARE:
        return Verdict.BACKUP
    return Verdict.STOPS if _stands(heating) else Verdict.SMALL


def _stands(service: ServiceFit) -> bool:
    """Whether most of what is missing lies below the lowest operating temperature."""
    worst = service.worst
    return worst.below_kwh > 0.5 * worst.short.energy_kwh > 0


def _against_smaller(fit: UnitFit, able: Sequence[UnitFit]) -> UnitFit:
    size = fit.candidate.class_w
    if not fit.fits:
        return fit
    if fit.oversized:
        fit = replace(fit, verdict=Verdict.LARGER)
    if size is None:
        return fit
    smaller = [
        (one.candidate.class_w, one.candidate.key)
        for one in able
        if one.candidate.class_w is not None
        and one.candidate.class_w < size
        and _build(one) == _build(fit)
    ]
    if not smaller:
        return fit
    return replace(fit, verdict=Verdict.LARGER, smaller=min(smaller)[1])


def _build(fit: UnitFit) -> tuple[object, ...]:
    """Return what two sizes of one build have in common."""
    tables = (fit.candidate.unit.table.heating, fit.candidate.unit.table.cooling)
    limits = tuple(None if table is None else (table.staging, table.off) for table in tables)
    return (fit.candidate.form, fit.candidate.low_ambient, *limits)


Criterion = tuple[str, Callable[[UnitFit], float]]


def criteria(asked: Asked) -> tuple[Criterion, ...]:
    """Return what the list is ordered by, the first criterion first.

    Parameters
    ----------
    asked
        What the room asks for.

    Returns
    -------
    tuple
        Words, and a number of which less is better.
    """
    found: list[Criterion] = [
        ("gives what the room asks for", lambda fit: _lacking(fit, asked)),
        ("no site check says no", lambda fit: float(fit.site_fault or fit.supply.missing)),
        (_SIZE_WORDS, lambda fit: _size_place(fit, asked)),
    ]
    if asked.heats:
        found.append((f"least heat missing{_LITTLE}", lambda fit: _missing(fit.heating)))
    if asked.never_warm:
        found.append(("least hours in which its limits stop the cooling", _stopped_h))
    if asked.cools:
        found.append((f"least cooling missing{_LITTLE}", lambda fit: _missing(fit.cooling)))
    found.append(
        (
            "least hours below its lowest output (in steps of 10 %)",
            lambda fit: round(fit.cycling_share / CYCLING_STEP),
        )
    )
    found.append(("least yearly cost", _cost))
    return tuple(found)


def _lacking(fit: UnitFit, asked: Asked) -> float:
    no_heat = asked.heats and fit.heating is None
    return float(no_heat) + float(asked.cools and fit.cooling is None)


def _stopped_h(fit: UnitFit) -> float:
    return 0.0 if fit.cooling is None else float(fit.cooling.below_h + fit.cooling.above_h)


_LITTLE = f" (up to {100.0 * BEYOND_SHARE:.0f} % counts as none)"
_SIZE_WORDS = (
    "size (fits, fits with gains, carries the design loads, larger than needed, misses at most"
    f" {100.0 * BACKUP_SHARE:.0f} %, too large even at its lowest output, the rest)"
)


def _size_place(fit: UnitFit, asked: Asked) -> float:
    """Place of a unit by how its size suits the loads, as :data:`_SIZE_WORDS` names it."""
    first = (Verdict.FITS, Verdict.GAINS, Verdict.BEYOND)
    if fit.verdict in first:
        return float(first.index(fit.verdict))
    stops = asked.never_warm and fit.verdict is Verdict.STOPS_COOLING
    if stops or any(one.worst.short.share > BACKUP_SHARE for one in fit.services):
        return 6.0
    if fit.oversized:
        return 5.0
    return 3.0 if all(one.carries for one in fit.services) else 4.0


def _missing(service: ServiceFit | None) -> float:
    share = 0.0 if service is None else service.worst.short.share
    return share if share > BEYOND_SHARE else 0.0


def _cost(fit: UnitFit) -> float:
    return float("inf") if fit.cost is None else fit.cost.total


def ranked(fits: Sequence[UnitFit], asked: Asked) -> tuple[UnitFit, ...]:
    """Put the units in order.

    Parameters
    ----------
    fits
        Judged.
    asked
        What the room asks for.

    Returns
    -------
    tuple of UnitFit
        By :func:`criteria`, in that order; equal ones by their key.
    """
    rules = criteria(asked)
    return tuple(
        sorted(fits, key=lambda fit: (*(rule(fit) for _, rule in rules), fit.candidate.label))
    )
