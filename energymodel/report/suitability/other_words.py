"""Other ways and special rooms in words: ducts, panel, shared unit, now and then, glass."""

from __future__ import annotations

from collections.abc import Iterator

from energymodel.report.numbers import money
from energymodel.report.suitability.units import SiteUnits, hours, percent
from energymodel.study.suitability.suitability import Suitability
from energymodel.study.suitability.use import SpareDuct


def other_lines(result: Suitability, units: SiteUnits) -> Iterator[str]:
    """Say what stands beside the units.

    Parameters
    ----------
    result
        All of it.
    units
        Of the reader.

    Yields
    ------
    str
        One line each.
    """
    yield from _panel(result, units)
    yield from _shared(result, units)
    yield from _pull_up(result, units)
    yield from _ducts(result, units)
    if result.other.glazed:
        yield (
            "Much glass: the load is not a function of outdoor temperature alone; the sun drives"
            " it. Sizes and hours here are rougher than for other rooms."
        )
    if result.other.garage:
        yield (
            "Garage: the height of ignition sources above the floor counts, vapours and exhaust"
            " stay out of the house, and the code decides."
        )
    if result.site.kind == "server room":
        yield (
            "Server room: a temperature alarm and a second source, because heat builds up in"
            " minutes when cooling stops."
        )


def _panel(result: Suitability, units: SiteUnits) -> Iterator[str]:
    size_w = result.other.panel_w
    if size_w is None:
        return
    text = (
        f"Small room: an electric panel of {size_w / 1000.0:.1f} kW carries its heating load of"
        f" {units.show.heat_flow(size_w)}"
    )
    cost = result.panel_cost
    best = next((fit for fit in result.fits if fit.heating is not None and fit.cost), None)
    if cost is not None and cost.heating is not None:
        currency = result.model.scenario.content.currency
        text += f" for about {money(round(cost.heating, -1), currency)} a year"
        if best is not None and best.cost is not None and best.cost.heating is not None:
            heat = money(round(best.cost.heating, -1), currency)
            text += f"; {best.candidate.label} heats it for about {heat}"
    yield text + ". The panel does not cool."


def _shared(result: Suitability, units: SiteUnits) -> Iterator[str]:
    shared = result.other.shared
    if shared is None:
        return
    low, high = (units.show.heat_flow(one) for one in shared.lowest_w)
    below = [percent(one) for one in shared.below]
    band = low if shared.known else f"{low} to {high} (full output over 4 to 2.5, common practice)"
    share = below[0] if below[0] == below[1] else f"{below[0]} to {below[1]}"
    yield (
        f"{shared.heads} heads on one outdoor unit: its lowest output is {band}, and this room"
        f" alone needs less in {share} of its hours with a load: it would cycle, or serve other"
        " rooms too."
    )


def _pull_up(result: Suitability, units: SiteUnits) -> Iterator[str]:
    other, show = result.other, units.show
    if other.area_missing:
        yield "Now and then: the pull-up load needs the area of the room ([room] area)."
    pull = other.pull_up
    if pull is None:
        return
    at = result.design_heating_c
    frost = pull.frost_load_w(at)
    yield (
        f"Now and then, two loads at {show.temperature(at)}: {show.heat_flow(frost)} keeps it at"
        f" {show.temperature(pull.from_c)}, {show.heat_flow(pull.needed_w(at))} warms it to"
        f" {show.temperature(pull.line.indoor_c)} in {pull.hours:g} h (the air is warm sooner than"
        f" the walls; room type {other.mass}{', a default' if other.mass_assumed else ''})."
    )
    best = [fit for fit in result.fits if fit.heating is not None][:3]
    times = []
    for fit in best:
        heating = fit.heating
        if heating is None:
            continue
        time = pull.time_h(heating.design_output_w, at)
        word = f"{time:.1f} h" if time < 100 else "never"
        times.append(f"{fit.candidate.label} {word}")
    if times:
        yield f"Time to warm it then at full output: {', '.join(times)}."


def _ducts(result: Suitability, units: SiteUnits) -> Iterator[str]:
    for noun, ducts in (
        ("heating", result.other.ducts_heating),
        ("cooling", result.other.ducts_cooling),
    ):
        if ducts is not None:
            yield _duct_line(noun, ducts, units)
            if ducts.refused:
                return


def _duct_line(noun: str, ducts: SpareDuct, units: SiteUnits) -> str:
    if ducts.refused:
        return (
            "Ducts of the house to a garage: refused. Exhaust and vapours would reach the house"
            " (carbon monoxide); the code decides."
        )
    show = units.show
    loss = (
        f", {show.heat_flow(ducts.lost_w)} of it lost on the way"
        if ducts.efficiency is not None
        else ", duct loss not known and not counted"
    )
    carries = "carries it" if ducts.carries else "does not carry it"
    sure = "" if ducts.measured else "; measure both before it counts"
    return (
        f"Ducts of the house, {noun}: {show.heat_flow(ducts.spare_w)} to spare"
        f" ({show.heat_flow(ducts.capacity_w)} less {show.heat_flow(ducts.house_load_w)}), the room"
        f" asks for {show.heat_flow(ducts.needed_w)}{loss}: it {carries}{sure}."
    )


def spell_line(result: Suitability, units: SiteUnits) -> str:
    """Describe the cold of the site.

    Parameters
    ----------
    result
        All of it.
    units
        Of the reader.

    Returns
    -------
    str
        Years, extremes, coldest spell.
    """
    years = [year.year_label for year in result.years.years]
    named = years[0] if len(years) == 1 else f"{len(years)} years, {years[0]} first"
    spell, show = result.extremes.spell, units.show
    return (
        f"Weather: {result.model.weather.site.name}, {named}; lowest"
        f" {show.temperature(result.extremes.lowest_c)}, highest"
        f" {show.temperature(result.extremes.highest_c)}; coldest {hours(72)} from {spell.begins}"
        f" ({result.extremes.spell_year}): mean {show.temperature(spell.mean_c)}"
    )
