"""Options of a scenario in a room with a memory: which ones, which room, which weather."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from energymodel.arrays import Array, Index, Mask
from energymodel.building.load import LoadLine
from energymodel.building.room import Room, room_for_line
from energymodel.building.room_mass import RoomMass, room_mass
from energymodel.equipment.flows import Conditions
from energymodel.equipment.frost import DEFAULT_HUMIDITY_PCT
from energymodel.equipment.heat_pump import HeatPump
from energymodel.errors import InputError
from energymodel.notices import UsedDefault
from energymodel.quantities import AREA, TEMPERATURE_DIFFERENCE, read_quantity
from energymodel.scenario.assemble import Model, PlannedOption, assemble
from energymodel.scenario.files import Scenario
from energymodel.season.minutes import MinuteTrace, RoomRun, run_minutes
from energymodel.season.room_unit import heat_pump_in, is_modulating, room_unit
from energymodel.season.thermostat import START_UP_TAU_S, USUAL_THERMOSTAT, Thermostat
from energymodel.study.room_day.pair import Pair
from energymodel.study.room_day.room_options import heating_of, named_option, usual_options
from energymodel.units import KELVIN_PER_DEGF, METRE_PER_FOOT

DEFAULT_MASS = "timber-frame"
SIZE_OVER_DESIGN = 1.25
"""Output of a heater "as large as needed" over the design load (common practice)."""
LOSS_PER_AREA_W_PER_M2_K = 2.0
"""Heat loss per floor area of a room whose area is not given (common practice: 1 to 3)."""
LEAST_LOSS_PER_AREA_W_PER_M2_K = 0.1
"""Below it a floor area is not believed: tight passive houses lose 0.3 and more (our choice)."""
VENT_ABOVE_SET_POINT_K = 1.0
MOST_DEAD_BAND_K = 5.0


@dataclass(frozen=True, slots=True, kw_only=True)
class RoomChoice:
    """What the minute model needs beyond the scenario.

    Parameters
    ----------
    mass
        Type of room, a key of `data/room_mass.csv`; None: timber frame.
    area_m2
        Floor area, m2; None: the scenario's, else from the heat loss.
    thermostat
        Settings.
    start_up_tau_s
        Time constant of a heat pump's start, s.
    """

    mass: str | None = None
    area_m2: float | None = None
    thermostat: Thermostat = USUAL_THERMOSTAT
    start_up_tau_s: float = START_UP_TAU_S


def read_choice(
    *, mass: str | None = None, area: str | None = None, dead_band: str | None = None
) -> RoomChoice:
    """Read what the minute model needs as a user writes it.

    Parameters
    ----------
    mass
        Type of room.
    area
        Floor area with its unit, such as "380 ft2".
    dead_band
        Of the thermostat, such as "1 degF" or "0.5 K".

    Returns
    -------
    RoomChoice
        With defaults for what is None.

    Raises
    ------
    InputError
        If a text cannot be read.

    Examples
    --------
    >>> round(read_choice(dead_band="0.9 degF").thermostat.dead_band_k, 2)
    0.5
    """
    thermostat = USUAL_THERMOSTAT
    if mass is not None:
        room_mass(mass)
    if dead_band is not None:
        thermostat = replace(thermostat, dead_band_k=_band_k(dead_band))
    area_m2 = None if area is None else read_quantity(area, AREA, where="--area")
    if area_m2 is not None and not area_m2 > 0:
        raise InputError(
            f"an area of {area}",
            where="--area",
            expected='the floor area of the room, such as "240 ft2"',
            remedy="leave it out for the area of the scenario",
        )
    return RoomChoice(mass=mass, area_m2=area_m2, thermostat=thermostat)


def _band_k(text: str) -> float:
    band_k = read_quantity(text, TEMPERATURE_DIFFERENCE, where="--dead-band")
    if 0.0 < band_k <= MOST_DEAD_BAND_K:
        return band_k
    most, usual = f"{MOST_DEAD_BAND_K:g} K", f"{USUAL_THERMOSTAT.dead_band_k:g} K"
    if text.rstrip().upper().endswith("F"):
        most = f"{MOST_DEAD_BAND_K / KELVIN_PER_DEGF:g} degF"
        usual = f"{USUAL_THERMOSTAT.dead_band_k / KELVIN_PER_DEGF:g} degF"
    raise InputError(
        f"a dead band of {text}",
        where="--dead-band",
        expected=f"above zero and at most {most}",
        remedy=f"leave it out for the usual {usual}",
    )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class RoomCase:
    """One option in its room.

    Parameters
    ----------
    planned
        The option.
    room
        Two thermal nodes; an option that changes the load has a room of its own.
    model
        The scenario around it.
    choice
        Thermostat and start-up.
    """

    planned: PlannedOption
    room: Room
    model: Model
    choice: RoomChoice

    @property
    def name(self) -> str:
        """Name of the option."""
        return self.planned.option.name

    @property
    def line(self) -> LoadLine:
        """Heating load line of the option."""
        return heating_of(self.planned.option)[1]

    @property
    def pump(self) -> HeatPump | None:
        """Its heat pump, if there is one."""
        return heat_pump_in(heating_of(self.planned.option)[0])

    @property
    def modulates(self) -> bool:
        """Whether it is a heat pump that changes its speed."""
        return self.pump is not None and is_modulating(self.pump)

    @property
    def size_w(self) -> float:
        """Output of a heater that is as large as needed, W."""
        table = self.model.scenario.content.room.heating
        design_c = table.design_temperature if table else None
        coldest_c = float(self.model.weather.outdoor_c.min())
        at = coldest_c if design_c is None else design_c
        return SIZE_OVER_DESIGN * float(self.line.load_w(np.array([at]))[0])

    def run(self, hours: Index, set_point_c: Array) -> MinuteTrace:
        """Run the room through hours of the year.

        Parameters
        ----------
        hours
            Rows of the weather year in order.
        set_point_c
            Set-point of each minute, degC, shape (60 x hours,).

        Returns
        -------
        MinuteTrace
            Minute by minute.
        """
        option = self.planned.option
        source, _ = heating_of(option)
        weather = self.model.weather
        humidity = weather.relative_humidity_pct[hours]
        conditions = Conditions(
            outdoor_c=weather.outdoor_c[hours],
            relative_humidity_pct=np.where(np.isnan(humidity), DEFAULT_HUMIDITY_PCT, humidity),
            indoor_c=option.heating_indoor_c,
        )
        unit = room_unit(
            source,
            conditions,
            size_w=self.size_w,
            start_up_tau_s=self.choice.start_up_tau_s,
        )
        most_c = float(set_point_c.max()) + VENT_ABOVE_SET_POINT_K
        return run_minutes(
            RoomRun(
                room=self.room,
                unit=unit,
                set_point_c=set_point_c,
                vent_c=max(option.cooling_indoor_c, most_c),
                thermostat=self.choice.thermostat,
            )
        )

    def idle_w(self, hours: Index, running: Mask) -> Array:
        """Power that the heating unit draws while it waits.

        Parameters
        ----------
        hours
            Row of the weather year of each step.
        running
            Steps in which the compressor runs, same shape.

        Returns
        -------
        Array
            W, same shape.
        """
        weather, total = self.model.weather, np.zeros(hours.size)
        outdoor_c = weather.outdoor_c[hours]
        loaded = self.line.load_w(outdoor_c) > 0
        for unit in (one for one in self.planned.option.idle if one.heats):
            on = ~np.isin(weather.month[hours], sorted(unit.months_off))
            drawn = unit.idle.electricity_w(
                outdoor_c, running.astype(np.float64), loaded=loaded, switched_on=on
            )
            total = total + sum(drawn.values(), np.zeros(hours.size))
        return total


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class RoomCases:
    """Options that are set side by side in the minute model.

    Parameters
    ----------
    model
        The scenario, with options that were added from the catalogue.
    line
        Heating load line of the room.
    cases
        In the order in which they are shown.
    mass, area_m2
        Room type and floor area, m2.
    defaults
        What the minute model assumed.
    pair
        Why an inverter and an on/off unit stand beside each other; None: options were named.
    """

    model: Model
    line: LoadLine
    cases: tuple[RoomCase, ...]
    mass: RoomMass
    area_m2: float
    defaults: tuple[UsedDefault, ...]
    pair: Pair | None = None


def room_cases(scenario: Scenario, names: Sequence[str], choice: RoomChoice) -> RoomCases:
    """Choose options and put each in its room.

    Parameters
    ----------
    scenario
        Checked scenario.
    names
        Options by name; empty: an inverter, the on/off unit nearest to it in size, and electric
        resistance, from the scenario or else from the catalogue.
    choice
        Room type, thermostat.

    Returns
    -------
    RoomCases
        Ready to run.

    Raises
    ------
    EnergyModelError
        If the scenario cannot be used, has no heating load, has no such option, or if the floor
        area does not go with the heat loss.
    """
    model = assemble(scenario)
    line = model.load.heating
    if line is None:
        raise InputError("the room has no heating load", expected="a table [room.heating]")
    planned, pair = [named_option(model, name) for name in names], None
    if not names:
        usual = usual_options(model, line)
        model, planned, pair = usual.model, list(usual.planned), usual.pair
    mass = room_mass(choice.mass or DEFAULT_MASS)
    area_m2 = choice.area_m2 or scenario.content.room.area
    used_m2 = area_m2 or line.slope_w_per_k / LOSS_PER_AREA_W_PER_M2_K
    _check_area(used_m2, line, scenario, given=choice.area_m2 is not None)
    cases = tuple(
        RoomCase(
            planned=one,
            room=room_for_line(heating_of(one.option)[1], mass, area_m2=used_m2),
            model=model,
            choice=choice,
        )
        for one in dict.fromkeys(planned)
    )
    defaults = tuple(_defaults(choice, mass, None if area_m2 else used_m2))
    return RoomCases(
        model=model,
        line=line,
        cases=cases,
        mass=mass,
        area_m2=used_m2,
        defaults=defaults,
        pair=pair,
    )


def _check_area(area_m2: float, line: LoadLine, scenario: Scenario, *, given: bool) -> None:
    """Refuse a floor that is far too large for what the room loses."""
    most_m2 = line.slope_w_per_k / LEAST_LOSS_PER_AREA_W_PER_M2_K
    if area_m2 <= most_m2:
        return
    us = scenario.content.units == "us"
    per, unit = (METRE_PER_FOOT**2, "ft2") if us else (1.0, "m2")
    raise InputError(
        f"a floor of {area_m2 / per:.6g} {unit} is far too large for the heating load of this room",
        where="--area" if given else f"{scenario.path.name}: room.area",
        expected=f"at most {most_m2 / per:,.0f} {unit} for this heat loss",
        remedy="check floor area and design load",
    )


def _defaults(
    choice: RoomChoice, mass: RoomMass, assumed_m2: float | None
) -> Iterator[UsedDefault]:
    stat = choice.thermostat
    if choice.mass is None:
        yield UsedDefault(name="type of room", value=mass.room, source="our choice")
    yield UsedDefault(name="thermal mass", value=f"of {mass.key} rooms", source=mass.source)
    if assumed_m2 is not None:
        yield UsedDefault(
            name="floor area",
            value=f"{assumed_m2:.0f} m2, from the heat loss",
            source=f"{LOSS_PER_AREA_W_PER_M2_K:g} W/(m2 K), common practice",
        )
    yield UsedDefault(
        name="thermostat",
        value=f"dead band {stat.dead_band_k:g} K, at least {stat.minimum_off_s / 60:g} min off"
        f" and {stat.minimum_run_s / 60:g} min on, backup {stat.second_stage_k:g} K further down",
        source="common practice",
    )
    yield UsedDefault(
        name="start of a heat pump",
        value=f"1 - exp(-t/{choice.start_up_tau_s:g} s) of the output, full power at once",
        source="60 s to 90 s, common practice",
    )
