"""From the label's efficiency to the site's, step by step, each step one run of the kernel.

The figures are kWh of electricity per kWh of heat (or cold) delivered, which add up; COP stands at
the two ends only. Duct losses are not part of it: they are the building's, not the unit's.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Any

from energymodel.building.load import LoadLine
from energymodel.equipment.curves import Frost, Function, PerformanceMap
from energymodel.equipment.heat_pump import no_indoor_effect
from energymodel.equipment.idle import IdlePower
from energymodel.equipment.indoor import CoolingIndoor
from energymodel.equipment.limits import RATED_INDOOR_HEATING_C
from energymodel.equipment.operation import Operation
from energymodel.notices import Notice
from energymodel.study.rating.label_basis import LabelBasis
from energymodel.study.rating.site_run import (
    ELECTRIC_BACKUP,
    Backup,
    OtherFunction,
    Setting,
    Use,
    use_of,
    with_cd,
)
from energymodel.units import f_from_c
from energymodel.weather.year import WeatherYear

ORDER_NOTE = "The order of the steps is fixed; another order gives other shares of the same whole."
SAME_INDOOR_K = 0.05
UNMET_QUESTIONED = 0.005
"""Share of the load that may stay uncovered without a notice (definition of this package)."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class InstalledUnit:
    """A unit as its site knows it.

    Parameters
    ----------
    name
        As printed.
    heating, cooling
        Maps for site runs; None: no such function.
    heating_operation, cooling_operation
        Cut-outs.
    idle
        Idle power.
    """

    name: str
    heating: PerformanceMap | None
    cooling: PerformanceMap | None
    heating_operation: Operation
    cooling_operation: Operation
    idle: IdlePower


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Site:
    """A place, its loads and the installation.

    Parameters
    ----------
    weather
        The year.
    heating_load, cooling_load
        Load lines; None: that of the label for the function at hand, none for the other.
    heating_indoor_c, cooling_indoor_c
        Set-points, degC.
    backup
        Second heater; default electric resistance, as in the label.
    in_service_factor, capacity_factor
        Divides power, multiplies capacity.
    cd
        Degradation coefficient on site; None: that of the rating.
    cooling_indoor
        Effect of the indoor state in cooling.
    months_off
        Months in which the unit is disconnected.
    """

    weather: WeatherYear
    heating_load: LoadLine | None
    cooling_load: LoadLine | None
    heating_indoor_c: float
    cooling_indoor_c: float
    backup: Backup = ELECTRIC_BACKUP
    in_service_factor: float = 0.90
    capacity_factor: float = 1.0
    cd: float | None = None
    cooling_indoor: CoolingIndoor = field(default_factory=CoolingIndoor)
    months_off: frozenset[int] = frozenset()


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Step:
    """One step from label to site.

    Parameters
    ----------
    name
        What is switched.
    text
        From what to what.
    change
        kWh of electricity per kWh of heat that it adds; negative: it saves.
    use
        What the unit needs after it.
    """

    name: str
    text: str
    change: float
    use: Use


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LabelToSite:
    """The way from the label to the site.

    Parameters
    ----------
    function
        Heating or cooling.
    unit
        Name of the unit.
    basis
        The label.
    site
        The place.
    steps
        In their fixed order.
    notices
        What the reader should know.
    """

    function: Function
    unit: str
    basis: LabelBasis
    site: Site
    steps: tuple[Step, ...]
    notices: tuple[Notice, ...]

    @property
    def start(self) -> float:
        """KWh per kWh of the label."""
        return self.basis.kwh_per_kwh

    @property
    def end(self) -> float:
        """KWh per kWh at the site."""
        return self.steps[-1].use.kwh_per_kwh

    @property
    def cop_start(self) -> float:
        """Seasonal COP of the label."""
        return 1.0 / self.start

    @property
    def cop_end(self) -> float:
        """Seasonal COP at the site, idle power and backup included."""
        return 1.0 / self.end


def label_to_site(unit: InstalledUnit, basis: LabelBasis, site: Site) -> LabelToSite:
    """Walk from the label of a unit to its efficiency at a site.

    Parameters
    ----------
    unit
        The unit with its site maps.
    basis
        Its label; says whether heating or cooling is asked for.
    site
        Place, loads, installation.

    Returns
    -------
    LabelToSite
        start + sum of the changes = end.

    Raises
    ------
    InputError
        If the site has no load for this function, or the unit delivers nothing.

    Notes
    -----
    European heating tests at 20 degC count as tests at 70 F (21.1 degC), where the effect of the
    indoor temperature is 1.

    Order: map rule, climate, load line and sizing, backup, frost, cycling, idle power, indoor
    temperature, in-service factor; in cooling without backup and frost. "Map rule" leads from the
    label to the site map under the label's own season and load: the procedure's raw lines, its
    rounding constants, its demand-defrost credit and whatever the printed figure differs by stay
    behind.
    """
    setting = _as_labelled(unit, basis, site)
    uses = [(_MAP_RULE, use_of(setting))]
    for name, text, changes in _switches(unit, basis, site):
        setting = replace(setting, **changes)
        uses.append(((name, text), use_of(setting)))
    steps, before = [], basis.kwh_per_kwh
    for (name, text), use in uses:
        steps.append(Step(name=name, text=text, change=use.kwh_per_kwh - before, use=use))
        before = use.kwh_per_kwh
    return LabelToSite(
        function=basis.function,
        unit=unit.name,
        basis=basis,
        site=site,
        steps=tuple(steps),
        notices=_notices(basis, steps[-1].use),
    )


_MAP_RULE = ("map rule", "site map in place of the label's lines")


