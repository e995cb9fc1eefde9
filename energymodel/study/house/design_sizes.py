"""The load at the design temperature beside the catalogue's sizes and the rule of thumb."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

import numpy as np

from energymodel.building.fit_bands import Band
from energymodel.building.rough_load import Insulation, rough_design_load
from energymodel.equipment.curves import Function
from energymodel.equipment.flows import Conditions
from energymodel.equipment.frost import DEFAULT_HUMIDITY_PCT
from energymodel.scenario.catalogue import catalogue_keys, catalogue_unit
from energymodel.scenario.context import Context
from energymodel.scenario.heat_pump_kind import HeatPumpRecord, build_heat_pump
from energymodel.scenario.ledger import Ledger
from energymodel.study.comparison.capacity_curve import LIMITLESS_W
from energymodel.study.suitability.units import DUCTED, build_of

USUAL_HEIGHT_M = 2.44
"""8 ft (common practice)."""


class Carries(Enum):
    """What of the band of the load a size carries."""

    ALL = "the whole band"
    LIKELY = "the likely load"
    LOW = "the low end only"
    NONE = "not the load"
    STOPPED = "stops before"


@dataclass(frozen=True, slots=True, kw_only=True)
class SizeAtDesign:
    """One unit of the catalogue at the design temperature.

    Parameters
    ----------
    key, name
        Of the catalogue.
    output_w
        Full heat output there, frost included, W.
    share
        Output over the likely load.
    carries
        In words.
    """

    key: str
    name: str
    output_w: float
    share: float
    carries: Carries


def is_ducted(key: str) -> bool:
    """Tell whether a unit of the catalogue heats through the ducts of the house.

    Parameters
    ----------
    key
        Of the catalogue.

    Returns
    -------
    bool
        By the table of the units' builds.
    """
    build = build_of(key)
    return build is not None and build["form"] == DUCTED


def sizes_at_design(
    load_w: Band, *, design_c: float, indoor_c: float, duct_efficiency: float = 1.0
) -> tuple[SizeAtDesign, ...]:
    """Set every heat pump of the catalogue beside a load.

    Parameters
    ----------
    load_w
        Load at the design temperature with its band, W.
    design_c
        Design temperature, degC.
    indoor_c
        Set-point, degC.
    duct_efficiency
        Of the ducts of the house: what reaches the rooms of a ducted unit's output.

    Returns
    -------
    tuple of SizeAtDesign
        Smallest output first.

    Notes
    -----
    Output in rated condition: no line-length derate; in the frost band at the default humidity.
    """
    found = []
    for key in catalogue_keys():
        unit = catalogue_unit(key)
        if unit.heating is None:
            continue
        output_w = full_output_w(key, outdoor_c=design_c, indoor_c=indoor_c)
        output_w *= duct_efficiency if is_ducted(key) else 1.0
        found.append(
            SizeAtDesign(
                key=key,
                name=unit.table.name,
                output_w=output_w,
                share=output_w / load_w.likely if load_w.likely > 0 else float("inf"),
                carries=_carries(output_w, load_w),
            )
        )
    return tuple(sorted(found, key=lambda size: size.output_w))


def full_output_w(key: str, *, outdoor_c: float, indoor_c: float) -> float:
    """Full heat output of a catalogue unit as rated.

    Parameters
    ----------
    key
        Of the catalogue.
    outdoor_c, indoor_c
        Temperatures, degC.

    Returns
    -------
    float
        W; 0 where it does not run.
    """
    context = Context(
        function=Function.HEATING,
        elevation_m=0.0,
        design_load_w=0.0,
        find_unit=catalogue_unit,
        ledger=Ledger(),
    )
    source = build_heat_pump(HeatPumpRecord(kind="heat pump", unit=key), context).source
    conditions = Conditions(
        outdoor_c=np.array([outdoor_c]),
        relative_humidity_pct=np.array([DEFAULT_HUMIDITY_PCT]),
        indoor_c=indoor_c,
    )
    return float(source.run(conditions, np.array([LIMITLESS_W])).delivered_w[0])


def _carries(output_w: float, load_w: Band) -> Carries:
    if output_w <= 0:
        return Carries.STOPPED
    if output_w >= load_w.high:
        return Carries.ALL
    if output_w >= load_w.likely:
        return Carries.LIKELY
    return Carries.LOW if output_w >= load_w.low else Carries.NONE


@dataclass(frozen=True, slots=True, kw_only=True)
class Thumb:
    """The rule of thumb by volume for one class of insulation.

    Parameters
    ----------
    insulation
        Class.
    load_w
        What the rule gives, W.
    share
        That over the likely load from the bills.
    """

    insulation: Insulation
    load_w: float
    share: float


def thumb_rules(
    load_w: Band, *, floor_area_m2: float, height_m: float = USUAL_HEIGHT_M
) -> tuple[Thumb, ...]:
    """Set the rule of thumb by volume beside the load from the bills.

    Parameters
    ----------
    load_w
        Load at the design temperature, W.
    floor_area_m2
        Heated floor area, m2.
    height_m
        Room height, m.

    Returns
    -------
    tuple of Thumb
        One for each class of insulation, poorest first.
    """
    found = []
    for insulation in Insulation:
        rough = rough_design_load(
            floor_area_m2=floor_area_m2, ceiling_height_m=height_m, insulation=insulation
        )
        found.append(
            Thumb(
                insulation=insulation,
                load_w=rough.design_load_w,
                share=rough.design_load_w / load_w.likely,
            )
        )
    return tuple(found)
