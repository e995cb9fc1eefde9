"""Why a unit fits or not: one sentence per check, the number first and the reason behind it."""

from __future__ import annotations

from collections.abc import Iterator

from energymodel.equipment.curves import Function
from energymodel.report.numbers import money
from energymodel.report.suitability.site_words import (
    pipe_reasons,
    room_area_reason,
    supply_reasons,
)
from energymodel.report.suitability.units import Grade, Reason, SiteUnits, energy, hours, percent
from energymodel.study.comparison.outcome import UNMET_LIMIT
from energymodel.study.suitability.capacity import ServiceFit, YearFit
from energymodel.study.suitability.hours import MOST_CYCLES_PER_HOUR, SPELL_H
from energymodel.study.suitability.suitability import Suitability, moisture_shares
from energymodel.study.suitability.units import DUCTED
from energymodel.study.suitability.verdict import COOLING_OVERSIZE, UnitFit, Verdict

_MUCH_CYCLING = 0.5
_ALIKE = 0.02


def reasons(fit: UnitFit, result: Suitability, units: SiteUnits) -> tuple[Reason, ...]:
    """Say why a unit fits or not.

    Parameters
    ----------
    fit
        The unit.
    result
        All candidates, for the site and what covers a shortfall.
    units
        Of the reader.

    Returns
    -------
    tuple of Reason
        What decides first: heat, cold spell, range, cooling, lowest output, then the site.
    """
    return tuple(_reasons(fit, result, units))


def _reasons(fit: UnitFit, result: Suitability, units: SiteUnits) -> Iterator[Reason]:
    if result.heating is not None:
        yield from _heating(fit, result, units)
    if result.cooling is not None:
        yield from _cooling(fit, result, units)
    yield from _sizes(fit, result)
    for service in (fit.heating, fit.cooling):
        if service is not None:
            yield _lowest(service)
    if fit.candidate.form == DUCTED:
        yield _ducted(result)
    if not fit.candidate.form:
        text = f'how it is built is not known: form = "ductless split" in [site.unit.{_key(fit)}]'
        yield Reason(topic="build", grade=Grade.UNKNOWN, text=text)
    yield from supply_reasons(fit.supply)
    if fit.pipes is not None:
        yield from pipe_reasons(fit.pipes, units)
    yield room_area_reason(fit.room_area, units)
    if fit.cost is not None:
        yield _cost(fit, result)


def verdict_words(fit: UnitFit) -> str:
    """Name the verdict with what limits it.

    Parameters
    ----------
    fit
        The unit.

    Returns
    -------
    str
        The verdict; of a unit that fits with gains, its share of the sheet's load too.
    """
    if fit.verdict is Verdict.GAINS and fit.heating is not None:
        share = _ratio(fit.heating.sheet_ratio)
        return f"fits with gains counted; {share} of the sheet's load"
    return fit.verdict.value


def _key(fit: UnitFit) -> str:
    return f'"{fit.candidate.key}"'


def _heating(fit: UnitFit, result: Suitability, units: SiteUnits) -> Iterator[Reason]:
    service = fit.heating
    if service is None:
        yield Reason(topic="heat", grade=Grade.BAD, text=_no_heat(result))
        return
    yield _design(service, units, "heat")
    yield _missing(service, result, units)
    if service.worst.spell is not None:
        yield _spell(service, result, units)
    yield _range(service, result, units)


def _no_heat(result: Suitability) -> str:
    text = "0 % of the heating load"
    if result.heating is not None:
        load_kwh = float(result.heating.load_w(result.model.weather).sum()) / 1000.0
        text += f": {energy(load_kwh)} a year stay with other heat"
    cost = result.panel_cost
    if cost is not None and cost.heating is not None:
        currency = result.model.scenario.content.currency
        text += f", about {money(round(cost.heating, -1), currency)} by electric resistance"
    return text


def _design(service: ServiceFit, units: SiteUnits, topic: str) -> Reason:
    output, load = units.heat_pair(service.design_output_w, service.design_load_w)
    at = units.show.temperature(service.design_c)
    if service.design_load_w <= 0:
        text = f"no {_noun(service)} load at {at}"
        return Reason(topic=topic, grade=Grade.NOTE, text=text)
    text = f"{_ratio(service.size_ratio)} of the load at {at}: gives {output}, load {load}"
    if service.has_sheet:
        sheet, _ = units.heat_pair(service.sheet_load_w, 0.0)
        text += f" with gains; {_ratio(service.sheet_ratio)} of the sheet's {sheet}"
    if 0 < service.design_on < 1:
        text += " (near its lowest temperature its controls let it run half of the time)"
    if service.design_on == 0:
        text += " (it stands still there)"
    enough = Grade.NOTE if service.below_sheet else Grade.GOOD
    grade = Grade.BAD if service.short_at_design else enough
    return Reason(topic=topic, grade=grade, text=text)


def _ratio(value: float) -> str:
    return f"{100.0 * value:.0f} %"


def _noun(service: ServiceFit) -> str:
    return service.function.value


