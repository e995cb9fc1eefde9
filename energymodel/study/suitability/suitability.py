"""Which unit fits a room, its climate, its supply and its pipe run, and why."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from energymodel.equipment.altitude import heat_pump_notices
from energymodel.equipment.curves import Function
from energymodel.notices import Notice
from energymodel.scenario.assemble import Model, assemble
from energymodel.scenario.files import Scenario, read_scenario
from energymodel.scenario.site_schema import SiteTable
from energymodel.scenario.supply_text import Supply, country_supplies, read_supplies
from energymodel.study.comparison.supply_notices import taken_as_supplied
from energymodel.study.suitability.capacity import ColdHours, ServiceFit, cold_hours, service_fit
from energymodel.study.suitability.costs import PANEL, YearlyCost, yearly_costs
from energymodel.study.suitability.hours import Duty, Spell, coldest_spell
from energymodel.study.suitability.other import OtherWays, other_ways
from energymodel.study.suitability.pipes import PipeFit
from energymodel.study.suitability.room_area import RoomAreaFit, room_area_fit
from energymodel.study.suitability.supply import SupplyFit, supply_fit
from energymodel.study.suitability.units import Candidate, candidates
from energymodel.study.suitability.verdict import Asked, UnitFit, Verdict, judged, ranked
from energymodel.study.suitability.years import SiteYears, site_years
from energymodel.units import c_from_f
from energymodel.weather.design import design_temperatures

COLD_LIMITS_C = tuple(c_from_f(limit) for limit in (55.0, 35.0, 20.0, 14.0, 5.0, 0.0, -4.0, -20.0))
"""Lowest cooling temperatures that versions have (common practice)."""


_NEARLY = (Verdict.BEYOND, Verdict.BACKUP)


@dataclass(frozen=True, slots=True, kw_only=True)
class Extremes:
    """Outdoor temperatures of the site over all years.

    Parameters
    ----------
    lowest_c, highest_c
        degC.
    spell, spell_year
        The coldest 72 hours of all years.
    """

    lowest_c: float
    highest_c: float
    spell: Spell
    spell_year: str


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Suitability:
    """All candidates at a site, the best first.

    Parameters
    ----------
    model
        Room, weather, prices.
    years
        All years that were looked at, the scenario's first.
    heating, cooling
        What the room asks for; None: no such load.
    design_heating_c, design_cooling_c
        Design temperatures, degC.
    extremes
        Of the site.
    fits
        Units, by the stated criteria in their order.
    cold_cooling
        Cooling load at or below usual limits.
    panel_cost
        An electric panel's money per year; None: not known.
    other
        Other ways and special rooms.
    notices
        What the reader should know.
    """

    model: Model
    years: SiteYears
    heating: Duty | None
    cooling: Duty | None
    design_heating_c: float
    design_cooling_c: float
    extremes: Extremes
    fits: tuple[UnitFit, ...]
    cold_cooling: tuple[ColdHours, ...]
    panel_cost: YearlyCost | None
    other: OtherWays
    notices: tuple[Notice, ...]

    @property
    def site(self) -> SiteTable:
        """The table [site]."""
        return self.model.scenario.content.site

    @property
    def asked(self) -> Asked:
        """What the room asks for."""
        return Asked(
            heats=self.heating is not None,
            cools=self.cooling is not None,
            never_warm=self.site.kind == "server room",
        )

    @property
    def leaders(self) -> tuple[UnitFit, ...]:
        """Units that fit; where none does, the first of the list if little is missing to it."""
        first = tuple(fit for fit in self.fits[:1] if fit.verdict in _NEARLY)
        return self.suited or first

    @property
    def suited(self) -> tuple[UnitFit, ...]:
        """Units that fit, the best first."""
        return tuple(fit for fit in self.fits if fit.fits)


def suitability(
    scenario: Scenario | str | Path | None = None, *, units: Sequence[str] = ()
) -> Suitability:
    """Hold units against a room, its climate, its supply and its pipe run.

    Parameters
    ----------
    scenario
        A scenario, the path of its file, or None for the demo; its table [site] says what the
        site allows and what plates and manuals say.
    units
        Keys of the candidates; empty: the whole catalogue and the scenario's own units.

    Returns
    -------
    Suitability
        Every candidate with its numbers, ranked.

    Raises
    ------
    EnergyModelError
        If the scenario or a unit cannot be used.

    Examples
    --------
    >>> found = suitability(units=["inverter-standard-12", "inverter-standard-24"])
    >>> [(fit.candidate.key, fit.verdict.value) for fit in found.fits]
    [('inverter-standard-12', 'fits with gains'), ('inverter-standard-24', 'larger than needed')]
    """
    if not isinstance(scenario, Scenario):
        scenario = read_scenario(scenario)
    chosen = candidates(scenario, units)
    model = assemble(scenario)
    study = _study(model)
    costs = yearly_costs(model, chosen)
    fits = [_fit(one, study, costs.get(one.label)) for one in chosen]
    return replace(
        study,
        fits=ranked(judged(fits, study.asked), study.asked),
        panel_cost=costs.get(PANEL),
        notices=(*study.notices, *(note for one in chosen for note in one.unit.notices)),
    )


def _study(model: Model) -> Suitability:
    """Everything but the units."""
    room = model.scenario.content.room
    years = site_years(model)
    load, indoor = model.load, room.indoor
    heating = cooling = None
    if load.heating is not None:
        heating = Duty(
            function=Function.HEATING,
            line=load.heating,
            indoor_c=indoor.heating,
            gains_off=room.heating is not None and room.heating.gains != "included",
        )
    if load.cooling is not None:
        cooling = Duty(
            function=Function.COOLING,
            line=load.cooling,
            indoor_c=indoor.cooling,
            months_without=load.months_without_cooling,
        )
    usual = design_temperatures(model.weather)
    given = (
        room.heating.design_temperature if room.heating else None,
        room.cooling.design_temperature if room.cooling else None,
    )
    guessed = (heating is not None and given[0] is None) or (
        cooling is not None and given[1] is None
    )
    design_c = usual.heating_99_c if given[0] is None else given[0]
    hot_c = usual.cooling_1_c if given[1] is None else given[1]
    return Suitability(
        model=model,
        years=years,
        heating=heating,
        cooling=cooling,
        design_heating_c=design_c,
        design_cooling_c=hot_c,
        extremes=_extremes(years),
        fits=(),
        cold_cooling=_cold_cooling(cooling, years),
        panel_cost=None,
        other=other_ways(model, heating, cooling, design_c=design_c, hot_c=hot_c),
        notices=(
            *taken_as_supplied(
                model.options,
                "here every unit is supplied at all hours and priced at the rate of the house",
            ),
            *years.notices,
            *(usual.notices if guessed else ()),
            *heat_pump_notices(model.weather.site.elevation_m),
        ),
    )


def _extremes(years: SiteYears) -> Extremes:
    spells = [(coldest_spell(year), year.year_label) for year in years.years]
    spell, label = min(spells, key=lambda pair: pair[0].mean_c)
    return Extremes(
        lowest_c=min(float(year.outdoor_c.min()) for year in years.years),
        highest_c=max(float(year.outdoor_c.max()) for year in years.years),
        spell=spell,
        spell_year=label,
    )


def _cold_cooling(duty: Duty | None, years: SiteYears) -> tuple[ColdHours, ...]:
    if duty is None:
        return ()
    return tuple(cold_hours(duty, years.years, limit) for limit in COLD_LIMITS_C)


def site_supplies(site: SiteTable) -> tuple[Supply, ...]:
    """Supplies that a site has.

    Parameters
    ----------
    site
        As written.

    Returns
    -------
    tuple of Supply
        As given, else those of the country; empty: neither was given.
    """
    if site.supply:
        return tuple(one for text in site.supply for one in read_supplies(text))
    return country_supplies(site.country) if site.country else ()


def _fit(candidate: Candidate, study: Suitability, cost: YearlyCost | None) -> UnitFit:
    site = study.site
    line = candidate.line(site)
    services = {
        duty.function: _service(candidate, line, duty, study)
        for duty in (study.heating, study.cooling)
        if duty is not None
    }
    heating, cooling = services.get(Function.HEATING), services.get(Function.COOLING)
    cold = None
    if study.cooling is not None and cooling is not None and cooling.lowest_c is not None:
        cold = cold_hours(study.cooling, study.years.years, cooling.lowest_c)
    inputs = [one.largest_input_w for one in (heating, cooling) if one is not None]
    return UnitFit(
        candidate=candidate,
        heating=heating,
        cooling=cooling,
        cold=cold,
        supply=_supply(candidate, site, max(inputs, default=0.0)),
        pipes=line,
        room_area=_room_area(candidate, site, line),
        cost=cost,
    )


def _service(
    candidate: Candidate, line: PipeFit | None, duty: Duty, study: Suitability
) -> ServiceFit | None:
    unit = candidate.installed(duty.function, line=line, ducts=study.site.ducts)
    if unit is None:
        return None
    heats = duty.function is Function.HEATING
    if not heats:
        duty = _with_moisture(duty, candidate, study)
    design_c = study.design_heating_c if heats else study.design_cooling_c
    return service_fit(unit, duty, study.years.years, design_c=design_c)


def _with_moisture(duty: Duty, candidate: Candidate, study: Suitability) -> Duty:
    """Load on the unit: max(total, sensible / sensible heat ratio of the unit)."""
    shares = moisture_shares(candidate, study.model)
    if shares is None:
        return duty
    factor = max(1.0, shares[0] / shares[1])
    line = replace(duty.line, slope_w_per_k=duty.line.slope_w_per_k * factor)
    return replace(duty, line=line)


def moisture_shares(candidate: Candidate, model: Model) -> tuple[float, float] | None:
    """Sensible heat ratios of the room and of the unit.

    Parameters
    ----------
    candidate
        The unit.
    model
        The room.

    Returns
    -------
    tuple of float or None
        None: one of them is not known.
    """
    room, table = model.load.sensible_heat_ratio, candidate.unit.table.cooling
    unit = None if table is None else table.sensible_heat_ratio
    return None if room is None or unit is None else (room, unit)


def _supply(candidate: Candidate, site: SiteTable, input_w: float) -> SupplyFit:
    return supply_fit(
        candidate.unit.table.supply, candidate.plate, site_supplies(site), input_w=input_w
    )


def _room_area(candidate: Candidate, site: SiteTable, line: PipeFit | None) -> RoomAreaFit:
    facts = candidate.facts
    height = facts.mounting_height
    return room_area_fit(
        facts.refrigerant,
        factory_kg=facts.charge,
        line_kg=0.0 if line is None else line.extra_charge_kg,
        height_m=site.mounting_height if height is None else height,
        room_m2=site.smallest_room,
    )
