"""One function of a unit against the load: capacity, cold spells, limits, minimum output."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from energymodel.arrays import Array, Mask
from energymodel.equipment.curves import Function
from energymodel.equipment.flows import Conditions, Flows
from energymodel.study.comparison.outcome import UNMET_LIMIT
from energymodel.study.suitability.hours import (
    Duty,
    Installed,
    Shortfall,
    Spell,
    coldest_spell,
    cycles_per_hour,
    shortfall,
)
from energymodel.weather.year import WeatherYear

TOO_MILD_K = 3.0
"""How far the cold extremes of a typical year may be too mild: 2 to 3 K (computed from a file with
its published design values)."""
_ROUNDING = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True)
class YearFit:
    """A unit over one year.

    Parameters
    ----------
    label, kind
        Calendar year or "typical year"; "typical" or "observed".
    loaded_h
        Hours with a load.
    short
        What is missing over the year.
    spell, spell_short
        The coldest 72 hours and what is missing in them; None for cooling.
    colder_short
        The same 3 K colder, as a typical year is too mild by up to that much; None for cooling
        and for real years.
    below_h, below_kwh
        Hours with a load at or below the lowest operating temperature, and their load.
    above_h
        Hours with a load above the highest operating temperature.
    extrapolated_h
        Hours with a load outside the tested points.
    """

    label: str
    kind: str
    loaded_h: int
    short: Shortfall
    spell: Spell | None
    spell_short: Shortfall | None
    colder_short: Shortfall | None
    below_h: int
    below_kwh: float
    above_h: int
    extrapolated_h: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Cycling:
    """How much of a season lies below the lowest output.

    Parameters
    ----------
    hours, loaded_h
        Hours below it, and hours with a load.
    energy_kwh, load_kwh
        Load of those hours, and of the season.
    per_hour
        Mean number of starts per hour while below it, N = 4 Nmax x (1 - x) (common practice).
    starts
        Starts in the season.
    """

    hours: int
    loaded_h: int
    energy_kwh: float
    load_kwh: float
    per_hour: float
    starts: float

    @property
    def share(self) -> float:
        """Hours below the lowest output over hours with a load, 0..1."""
        return self.hours / self.loaded_h if self.loaded_h else 0.0

    @property
    def energy_share(self) -> float:
        """Load of those hours over the load of the season, 0..1."""
        return self.energy_kwh / self.load_kwh if self.load_kwh > 0 else 0.0


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ServiceFit:
    """One function of a unit at this site.

    Parameters
    ----------
    function
        Heating or cooling.
    design_c, design_load_w
        Design temperature, degC, and the load there, W, gains counted.
    sheet_load_w
        Load of the heat-loss sheet there, W, gains not counted; the same as the load where no
        gains were taken off.
    design_output_w, design_lowest_w
        Largest and lowest output there, W, in the room.
    design_on
        Share of the time the operating limits let it run there, 0..1.
    lowest_c, highest_c
        Operating limits, degC; None: not known.
    years
        The scenario's year first.
    cycling
        Of the scenario's year.
    largest_input_w
        Electric power at full output in hours with a load, as rated, W.
    """

    function: Function
    design_c: float
    design_load_w: float
    sheet_load_w: float
    design_output_w: float
    design_lowest_w: float
    design_on: float
    lowest_c: float | None
    highest_c: float | None
    years: tuple[YearFit, ...]
    cycling: Cycling
    largest_input_w: float

    @property
    def worst(self) -> YearFit:
        """The year in which most is missing; the scenario's where nothing is."""
        return max(self.years, key=lambda year: year.short.energy_kwh)

    @property
    def short_at_design(self) -> bool:
        """Whether the largest output at the design temperature is below the load."""
        return self.design_output_w < self.design_load_w * (1.0 - _ROUNDING)

    @property
    def carries(self) -> bool:
        """Load met at the design temperature, and missing energy within the limit each year."""
        return not self.short_at_design and self.worst.short.share <= UNMET_LIMIT

    @property
    def below_h(self) -> int:
        """Hours with a load at or below the lowest operating temperature, in the worst year."""
        return max(year.below_h for year in self.years)

    @property
    def above_h(self) -> int:
        """Hours with a load above the highest operating temperature, in the worst year."""
        return max(year.above_h for year in self.years)

    @property
    def cover_w(self) -> float:
        """Size of what must stand beside the unit, W: the largest gap, design included."""
        gap = max(self.design_load_w - self.design_output_w, 0.0)
        return max(gap, *(year.short.largest_w for year in self.years))

    @property
    def size_ratio(self) -> float:
        """Largest output at the design temperature over the load there."""
        return self.design_output_w / self.design_load_w if self.design_load_w > 0 else np.inf

    @property
    def has_sheet(self) -> bool:
        """Whether gains were taken off a sheet's load, so that there are two loads to name."""
        return self.sheet_load_w > self.design_load_w * (1.0 + _ROUNDING)

    @property
    def sheet_ratio(self) -> float:
        """Largest output at the design temperature over the sheet's load there."""
        return self.design_output_w / self.sheet_load_w if self.sheet_load_w > 0 else np.inf

    @property
    def below_sheet(self) -> bool:
        """Whether the largest output at the design temperature is below the sheet's load."""
        return self.design_output_w < self.sheet_load_w * (1.0 - _ROUNDING)