def _missing(service: ServiceFit, result: Suitability, units: SiteUnits) -> Reason:
    worst = service.worst
    where = _year(worst, service)
    topic = "heat" if service.function is Function.HEATING else "cooling"
    if not worst.short.hours:
        text = f"0 h short in {where}"
        return Reason(topic=topic, grade=Grade.GOOD, text=text)
    text = (
        f"{hours(worst.short.hours)} short in {where}, {energy(worst.short.energy_kwh)} or"
        f" {percent(worst.short.share)} of the {_load_noun(service)}; longest run"
        f" {hours(worst.short.longest_run_h)}"
    )
    if service.function is Function.HEATING:
        text += f"; {_cover(service, result, units)}"
    small = worst.short.share <= UNMET_LIMIT
    return Reason(topic=topic, grade=Grade.NOTE if small else Grade.BAD, text=text)


def _load_noun(service: ServiceFit) -> str:
    return "heat" if service.function is Function.HEATING else "cooling"


def _year(year: YearFit, service: ServiceFit) -> str:
    label = "the typical year" if year.kind == "typical" else year.label
    if len(service.years) == 1:
        return label
    return f"{label}, the worst of {len(service.years)} years"


def _cover(service: ServiceFit, result: Suitability, units: SiteUnits) -> str:
    size = units.show.heat_flow(service.cover_w)
    stays = next(
        (one.name for one in result.model.scenario.content.option if one.present and one.heating),
        "",
    )
    watts = f"{service.cover_w / 1000.0:.1f} kW electric heater"
    gap_w = service.sheet_load_w - service.design_output_w
    by_sheet = f" ({gap_w / 1000.0:.1f} kW by the sheet's load)" if service.has_sheet else ""
    cover = f"a {watts} covers it" if units.us else f"{size} of other heat covers it"
    cover += by_sheet if gap_w > service.cover_w else ""
    return cover + (f", or {stays}, if it stays" if stays else "")


def _spell(service: ServiceFit, result: Suitability, units: SiteUnits) -> Reason:
    year = max(
        service.years,
        key=lambda one: (
            0.0 if one.spell_short is None else one.spell_short.energy_kwh,
            0.0 if one.spell is None else -one.spell.mean_c,
        ),
    )
    spell, short = year.spell, year.spell_short
    if spell is None or short is None:
        return Reason(topic="cold spell", grade=Grade.UNKNOWN, text="no coldest spell")
    text = f"{hours(short.hours)} short in the coldest {SPELL_H} h"
    if len(service.years) > 1:
        text += f" ({year.label}, from {spell.begins}, mean {units.show.temperature(spell.mean_c)})"
    if short.hours:
        text += f", {energy(short.energy_kwh)}, longest run {hours(short.longest_run_h)}"
    if year.colder_short is not None and result.years.only_typical:
        colder = "5 °F" if units.us else "3 K"
        text += f" ({hours(year.colder_short.hours)} if they were {colder} colder)"
    return Reason(topic="cold spell", grade=Grade.NOTE if short.hours else Grade.GOOD, text=text)


def _range(service: ServiceFit, result: Suitability, units: SiteUnits) -> Reason:
    show, noun = units.show, _noun(service)
    if service.lowest_c is None:
        text = f"lowest {noun} temperature not known: see its manual"
        return Reason(topic="operating range", grade=Grade.UNKNOWN, text=text)
    limit, site = show.temperature(service.lowest_c), show.temperature(result.extremes.lowest_c)
    verb = "heats" if service.function is Function.HEATING else "cools"
    if service.function is Function.COOLING:
        text = f"{hours(service.below_h)} with a cooling load at or below {limit}, where it stops"
        if service.below_h:
            share = max(year.below_kwh / max(year.short.load_kwh, 1e-9) for year in service.years)
            text += f" ({percent(share)} of the cooling)"
    else:
        text = (
            f"{hours(service.below_h)} with a load at or below {limit}, where it stops; the site's"
            f" lowest is {site}"
        )
    if service.highest_c is not None and (service.above_h or not service.below_h):
        high = show.temperature(service.highest_c)
        top = show.temperature(result.extremes.highest_c)
        text += f"; {hours(service.above_h)} above {high}, up to which it {verb} (highest {top})"
    bad = service.below_h + service.above_h > 0
    return Reason(topic="operating range", grade=Grade.BAD if bad else Grade.GOOD, text=text)


def _cooling(fit: UnitFit, result: Suitability, units: SiteUnits) -> Iterator[Reason]:
    service = fit.cooling
    if service is None:
        yield Reason(topic="cooling", grade=Grade.BAD, text="no cooling from it")
        return
    yield _design(service, units, "cooling")
    if service.worst.short.hours:
        yield _missing_cooling(service)
    yield _range(service, result, units)


