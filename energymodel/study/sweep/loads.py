"""The different loads and factors among the variants of one structure."""

from __future__ import annotations

from dataclasses import dataclass
from functools import partial

import numpy as np

from energymodel.arrays import Array, Index
from energymodel.building.load import LoadLine, RoomLoad
from energymodel.equipment.curves import Function
from energymodel.equipment.flows import Source
from energymodel.equipment.partial import PartialDisplacement
from energymodel.errors import EnergyModelError, ManyFaultsError
from energymodel.scenario.assemble import Model, PlannedOption
from energymodel.scenario.catalogue import find_unit
from energymodel.scenario.changes import changed
from energymodel.scenario.context import Context
from energymodel.scenario.faults import placed
from energymodel.scenario.files import Scenario
from energymodel.scenario.heat_pump_kind import CompressorRecord, HeatPumpRecord, build_heat_pump
from energymodel.scenario.heater_kinds import BurnerRecord, HeaterRecord, build_heater
from energymodel.scenario.ledger import Ledger
from energymodel.scenario.schema import OptionTable
from energymodel.season.batch.segments import no_batch
from energymodel.study.sweep.groups import AxisKind, axes_of, combined
from energymodel.study.sweep.plan import SweepPlan


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Case:
    """One combination of loads and factors.

    Parameters
    ----------
    scenario
        With them.
    load
        Load lines of its room.
    """

    scenario: Scenario
    load: RoomLoad

    @property
    def options(self) -> list[OptionTable]:
        """Options as written."""
        return self.scenario.content.option

    @property
    def design_c(self) -> float | None:
        """Outdoor design temperature, degC."""
        table = self.scenario.content.room.heating
        return table.design_temperature if table is not None else None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class EnergyCases:
    """All combinations that occur.

    Parameters
    ----------
    cases
        Those that can be run; at least one.
    which
        Case of each variant, shape (n,); 0 where it is refused.
    reasons
        Why a variant is refused, by its position.
    """

    cases: tuple[Case, ...]
    which: Index
    reasons: dict[int, str]


def energy_cases(plan: SweepPlan, model: Model, variants: Index) -> EnergyCases:
    """Make the combinations of loads and factors of some variants.

    Parameters
    ----------
    plan
        The sweep.
    model
        Their structure.
    variants
        Numbers of the variants.

    Returns
    -------
    EnergyCases
        With the model's own loads where all are refused.
    """
    axes = axes_of(plan, AxisKind.ENERGY)
    first, which = combined(axes, variants)
    cases: list[Case] = []
    place = np.zeros(first.size, dtype=np.intp)
    refused: dict[int, str] = {}
    for number, variant in enumerate(variants[first].tolist()):
        try:
            case = _case(changed(model.scenario, plan.changes(variant, axes)), model)
        except EnergyModelError as error:
            refused[number] = str(error)
        else:
            place[number] = len(cases)
            cases.append(case)
    if not cases:
        cases.append(Case(scenario=model.scenario, load=model.load))
    reasons = {at: refused[c] for at, c in enumerate(which.tolist()) if c in refused}
    return EnergyCases(cases=tuple(cases), which=place[which], reasons=reasons)


def _case(scenario: Scenario, model: Model) -> Case:
    try:
        load = scenario.content.room.load(Ledger(), elevation_m=model.weather.site.elevation_m)
    except EnergyModelError as error:
        raise ManyFaultsError(placed(error, "room."), where=scenario.path.name) from None
    return Case(scenario=scenario, load=load)


def built_for_load(planned: PlannedOption) -> bool:
    """Tell whether the heating of an option is built for the load of the room.

    Parameters
    ----------
    planned
        The option.

    Returns
    -------
    bool
        True for burners whose output follows from the design load, and for a head in one zone.
    """
    return isinstance(planned.option.heating, PartialDisplacement) or _sized(planned.table.heating)


def _sized(record: CompressorRecord | HeaterRecord | None) -> bool:
    if isinstance(record, HeatPumpRecord):
        return record.backup is not None and _sized(record.backup.heater)
    return isinstance(record, BurnerRecord) and record.output is None


def source_of(case: Case, model: Model, number: int) -> Source:
    """Build the heating of an option for the design load of one case.

    Parameters
    ----------
    case
        Loads and factors.
    model
        The structure.
    number
        Of the option.

    Returns
    -------
    Source
        As a single run builds it.

    Raises
    ------
    NoBatchError
        If the option does not heat.
    """
    scenario = case.scenario
    context = Context(
        function=Function.HEATING,
        elevation_m=model.weather.site.elevation_m,
        design_load_w=_design_load_w(case, model),
        find_unit=partial(find_unit, own=scenario.content.unit, folder=scenario.path.parent),
        ledger=Ledger(),
        heating_load=case.load.heating,
    )
    record = case.options[number].heating
    if record is None:
        raise no_batch("an option without heating", "one that heats")
    if isinstance(record, CompressorRecord):
        return build_heat_pump(record, context).source
    return build_heater(record, context).source


def _design_load_w(case: Case, model: Model) -> float:
    line = case.load.heating
    if line is None:
        return 0.0
    at = float(model.weather.outdoor_c.min()) if case.design_c is None else case.design_c
    return float(line.load_w(np.array([at]))[0])


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Line:
    """Load line of a service over the cases.

    Parameters
    ----------
    slope_w_per_k, balance_c
        Shape (cases,).
    """

    slope_w_per_k: Array
    balance_c: Array


def option_line(
    cases: tuple[Case, ...], planned: PlannedOption, model: Model, *, number: int, heating: bool
) -> Line | None:
    """Load line of an option over the cases, its own load factor included.

    Parameters
    ----------
    cases
        Loads and factors.
    planned
        The option in the structure's own case.
    model
        The structure.
    number
        Of the option.
    heating
        Heating, or cooling.

    Returns
    -------
    Line or None
        None where the room has no such load.
    """
    own = planned.option.heating_load if heating else planned.option.cooling_load
    room = _line(model.load, heating=heating)
    if own is None or room is None:
        return None
    latent = (
        1.0 if heating else own.slope_w_per_k / (room.slope_w_per_k * planned.table.load_factor)
    )
    lines = [_line(case.load, heating=heating) or room for case in cases]
    factors = [case.options[number].load_factor * latent for case in cases]
    slopes = [line.slope_w_per_k * factor for line, factor in zip(lines, factors, strict=True)]
    return Line(
        slope_w_per_k=np.array(slopes), balance_c=np.array([line.balance_c for line in lines])
    )


def _line(load: RoomLoad, *, heating: bool) -> LoadLine | None:
    return load.heating if heating else load.cooling
