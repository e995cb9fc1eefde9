"""All ratings of a unit with their spread, and its way from the label to a site."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace

from energymodel.equipment.curves import Function
from energymodel.errors import InputError
from energymodel.ratings.europe.tables import Climate
from energymodel.ratings.plate.metrics import Metric
from energymodel.ratings.plate.ratios import Case
from energymodel.ratings.rating_sheet import RatingSheet, rating_sheet
from energymodel.ratings.us.editions import M1, M
from energymodel.study.rating.label_basis import (
    LabelBasis,
    european_cooling_basis,
    european_heating_basis,
    us_cooling_basis,
    us_heating_basis,
)
from energymodel.study.rating.label_to_site import InstalledUnit, LabelToSite, Site, label_to_site
from energymodel.study.rating.rated_unit import RatedSet, RatedUnit, read_rated_unit

IN_SERVICE = {Case.LOW: 0.80, Case.LIKELY: 0.90, Case.HIGH: 1.00}
"""In-service factor of every heat pump and air conditioner (our choice, below field results)."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Rated:
    """A unit with its ratings.

    Parameters
    ----------
    unit
        The unit.
    likely
        Ratings of the likely set.
    by_case
        Ratings of all three sets; one where nothing was guessed.
    """

    unit: RatedUnit
    likely: RatingSheet
    by_case: Mapping[Case, RatingSheet]

    def spread(self, read: Callable[[RatingSheet], float | None]) -> tuple[float, float] | None:
        """Smallest and largest value of a figure over the sets.

        Parameters
        ----------
        read
            Picks the figure.

        Returns
        -------
        tuple of float or None
            None if no set has it.
        """
        values = [value for sheet in self.by_case.values() if (value := read(sheet)) is not None]
        return (min(values), max(values)) if values else None


def rate(unit: RatedUnit | str) -> Rated:
    """Rate a unit by every standard and in every region.

    Parameters
    ----------
    unit
        A key of the catalogue, the path of a unit's file, or a unit that
        :func:`energymodel.study.rating.rated_unit.read_rated_unit` has read.

    Returns
    -------
    Rated
        What a standard refuses for it is left out, with the reason.

    Raises
    ------
    InputError
        If the unit cannot be read, or no figure at all can be had; the message says why.

    Examples
    --------
    >>> rate("inverter-cold-climate-12").likely.hspf2 is not None
    True
    """
    if isinstance(unit, str):
        unit = read_rated_unit(unit)
    likely = rating_sheet(unit.likely.us, unit.likely.european)
    sheets = {Case.LIKELY: likely}
    for case, one in unit.sets.items():
        if one is not unit.likely:
            sheets[case] = rating_sheet(one.us, one.european)
    figures = (likely.hspf2, likely.scop, likely.seer2, likely.seer_europe)
    if not any(figures):
        raise InputError("no rating can be computed: " + "; ".join(likely.refused), where=unit.name)
    return Rated(unit=unit, likely=likely, by_case=sheets)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SiteRange:
    """Label to site with its range.

    Parameters
    ----------
    likely
        Steps of the likely set.
    cop_low, cop_high
        Smallest and largest seasonal COP at the site: ends of what was guessed, with the
        in-service factor at 0.80 and 1.00.
    """

    likely: LabelToSite
    cop_low: float
    cop_high: float


def site_range(unit: RatedUnit, site: Site, function: Function) -> SiteRange:
    """Walk from label to site for the likely unit, and find the range at the site.

    Parameters
    ----------
    unit
        The unit.
    site
        Place, loads, installation; its in-service factor is the likely one.
    function
        Heating or cooling.

    Returns
    -------
    SiteRange
        Steps and range. Without a load the site has that of the label, also of the other
        function, so that idle power is shared between heating and cooling months.

    Raises
    ------
    InputError
        If the unit does not serve the function or has no label for it.
    """
    _check_serves(unit, function)
    site = _with_other_load(unit, site, function)
    likely = _walk(unit, unit.likely, site, function)
    share = {case: factor / IN_SERVICE[Case.LIKELY] for case, factor in IN_SERVICE.items()}
    cops = [likely.cop_end]
    for case, one in unit.sets.items():
        factor = min(site.in_service_factor * share[case], 1.0)
        there = replace(site, in_service_factor=factor)
        cops.append(_walk(unit, one, there, function).cop_end)
    return SiteRange(likely=likely, cop_low=min(cops), cop_high=max(cops))


def _check_serves(unit: RatedUnit, function: Function) -> None:
    mapped = unit.likely.mapped
    served = {Function.HEATING: mapped.heating, Function.COOLING: mapped.cooling}
    if served[function] is None:
        others = [one.value for one, performance in served.items() if performance is not None]
        raise InputError(
            f"{unit.name} does not serve {function.value}",
            expected=f"a unit for {function.value}; this one serves {' and '.join(others)}",
            remedy=f"add --function {others[0]}, or name another unit" if others else "",
        )


def _with_other_load(unit: RatedUnit, site: Site, function: Function) -> Site:
    """Give the other function its label's load where the site has none.

    Without it all idle power of the year would be charged to the function at hand.
    """
    mapped = unit.likely.mapped
    if function is Function.HEATING:
        if site.cooling_load is not None or mapped.cooling is None:
            return site
        return replace(site, cooling_load=basis_of(unit, unit.likely, Function.COOLING).load)
    if site.heating_load is not None or mapped.heating is None:
        return site
    return replace(site, heating_load=basis_of(unit, unit.likely, Function.HEATING).load)


def _walk(unit: RatedUnit, one: RatedSet, site: Site, function: Function) -> LabelToSite:
    mapped = one.mapped
    installed = InstalledUnit(
        name=unit.name,
        heating=mapped.heating,
        cooling=mapped.cooling,
        heating_operation=mapped.heating_operation,
        cooling_operation=mapped.cooling_operation,
        idle=unit.idle,
    )
    return label_to_site(installed, basis_of(unit, one, function), site)


def basis_of(unit: RatedUnit, one: RatedSet, function: Function) -> LabelBasis:
    """Label from which the steps start.

    Parameters
    ----------
    unit
        The unit; a printed figure decides the standard.
    one
        Its set.
    function
        Heating or cooling.

    Returns
    -------
    LabelBasis
        The printed figure; without one HSPF2 of region IV or SEER2, or, where there are no US
        tests, SCOP of the declared climate or the European SEER.

    Raises
    ------
    InputError
        If no label can be had.
    """
    label = unit.label(function)
    metric = None if label is None else label.metric
    printed = None if label is None else label.value
    if one.us is not None and not (metric is not None and metric.european):
        old = metric in {Metric.HSPF, Metric.SEER}
        edition = M if old else M1
        if function is Function.HEATING:
            return us_heating_basis(one.us, edition=edition, printed=printed)
        return us_cooling_basis(one.us, edition=edition, printed=printed)
    european = one.european
    if function is Function.COOLING and european.cooling is not None:
        return european_cooling_basis(european.cooling(), kind=european.kind, printed=printed)
    if function is Function.HEATING and european.heating:
        average = Climate.AVERAGE in european.heating
        climate = Climate.AVERAGE if average else next(iter(european.heating))
        return european_heating_basis(
            european.heating[climate](), kind=european.kind, climate=climate, printed=printed
        )
    raise InputError(
        f"{unit.name} has no label for {function.value}",
        expected="a seasonal figure, US tests or declared points of that function",
        remedy=f"add its figure for {function.value} to the unit's file",
    )