def _missing_cooling(service: ServiceFit) -> Reason:
    worst = service.worst
    text = (
        f"{hours(worst.short.hours)} short in {_year(worst, service)},"
        f" {energy(worst.short.energy_kwh)} or {percent(worst.short.share)} of the cooling; longest"
        f" run {hours(worst.short.longest_run_h)}"
    )
    small = worst.short.share <= UNMET_LIMIT
    return Reason(topic="cooling", grade=Grade.NOTE if small else Grade.BAD, text=text)


def _sizes(fit: UnitFit, result: Suitability) -> Iterator[Reason]:
    if fit.verdict is Verdict.LARGER:
        yield Reason(topic="size", grade=Grade.BAD, text=_larger(fit, result))
    cooling = fit.cooling
    shares = moisture_shares(fit.candidate, result.model)
    if cooling is not None and shares is not None and shares[0] < shares[1]:
        text = (
            f"{100.0 * (1.0 - shares[1]):.0f} % of its cooling removes moisture, the load asks for"
            f" {100.0 * (1.0 - shares[0]):.0f} %: the room stays damper than wanted"
        )
        yield Reason(topic="moisture", grade=Grade.NOTE, text=text)
    if cooling is None or cooling.design_load_w <= 0 or cooling.size_ratio <= COOLING_OVERSIZE:
        return
    lowest = cooling.design_lowest_w / cooling.design_load_w
    means = (
        "it cycles all summer and removes little moisture"
        if lowest > 1
        else f"it slows down to {lowest:.1f} times, and removes less moisture in mild, humid hours"
    )
    text = (
        f"{cooling.size_ratio:.1f} times the design cooling load at full output: {means} (usual"
        f" limit {COOLING_OVERSIZE:g} times for a heat pump, older Manual S, quoted)"
    )
    yield Reason(topic="moisture", grade=Grade.NOTE, text=text)


def too_large(fit: UnitFit) -> str:
    """Say how much too large a unit is at its lowest output.

    Parameters
    ----------
    fit
        The unit.

    Returns
    -------
    str
        Lowest output over each design load.
    """
    ratios = " and ".join(
        f"{one.design_lowest_w / one.design_load_w:.1f} times the design {one.function.value} load"
        for one in fit.services
        if one.design_load_w > 0
    )
    return f"{ratios} at its lowest output"


def _larger(fit: UnitFit, result: Suitability) -> str:
    smaller = next((one for one in result.fits if one.candidate.key == fit.smaller), None)
    alike = smaller is not None and fit.cycling_share < smaller.cycling_share + _ALIKE
    if smaller is not None and not alike:
        return (
            f"{percent(fit.cycling_share)} of its hours with a load lie below its lowest output,"
            f" {percent(smaller.cycling_share)} with {fit.smaller} of the same build, which carries"
            f" the same loads{_with_gains(smaller)}"
        )
    if smaller is not None:
        same = f"the same{_with_gains(smaller)}"
        return f"{too_large(fit)}; {fit.smaller} of the same build carries {same}"
    return f"{too_large(fit)}: it cycles in every season"


def _with_gains(fit: UnitFit) -> str:
    return " with gains counted" if fit.verdict is Verdict.GAINS else ""


def _lowest(service: ServiceFit) -> Reason:
    cycling = service.cycling
    season = _noun(service)
    text = (
        f"{percent(cycling.share)} of the {season} hours ({hours(cycling.hours)} of"
        f" {cycling.loaded_h:,}, {percent(cycling.energy_share)} of the {_load_noun(service)}) need"
        " less than its lowest output"
    )
    if cycling.hours:
        text += f": about {cycling.per_hour:.1f} starts an hour then (common practice)"
    much = cycling.share > _MUCH_CYCLING
    return Reason(topic="lowest output", grade=Grade.NOTE if much else Grade.GOOD, text=text)


def _ducted(result: Suitability) -> Reason:
    ducts = result.site.ducts
    counted = ducts is not None and (ducts.place is not None or ducts.efficiency is not None)
    text = "needs ducts of its own to the room; " + (
        "their loss is counted" if counted else "their loss is not counted ([site.ducts] place)"
    )
    if result.other.garage:
        text += "; a garage shares none with the house"
    return Reason(topic="build", grade=Grade.NOTE, text=text)


def _cost(fit: UnitFit, result: Suitability) -> Reason:
    currency = result.model.scenario.content.currency
    text = f"{money(0.0 if fit.cost is None else fit.cost.total, currency)} a year"
    if result.heating is not None and (fit.heating is None or fit.heating.worst.short.hours):
        text += ", electric resistance for the heat it does not give included"
    if fit.cooling is not None and not fit.cooling.carries:
        text += "; what it does not cool is not priced"
    return Reason(topic="cost", grade=Grade.NOTE, text=text)


CYCLING_NOTE = (
    f"Starts per hour: N = 4 Nmax x (1 - x) with Nmax = {MOST_CYCLES_PER_HOUR:g} and x = load over"
    " lowest output (common practice)."
)
GAINS_NOTE = (
    "Two heating loads: the sheet's is the heat loss of a night without sun; with gains counted"
    " (sun, people, appliances) less is left, and the hours of the year are run with that."
)
