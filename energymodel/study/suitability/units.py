"""Candidate units of a suitability study, and how each would stand at the site."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from energymodel.datafiles import read_table
from energymodel.equipment.curves import Function, PerformanceMap
from energymodel.equipment.ducts import duct_place
from energymodel.equipment.heat_pump import HeatPump
from energymodel.equipment.indoor import CoolingIndoor
from energymodel.equipment.operation import Operation
from energymodel.scenario.catalogue import catalogue_keys, find_unit
from energymodel.scenario.files import Scenario
from energymodel.scenario.site_schema import DuctsFacts, SiteTable, UnitFacts
from energymodel.scenario.unit_schema import FunctionTable, Unit
from energymodel.study.suitability.hours import Installed
from energymodel.study.suitability.pipes import LineFacts, PipeFit, SiteLine, pipe_fit
from energymodel.study.suitability.supply import PlateFacts

DUCTLESS, DUCTED = "ductless split", "ducted split"


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Candidate:
    """A unit, in one version, that may serve the room.

    Parameters
    ----------
    key
        Of the unit.
    unit
        Its maps.
    facts
        What plate and manual say.
    form
        "ductless split", "ducted split", "one piece"; empty: not known.
    cord
        Whether it comes with a cord and a plug; None: not known.
    low_ambient
        Whether it is the version that cools in colder weather.
    """

    key: str
    unit: Unit
    facts: UnitFacts
    form: str
    cord: bool | None
    low_ambient: bool = False

    @property
    def name(self) -> str:
        """Name of the unit with its version."""
        return self.unit.table.name + (", low-ambient version" if self.low_ambient else "")

    @property
    def label(self) -> str:
        """Short name with its version."""
        return self.key + (" (low-ambient)" if self.low_ambient else "")

    @property
    def class_w(self) -> float | None:
        """Rated cooling capacity, W; None: not known."""
        return self.unit.table.size_class

    @property
    def has_lines(self) -> bool:
        """Whether refrigerant lines are made on site."""
        return self.form in (DUCTLESS, DUCTED)

    @property
    def plate(self) -> PlateFacts:
        """What the plate says of the supply."""
        facts = self.facts
        return PlateFacts(
            supply=facts.supply, ampacity_a=facts.ampacity, breaker_a=facts.breaker, cord=self.cord
        )

    def table(self, function: Function) -> FunctionTable | None:
        """Table of a function.

        Parameters
        ----------
        function
            Heating or cooling.

        Returns
        -------
        FunctionTable or None
            None: the unit does not serve it.
        """
        table = self.unit.table
        return table.heating if function is Function.HEATING else table.cooling

    def operation(self, function: Function) -> Operation | None:
        """Operating limits, the manual's before those of the table.

        Parameters
        ----------
        function
            Heating or cooling.

        Returns
        -------
        Operation or None
            None: the unit does not serve the function.
        """
        table = self.table(function)
        if table is None:
            return None
        own = table.operation()
        facts = self.facts
        if function is Function.HEATING:
            return own if facts.lowest_heating is None else _lowered(own, facts.lowest_heating)
        lowest = facts.low_ambient_cooling if self.low_ambient else facts.lowest_cooling
        return own if lowest is None else _lowered(own, lowest)

    def line(self, site: SiteTable) -> PipeFit | None:
        """Lines of the site against the unit's.

        Parameters
        ----------
        site
            As written.

        Returns
        -------
        PipeFit or None
            None: no lines are made on site.
        """
        if not self.has_lines:
            return None
        facts = self.facts
        return pipe_fit(
            SiteLine(
                length_m=site.line_length,
                equivalent_m=site.equivalent_m,
                outdoor_above_m=site.outdoor_above_m,
            ),
            LineFacts(
                shortest_m=facts.shortest_line,
                longest_m=facts.longest_line,
                largest_height_m=facts.largest_height,
                charged_for_m=facts.charged_for,
                line_charge_kg_per_m=facts.line_charge,
            ),
            class_w=self.class_w,
        )

    def installed(
        self, function: Function, *, line: PipeFit | None, ducts: DuctsFacts | None
    ) -> Installed | None:
        """Set up one function of the unit as it would stand at the site.

        Parameters
        ----------
        function
            Heating or cooling.
        line
            Its lines.
        ducts
            Ducts of the site, for a ducted unit.

        Returns
        -------
        Installed or None
            None: the unit does not serve the function.
        """
        performance, operation = self._map(function), self.operation(function)
        if performance is None or operation is None:
            return None
        heats = function is Function.HEATING
        factor = None if line is None else line.heating_factor if heats else line.cooling_factor
        pump = HeatPump(
            performance=performance,
            operation=operation,
            capacity_factor=1.0 if factor is None else factor,
            indoor_factors=None if heats else CoolingIndoor(),
        )
        carried = duct_efficiency(ducts, function) if self.form == DUCTED else None
        return Installed(pump=pump, carried=1.0 if carried is None else carried)

    def _map(self, function: Function) -> PerformanceMap | None:
        return self.unit.heating if function is Function.HEATING else self.unit.cooling


def _lowered(operation: Operation, lowest_c: float) -> Operation:
    """Put another cut-out in the place of the table's and keep the restart band."""
    off, on = operation.off_c, operation.on_c
    band = on - off if off is not None and on is not None else None
    return replace(operation, off_c=lowest_c, on_c=None if band is None else lowest_c + band)


