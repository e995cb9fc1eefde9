"""Which inverter and which on/off unit stand beside each other: near in size, both running."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import log

from energymodel.arrays import Array, frozen
from energymodel.equipment.curves import PerformanceMap
from energymodel.equipment.heat_pump import HeatPump
from energymodel.equipment.operation import Operation
from energymodel.scenario.assemble import PlannedOption
from energymodel.scenario.catalogue import catalogue_keys, catalogue_unit
from energymodel.scenario.unit_schema import UnitTable
from energymodel.season.room_unit import heat_pump_in, is_modulating
from energymodel.units import c_from_f

SAME_CLASS = 0.25
"""Units within this of each other's size are of one class (our choice)."""
CLEARLY_LONGER = 0.25
"""Share of the hours by which a unit of the catalogue must run longer to be added (our choice)."""
_RATED_C, _COLD_C = c_from_f(47.0), c_from_f(17.0)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Machine:
    """A heat pump that may be set beside another one.

    Parameters
    ----------
    name
        Of the option, or the unit of the catalogue.
    modulates
        Whether it changes its speed; else it has one.
    size_w
        Rated cooling capacity, else the output at 47 degF, W.
    frost_w
        Full output at 17 degF, W.
    operation
        Its limits.
    planned
        The option of the scenario; None: of the catalogue.
    key
        Of the catalogue; empty: of the scenario.
    """

    name: str
    modulates: bool
    size_w: float
    frost_w: float
    operation: Operation
    planned: PlannedOption | None = None
    key: str = ""

    @property
    def entry(self) -> dict[str, object]:
        """Option of a scenario for a unit of the catalogue."""
        backup = {"heater": {"kind": "electric resistance"}}
        return {
            "name": f"{self.name} (added)",
            "heating": {"kind": "heat pump", "unit": self.key, "backup": backup},
        }

    def share_running(self, outdoor_c: Array) -> float:
        """Share of the hours in which its limits let it run.

        Parameters
        ----------
        outdoor_c
            degC, shape (hours,).

        Returns
        -------
        float
            0..1.
        """
        return float(self.operation.temperature_share(outdoor_c).mean())

    def runs_in(self, outdoor_c: Array) -> bool:
        """Whether its limits let it run in every hour.

        Parameters
        ----------
        outdoor_c
            degC, shape (hours,).

        Returns
        -------
        bool
            Half of the time counts as running.
        """
        return bool((self.operation.temperature_share(outdoor_c) > 0).all())


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Pair:
    """An inverter and an on/off unit, and why these two.

    Parameters
    ----------
    inverter, fixed
        The two.
    fixed_runs
        Whether the on/off unit runs in all hours that are shown.
    passed_over
        On/off units of the scenario that stand still in some of these hours.
    """

    inverter: Machine
    fixed: Machine
    fixed_runs: bool
    passed_over: tuple[Machine, ...]


def choose_pair(planned: Sequence[PlannedOption], outdoor_c: Array, *, design_w: float) -> Pair:
    """Choose an inverter and the on/off unit nearest to it in size, both running.

    Parameters
    ----------
    planned
        Options of the scenario that heat one room.
    outdoor_c
        Outdoor temperature of the hours that are shown, degC.
    design_w
        Heating load at the design temperature, W, where the scenario has no heat pump at all.

    Returns
    -------
    Pair
        Of the scenario as far as it has them; where its on/off unit stands still in some of the
        hours, one of the catalogue in the same class that runs clearly longer, if there is one.
    """
    own = [machine for one in planned if (machine := _machine(one)) is not None]
    inverters = [one for one in own if one.modulates]
    inverters = [one for one in inverters if one.runs_in(outdoor_c)] or inverters
    fixed = [one for one in own if not one.modulates]
    running = [one for one in fixed if one.runs_in(outdoor_c)]
    if not inverters:
        usual = _catalogue(modulates=False)
        like = (running or fixed or [min(usual, key=lambda one: _apart(design_w, one.size_w))])[0]
        inverters = [_in_class(_catalogue(modulates=True), like)]
    chosen = _nearest(inverters, running)
    if chosen is None:
        chosen = _without_running(inverters, fixed, outdoor_c)
    return Pair(
        inverter=chosen[0],
        fixed=chosen[1],
        fixed_runs=chosen[1].runs_in(outdoor_c),
        passed_over=tuple(one for one in fixed if one not in running and one is not chosen[1]),
    )


