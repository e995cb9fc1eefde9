"""Beside single units: the house's ducts, a panel, a shared outdoor unit, rooms in use at times."""

from __future__ import annotations

from dataclasses import dataclass

from energymodel.building.room_mass import room_mass
from energymodel.equipment.curves import Function
from energymodel.scenario.assemble import Model
from energymodel.scenario.site_schema import SiteTable
from energymodel.study.suitability.hours import Duty
from energymodel.study.suitability.units import duct_efficiency
from energymodel.study.suitability.use import PullUp, SharedUnit, SpareDuct, shared_unit

PANEL_MOST_W = 1500.0
"""Largest electric panel on one plug circuit of 115 V (common practice)."""
USUAL_MASS = "timber-frame"
GLAZED_MASS = "glazed"


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class OtherWays:
    """What stands beside the units.

    Parameters
    ----------
    glazed
        Whether the load depends on the sun as well as on outdoor temperature.
    garage
        Whether the room is a garage.
    panel_w
        Size of an electric panel that carries a small room, W; None: the room is not small.
    ducts_heating, ducts_cooling
        The ducted system of the house; None: not given.
    pull_up
        A room in use now and then; None: always in use, or its mass is not known.
    mass
        Type of room behind it, and whether it is a default.
    mass_assumed
        Whether the type was not given.
    area_missing
        Whether the area is missing that the pull-up needs.
    shared
        One outdoor unit for several heads; None: not given.
    """

    glazed: bool
    garage: bool
    panel_w: float | None
    ducts_heating: SpareDuct | None
    ducts_cooling: SpareDuct | None
    pull_up: PullUp | None
    mass: str
    mass_assumed: bool
    area_missing: bool
    shared: SharedUnit | None


def other_ways(
    model: Model, heating: Duty | None, cooling: Duty | None, *, design_c: float, hot_c: float
) -> OtherWays:
    """Look at what stands beside the units.

    Parameters
    ----------
    model
        Room, site, weather.
    heating, cooling
        What the room asks for.
    design_c, hot_c
        Design temperatures, degC.

    Returns
    -------
    OtherWays
        Numbers.
    """
    content = model.scenario.content
    site, room = content.site, content.room
    glazed = room.glazed or site.kind == "sunroom"
    load_w = None if heating is None else heating.sheet_load_w(design_c)
    mass = site.mass or (GLAZED_MASS if glazed else USUAL_MASS)
    occasional = site.use == "now and then" and heating is not None
    return OtherWays(
        glazed=glazed,
        garage=site.kind == "garage",
        panel_w=load_w if load_w is not None and 0 < load_w <= PANEL_MOST_W else None,
        ducts_heating=_ducts(site, Function.HEATING, load_w),
        ducts_cooling=_ducts(
            site, Function.COOLING, None if cooling is None else cooling.sheet_load_w(hot_c)
        ),
        pull_up=_pull_up(site, room.area, mass, heating) if occasional else None,
        mass=mass,
        mass_assumed=site.mass is None,
        area_missing=occasional and room.area is None,
        shared=_shared(model, site, heating or cooling),
    )


def _ducts(site: SiteTable, function: Function, load_w: float | None) -> SpareDuct | None:
    ducts = site.ducts
    if ducts is None or load_w is None:
        return None
    heats = function is Function.HEATING
    capacity = ducts.capacity if heats else ducts.cooling_capacity
    house = ducts.house_load if heats else ducts.house_cooling_load
    if capacity is None or house is None:
        return None
    return SpareDuct(
        refused=site.kind == "garage",
        capacity_w=capacity,
        house_load_w=house,
        room_load_w=load_w,
        efficiency=duct_efficiency(ducts, function),
        measured=ducts.measured,
    )


def _pull_up(
    site: SiteTable, area_m2: float | None, mass: str, heating: Duty | None
) -> PullUp | None:
    if area_m2 is None or heating is None:
        return None
    if site.frost_set_point is None or site.pull_up is None:
        return None
    kind = room_mass(mass)
    per_m2 = kind.air_j_per_m2_k + kind.structure_j_per_m2_k
    return PullUp(
        line=heating.line,
        capacity_j_per_k=per_m2 * area_m2,
        from_c=site.frost_set_point,
        hours=site.pull_up,
    )


def _shared(model: Model, site: SiteTable, duty: Duty | None) -> SharedUnit | None:
    facts = site.shared_outdoor_unit
    if facts is None or duty is None:
        return None
    return shared_unit(facts.heads, facts.full_output, facts.lowest_output, duty, model.weather)