def _as_labelled(unit: InstalledUnit, basis: LabelBasis, site: Site) -> Setting:
    heats = basis.function is Function.HEATING
    performance = unit.heating if heats else unit.cooling
    if performance is None:
        raise ValueError(f"{unit.name} has a {basis.function.value} label without a map")
    return Setting(
        function=basis.function,
        performance=basis.frost(performance),
        operation=unit.heating_operation if heats else unit.cooling_operation,
        load=basis.load,
        indoor_c=basis.indoor_c,
        indoor_factors=no_indoor_effect,
        weather=site.weather,
        bins=basis.bins,
        backup=ELECTRIC_BACKUP,
        other_kwh_per_kwh=basis.other_kwh_per_kwh,
        other=_other(unit, basis, site),
        months_off=site.months_off,
    )


def _other(unit: InstalledUnit, basis: LabelBasis, site: Site) -> OtherFunction | None:
    heats = basis.function is Function.HEATING
    performance = unit.cooling if heats else unit.heating
    load = site.cooling_load if heats else site.heating_load
    if performance is None or load is None:
        return None
    return OtherFunction(
        performance=performance,
        operation=unit.cooling_operation if heats else unit.heating_operation,
        load=load,
        indoor_c=site.cooling_indoor_c if heats else site.heating_indoor_c,
        indoor_factors=site.cooling_indoor if heats else None,
    )


_Switch = tuple[str, str, Mapping[str, Any]]


def _switches(unit: InstalledUnit, basis: LabelBasis, site: Site) -> list[_Switch]:
    heats = basis.function is Function.HEATING
    weather = site.weather
    switches: list[_Switch] = [("climate", f"hours of {weather.site.name}", {"bins": None})]
    switches.append(_load_switch(basis, site))
    if heats:
        same = ", as in the label" if site.backup is ELECTRIC_BACKUP else ""
        switches.append(("backup", site.backup.name + same, {"backup": site.backup}))
        switches.append(_frost_switch(unit))
    switches.append(_cycling_switch(unit, basis, site))
    idle = {"idle": unit.idle, "other_kwh_per_kwh": 0.0}
    switches.append(("idle power", _idle_text(unit.idle, basis), idle))
    switches.append(_indoor_switch(basis, site))
    switches.append(_service_switch(site))
    return switches


def _load_switch(basis: LabelBasis, site: Site) -> _Switch:
    heats = basis.function is Function.HEATING
    load = site.heating_load if heats else site.cooling_load
    if load is None:
        return "load line and sizing", "that of the label", {}
    text = f"site's load, zero at {_both(load.balance_c)}"
    return "load line and sizing", text, {"load": load}


def _frost_switch(unit: InstalledUnit) -> _Switch:
    performance = unit.heating
    steady = performance is not None and any(
        speed.frost is Frost.STEADY for speed in performance.speeds
    )
    text = "humidity of each hour" if steady else "contained in the tested curves"
    return "frost", text, {"performance": performance} if steady else {}


def _cycling_switch(unit: InstalledUnit, basis: LabelBasis, site: Site) -> _Switch:
    performance = unit.heating if basis.function is Function.HEATING else unit.cooling
    if site.cd is None or performance is None:
        return "cycling", "same coefficient as in the rating", {}
    changed = {"performance": with_cd(performance, site.cd)}
    return "cycling", f"degradation coefficient {site.cd:g} on site", changed


def _idle_text(idle: IdlePower, basis: LabelBasis) -> str:
    instead = " in place of the label's modes" if basis.other_kwh_per_kwh else ""
    parts = [
        f"{name} {power:.0f} W"
        for name, power in (
            ("controls", idle.controls_w),
            ("crankcase heater", idle.crankcase_w),
            ("pan heater", idle.pan_w),
            ("indoor fan", idle.indoor_fan_w),
        )
        if power > 0
    ]
    return (", ".join(parts) or "none") + instead


def _indoor_switch(basis: LabelBasis, site: Site) -> _Switch:
    heats = basis.function is Function.HEATING
    indoor_c = site.heating_indoor_c if heats else site.cooling_indoor_c
    factors = None if heats else site.cooling_indoor
    text = _both(indoor_c)
    if abs(indoor_c - basis.indoor_c) < SAME_INDOOR_K:
        text += ", as in the tests"
    elif heats and basis.indoor_c < RATED_INDOOR_HEATING_C - SAME_INDOOR_K:
        text += f"; tests count as {_both(RATED_INDOOR_HEATING_C)}"
    else:
        text += f", tests {_both(basis.indoor_c)}"
    return "indoor temperature", text, {"indoor_c": indoor_c, "indoor_factors": factors}


def _both(temperature_c: float) -> str:
    return f"{f_from_c(temperature_c):.0f} F ({temperature_c:.1f} C)"


def _service_switch(site: Site) -> _Switch:
    text = f"{site.in_service_factor:.2f} on power"
    if site.capacity_factor != 1.0:
        text += f", {site.capacity_factor:.2f} on capacity"
    changes = {
        "in_service_factor": site.in_service_factor,
        "capacity_factor": site.capacity_factor,
    }
    return "in-service factor", text, changes


def _notices(basis: LabelBasis, end: Use) -> tuple[Notice, ...]:
    notices = [Notice(topic="steps", text=ORDER_NOTE)]
    if end.unmet_share > UNMET_QUESTIONED:
        notices.append(
            Notice(
                topic="capacity",
                text=f"{end.unmet_share:.1%} of the {basis.function.value} load stays uncovered;"
                " the efficiency is that of what is delivered.",
            )
        )
    hours = end.result.total(f"{basis.function.value}_extrapolated_h")
    if hours > 0:
        notices.append(
            Notice(
                topic="capacity",
                text=f"In {hours:,.0f} h the map is read outside its points.",
            )
        )
    return tuple(notices)