def duct_efficiency(ducts: DuctsFacts | None, function: Function) -> float | None:
    """Duct efficiency of a site.

    Parameters
    ----------
    ducts
        As written; None: no ducts.
    function
        Heating or cooling.

    Returns
    -------
    float or None
        As given, or the likely one of the place; None: not known.
    """
    if ducts is None:
        return None
    if ducts.place is not None:
        place = duct_place(ducts.place)
        band = place.heating if function is Function.HEATING else place.cooling
        return band[1]
    return ducts.efficiency


def candidates(scenario: Scenario, keys: Sequence[str] = ()) -> tuple[Candidate, ...]:
    """Choose the units to look at.

    Parameters
    ----------
    scenario
        Its own units, and those its options name, come first.
    keys
        Units asked for; empty: all of the catalogue and of the scenario.

    Returns
    -------
    tuple of Candidate
        Each unit once; twice where the site gives a low-ambient limit of it.

    Raises
    ------
    InputError
        If there is no such unit.
    EquipmentError
        If a unit is impossible.
    """
    content = scenario.content
    wanted = list(dict.fromkeys(keys or (*_own(scenario), *catalogue_keys())))
    found = []
    for key in wanted:
        unit = find_unit(key, content.unit, scenario.path.parent)
        found += _versions(key, unit, content.site.unit.get(key, UnitFacts()))
    return tuple(found)


def _own(scenario: Scenario) -> Iterable[str]:
    content = scenario.content
    yield from content.unit
    for option in content.option:
        for entry in (option.heating, option.cooling):
            key = getattr(entry, "unit", None)
            if isinstance(key, str):
                yield key
    yield from (key for key in content.site.unit if key not in catalogue_keys())


def build_of(key: str) -> dict[str, str] | None:
    """Look up how a unit of the catalogue is built.

    Parameters
    ----------
    key
        Of the catalogue.

    Returns
    -------
    dict or None
        "form" (DUCTLESS, DUCTED, "one piece") and "cord"; None for a unit of another origin.
    """
    return next((row for row in read_table("unit_forms.csv") if row["key"] == key), None)


def _versions(key: str, unit: Unit, facts: UnitFacts) -> list[Candidate]:
    row = build_of(key)
    form = facts.form or (row["form"] if row else "")
    cord = facts.cord
    if cord is None and row is not None:
        cord = row["cord"] == "yes"
    plain = Candidate(key=key, unit=unit, facts=facts, form=form, cord=cord)
    if facts.low_ambient_cooling is None or unit.table.cooling is None:
        return [plain]
    return [plain, replace(plain, low_ambient=True)]