def service_fit(
    unit: Installed, duty: Duty, years: Sequence[WeatherYear], *, design_c: float
) -> ServiceFit:
    """Hold one function of a unit against the load of a room.

    Parameters
    ----------
    unit
        As it would stand here.
    duty
        Load and set-point.
    years
        The scenario's year first.
    design_c
        Design temperature, degC.

    Returns
    -------
    ServiceFit
        Numbers; nothing is judged yet.
    """
    at = duty.at(design_c)
    operation = unit.pump.operation
    return ServiceFit(
        function=duty.function,
        design_c=design_c,
        design_load_w=float(duty.line.load_w(at.outdoor_c)[0]),
        sheet_load_w=duty.sheet_load_w(design_c),
        design_output_w=float(unit.full_w(at)[0]),
        design_lowest_w=float(unit.lowest_w(at)[0]),
        design_on=float(operation.temperature_share(at.outdoor_c)[0]),
        lowest_c=operation.off_c,
        highest_c=operation.off_above_c,
        years=tuple(_year(unit, duty, year) for year in years),
        cycling=_cycling(unit, duty, years[0]),
        largest_input_w=_largest_input_w(unit, duty, years),
    )


def _year(unit: Installed, duty: Duty, weather: WeatherYear) -> YearFit:
    load_w, at = duty.load_w(weather), duty.conditions(weather)
    flows = unit.flows(at, load_w)
    unmet_w = flows.unmet_w * unit.carried
    heats = duty.function is Function.HEATING
    spell = coldest_spell(weather) if heats else None
    below, above = _outside(unit, at.outdoor_c, load_w)
    return YearFit(
        label=weather.year_label,
        kind=weather.kind,
        loaded_h=int((load_w > 0).sum()),
        short=shortfall(load_w, unmet_w),
        spell=spell,
        spell_short=None if spell is None else _part(load_w, unmet_w, spell),
        colder_short=None
        if spell is None or weather.kind != "typical"
        else _colder(unit, duty, at, spell),
        below_h=int(below.sum()),
        below_kwh=float(load_w[below].sum()) / 1000.0,
        above_h=int(above.sum()),
        extrapolated_h=int(flows.extrapolated.sum()),
    )


def _part(load_w: Array, unmet_w: Array, spell: Spell) -> Shortfall:
    return shortfall(load_w[spell.hours], unmet_w[spell.hours])


def _colder(unit: Installed, duty: Duty, at: Conditions, spell: Spell) -> Shortfall:
    there = Conditions(
        outdoor_c=at.outdoor_c[spell.hours] - TOO_MILD_K,
        relative_humidity_pct=at.relative_humidity_pct[spell.hours],
        indoor_c=at.indoor_c,
    )
    load_w = duty.line.load_w(there.outdoor_c)
    return shortfall(load_w, unit.unmet_w(there, load_w))


def _outside(unit: Installed, outdoor_c: Array, load_w: Array) -> tuple[Mask, Mask]:
    operation = unit.pump.operation
    loaded = load_w > 0
    low = -np.inf if operation.off_c is None else operation.off_c
    high = np.inf if operation.off_above_c is None else operation.off_above_c
    return loaded & (outdoor_c <= low), loaded & (outdoor_c > high)


def _cycling(unit: Installed, duty: Duty, weather: WeatherYear) -> Cycling:
    load_w, at = duty.load_w(weather), duty.conditions(weather)
    flows: Flows = unit.flows(at, load_w)
    below, loaded = flows.cycling, load_w > 0
    lowest_w = unit.lowest_w(at)[below]
    share = np.clip(load_w[below] / np.maximum(lowest_w, 1e-9), 0.0, 1.0)
    each = cycles_per_hour(share)
    return Cycling(
        hours=int(below.sum()),
        loaded_h=int(loaded.sum()),
        energy_kwh=float(load_w[below].sum()) / 1000.0,
        load_kwh=float(load_w.sum()) / 1000.0,
        per_hour=float(each.mean()) if each.size else 0.0,
        starts=float(each.sum()),
    )


def _largest_input_w(unit: Installed, duty: Duty, years: Sequence[WeatherYear]) -> float:
    loaded_c = [year.outdoor_c[duty.load_w(year) > 0] for year in years]
    outdoor_c = np.unique(np.concatenate(loaded_c))
    # dry air: frost never raises the power
    dry = Conditions(
        outdoor_c=outdoor_c,
        relative_humidity_pct=np.zeros_like(outdoor_c),
        indoor_c=duty.indoor_c,
    )
    return float(unit.full_power_w(dry).max(initial=0.0))


@dataclass(frozen=True, slots=True, kw_only=True)
class ColdHours:
    """Cooling load in cold weather.

    Parameters
    ----------
    limit_c
        Outdoor temperature, degC.
    hours, energy_kwh
        Hours with a cooling load at or below it, in the worst year, and their load.
    share
        Of the year's cooling load, 0..1.
    """

    limit_c: float
    hours: int
    energy_kwh: float
    share: float


def cold_hours(duty: Duty, years: Sequence[WeatherYear], limit_c: float) -> ColdHours:
    """Count the cooling load at or below an outdoor temperature.

    Parameters
    ----------
    duty
        Cooling.
    years
        Of which the one with the most such hours counts.
    limit_c
        Lowest operating temperature of a version, degC.

    Returns
    -------
    ColdHours
        Hours that a unit with this limit stands still though there is a load.
    """
    found = []
    for weather in years:
        load_w = duty.load_w(weather)
        cold = (load_w > 0) & (weather.outdoor_c <= limit_c)
        total = float(load_w.sum())
        energy = float(load_w[cold].sum())
        found.append(
            ColdHours(
                limit_c=limit_c,
                hours=int(cold.sum()),
                energy_kwh=energy / 1000.0,
                share=energy / total if total > 0 else 0.0,
            )
        )
    return max(found, key=lambda one: (one.hours, one.energy_kwh))