def _without_running(
    inverters: Sequence[Machine], fixed: Sequence[Machine], outdoor_c: Array
) -> tuple[Machine, Machine]:
    usual = _catalogue(modulates=False)
    own, near = _nearest(inverters, fixed), _nearest(inverters, usual)
    like = [one for one in usual if near is not None and _same_class(near[0], one)]
    if like:
        longest = max(like, key=lambda one: one.share_running(outdoor_c))
        more = -1.0 if own is None else own[1].share_running(outdoor_c) + CLEARLY_LONGER
        if longest.share_running(outdoor_c) > more:
            return _nearest(inverters, [longest]) or (inverters[0], longest)
    return own or near or (inverters[0], usual[0])


def _same_class(one: Machine, other: Machine) -> bool:
    return abs(other.size_w / one.size_w - 1.0) <= SAME_CLASS


def _in_class(machines: Sequence[Machine], like: Machine) -> Machine:
    """Nearest in size; of two, the one that gives less in frost."""
    return min(machines, key=lambda one: (_apart(like.size_w, one.size_w), one.frost_w))


def _nearest(
    inverters: Iterable[Machine], fixed: Sequence[Machine]
) -> tuple[Machine, Machine] | None:
    """Nearest in size; of equals the first one."""
    pairs = [(first, second) for first in inverters for second in fixed]
    return min(
        pairs, key=lambda pair: round(_apart(pair[0].size_w, pair[1].size_w), 3), default=None
    )


def _apart(first_w: float, second_w: float) -> float:
    return abs(log(first_w / second_w)) if min(first_w, second_w) > 0 else float("inf")


def _machine(planned: PlannedOption) -> Machine | None:
    """Read a heat pump; None: no heat pump, or two stages."""
    source = planned.option.heating
    pump = None if source is None else heat_pump_in(source)
    unit = planned.heating.unit if planned.heating else None
    modulates = _modulates(pump)
    if pump is None or unit is None or modulates is None:
        return None
    return Machine(
        name=planned.option.name,
        modulates=modulates,
        size_w=_size_w(unit.table, pump.performance),
        frost_w=_full_w(pump.performance, _COLD_C),
        operation=pump.operation,
        planned=planned,
    )


def _catalogue(*, modulates: bool) -> list[Machine]:
    found = []
    for key in catalogue_keys():
        unit = catalogue_unit(key)
        table = unit.table.heating
        if unit.heating is None or table is None:
            continue
        if _modulates(HeatPump(performance=unit.heating)) is modulates:
            found.append(
                Machine(
                    name=unit.table.name,
                    modulates=modulates,
                    size_w=_size_w(unit.table, unit.heating),
                    frost_w=_full_w(unit.heating, _COLD_C),
                    operation=table.operation(),
                    key=key,
                )
            )
    return found


def _modulates(pump: HeatPump | None) -> bool | None:
    """Whether a heat pump modulates; None: two stages, or no heat pump."""
    if pump is None:
        return None
    if is_modulating(pump):
        return True
    return False if len(pump.performance.speeds) == 1 else None


def _size_w(table: UnitTable, performance: PerformanceMap) -> float:
    return _full_w(performance, _RATED_C) if table.size_class is None else table.size_class


def _full_w(performance: PerformanceMap, outdoor_c: float) -> float:
    return float(performance.speeds[-1].capacity_w(frozen([outdoor_c]))[0])
