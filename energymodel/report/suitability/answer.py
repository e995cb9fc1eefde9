"""The answer of a suitability study in a few lines: size, version, what is not known."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from energymodel.report.numbers import money
from energymodel.report.suitability.other_words import other_lines
from energymodel.report.suitability.units import Grade, SiteUnits, energy, hours, percent
from energymodel.report.suitability.words import reasons, too_large
from energymodel.study.suitability.capacity import TOO_MILD_K, ServiceFit
from energymodel.study.suitability.suitability import Suitability
from energymodel.study.suitability.verdict import UnitFit, Verdict

_MOST_NAMED = 4
_AGAINST = (Grade.BAD, Grade.ASK)


def answer_lines(result: Suitability, units: SiteUnits) -> list[str]:
    """Answer which size and which version fits.

    Parameters
    ----------
    result
        All candidates.
    units
        Of the reader.

    Returns
    -------
    list of str
        One statement a line: what fits, size, version for heating and for cooling, other ways,
        what is not known.
    """
    return [
        *_fitting(result, units),
        *_size(result, units),
        *_heating_version(result, units),
        *_cooling_version(result, units),
        *other_lines(result, units),
        *_not_known(result),
    ]


def _fitting(result: Suitability, units: SiteUnits) -> Iterator[str]:
    if result.suited:
        yield from _suited(result, units)
    elif result.leaders:
        yield from _nearest(result.leaders[0], result, units)
    else:
        first = result.fits[0]
        against = [one.text for one in reasons(first, result, units) if one.grade is Grade.BAD]
        why = f", but: {against[0]}" if against else ""
        yield f"No unit of the list fits. First in the order: {first.candidate.label}{why}."


def _suited(result: Suitability, units: SiteUnits) -> Iterator[str]:
    named = result.suited[:_MOST_NAMED]
    more = len(result.suited) - len(named)
    tail = f"; and {more} more" if more else ""
    groups = [
        (words, [_named(fit, result, units) for fit in named if fit.verdict is verdict])
        for words, verdict in (
            ("Fits", Verdict.FITS),
            ("Fits with gains counted (at night there is no sun)", Verdict.GAINS),
        )
    ]
    lines = [f"{words}: {', or '.join(names)}" for words, names in groups if names]
    lines[-1] += tail
    yield from (f"{line}." for line in lines)


def _nearest(best: UnitFit, result: Suitability, units: SiteUnits) -> Iterator[str]:
    """Name the first of the list where none fits, and what carries the load all the same."""
    if best.verdict is Verdict.BEYOND:
        yield (
            f"Nearest: {_named(best, result, units)}. It carries the design loads and is short in"
            f" {_beyond(best)}. {_alone(result)}."
        )
        return
    yield from _with_backup(best, result, units)


def _beyond(fit: UnitFit) -> str:
    """Hours that lie beyond the design loads, of each service that is short in them."""
    return " and in ".join(
        f"{hours(one.worst.short.hours)} of the year ({energy(one.worst.short.energy_kwh)},"
        f" {percent(one.worst.short.share)} of the {one.function.value})"
        for one in fit.services
        if not one.carries
    )


def _alone(result: Suitability) -> str:
    """Say whether a unit of the list carries every load, and why it is not named first."""
    served = sum(duty is not None for duty in (result.heating, result.cooling))
    alone = [
        fit
        for fit in result.fits
        if len(fit.services) == served and all(one.carries for one in fit.services)
    ]
    if not alone:
        return "No unit of the list carries the load alone"
    first = alone[0]
    more = f", as do {len(alone) - 1} more" if len(alone) > 1 else ""
    why = f" ({too_large(first)})" if first.verdict is Verdict.LARGER else ""
    return (
        f"{first.candidate.label} carries the load alone{more}, but is judged:"
        f" {first.verdict.value}{why}"
    )


def _with_backup(best: UnitFit, result: Suitability, units: SiteUnits) -> Iterator[str]:
    heating = best.heating
    if heating is None:
        return
    short = heating.worst.short
    yield (
        f"With backup heat: {best.candidate.label}. {_alone(result)};"
        f" {best.candidate.label} gives {percent(1.0 - short.share)} of the heat and is short"
        f" {hours(short.hours)}, {energy(short.energy_kwh)};"
        f" the backup then gives at most {heating.cover_w / 1000.0:.1f} kW."
    )
    sizes = [
        (units.size(fit.candidate.class_w), fit.heating.worst.short.energy_kwh)
        for fit in sorted(result.fits, key=lambda one: one.candidate.class_w or 0.0)
        if fit is not best and fit.heating is not None and _limits(fit) == _limits(best)
    ]
    if sizes:
        shown = ", ".join(f"{size} {energy(kwh)}" for size, kwh in sizes)
        yield f"Other sizes of this build miss as heat: {shown}."


def _named(fit: UnitFit, result: Suitability, units: SiteUnits) -> str:
    main = fit.heating or fit.cooling
    parts = []
    if main is not None and main.design_load_w > 0:
        share = f"{100.0 * main.size_ratio:.0f} %"
        part = f"{share} of the {main.function.value} load at"
        part += f" {units.show.temperature(main.design_c)}"
        if main.has_sheet:
            sheet = units.show.heat_flow(main.sheet_load_w)
            part += f" with gains, {100.0 * main.sheet_ratio:.0f} % of the sheet's {sheet}"
        parts.append(part)
    if fit.cost is not None:
        currency = result.model.scenario.content.currency
        parts.append(f"about {money(round(fit.cost.total, -1), currency)} a year")
    return f"{fit.candidate.label} ({', '.join(parts)})" if parts else fit.candidate.label


def _size(result: Suitability, units: SiteUnits) -> Iterator[str]:
    """Say why the next size down does not do, for each fitting unit."""
    said = []
    for fit in result.suited[:_MOST_NAMED]:
        below = _next_below(fit, result.fits)
        if below is None:
            continue
        said.append(
            f"{units.size(fit.candidate.class_w)} for {fit.candidate.label}, because"
            f" {below.candidate.label} {_why(below, result, units)}"
        )
    larger = [fit for fit in result.fits if fit.verdict is Verdict.LARGER]
    if said:
        yield "Size: " + "; ".join(said) + "."
    best = result.leaders[0] if result.leaders else None
    larger = [fit for fit in larger if best is not None and fit.smaller == best.candidate.key]
    if larger and best is not None:
        worst = max(larger, key=lambda fit: fit.cycling_share)
        yield (
            f"Larger ones gain nothing: {worst.candidate.label} would run below its lowest output"
            f" in {percent(worst.cycling_share)} of the hours with a load,"
            f" {best.candidate.label} in {percent(best.cycling_share)}."
        )


def _next_below(fit: UnitFit, fits: Sequence[UnitFit]) -> UnitFit | None:
    size = fit.candidate.class_w
    smaller = [
        one
        for one in fits
        if size is not None
        and one.candidate.class_w is not None
        and one.candidate.class_w < size
        and _limits(one) == _limits(fit)
        and one.candidate.form == fit.candidate.form
    ]
    return max(smaller, key=lambda one: one.candidate.class_w or 0.0, default=None)


def _limits(fit: UnitFit) -> tuple[float | None, float | None]:
    pair = (fit.heating, fit.cooling)
    first, second = (None if one is None else one.lowest_c for one in pair)
    return first, second


def _why(fit: UnitFit, result: Suitability, units: SiteUnits) -> str:
    for service in (fit.heating, fit.cooling):
        if service is not None and not service.carries:
            short = service.worst.short
            share = f", {percent(short.share)} of the {service.function.value}"
            gains = " with gains" if service.has_sheet else ""
            return (
                f"gives {100.0 * service.size_ratio:.0f} % of the {service.function.value} load at"
                f" {units.show.temperature(service.design_c)}{gains} and is short"
                f" {hours(short.hours)}"
                f" ({energy(short.energy_kwh)}{share}) in the year"
            )
    against = [one.text for one in reasons(fit, result, units) if one.grade in _AGAINST]
    return f"is ruled out: {against[0]}" if against else f"is ruled out: {fit.verdict.value}"


def _heating_version(result: Suitability, units: SiteUnits) -> Iterator[str]:
    services = [fit.heating for fit in result.fits if fit.heating is not None]
    counted = _counted(services)
    if not counted:
        return
    show = units.show
    text = (
        f"Version for heating: {_limits_text(counted, units)} with a load; the site's lowest is"
        f" {show.temperature(result.extremes.lowest_c)}."
    )
    enough = [limit for limit, count in counted if count == 0]
    if not enough:
        yield text + " Every version stops here at times: other heat must stay."
    else:
        margin_k = result.extremes.lowest_c - enough[0]
        text += f" A version that heats to {show.temperature(enough[0])} never stops in these hours"
        if result.years.only_typical and margin_k < TOO_MILD_K:
            text += ", but real cold nights go below those of a typical year"
            colder = [one for one in enough if result.extremes.lowest_c - one >= TOO_MILD_K]
            if colder:
                text += f": take one that heats to {show.temperature(colder[0])} or lower"
        yield text + "."
    yield from _version_output(result, units)


def _counted(services: Sequence[ServiceFit]) -> list[tuple[float, int]]:
    """Each lowest operating temperature, the mildest first, with the hours at or below it."""
    limits = {one.lowest_c for one in services if one.lowest_c is not None}
    return [(limit, max(_below(services, limit))) for limit in sorted(limits, reverse=True)]


def _limits_text(counted: Sequence[tuple[float, int]], units: SiteUnits) -> str:
    """Hours at or below each limit, those without hours together."""
    show = units.show
    parts = [
        f"{hours(count)} at or below {show.temperature(limit)}" for limit, count in counted if count
    ]
    zero = [show.temperature(limit) for limit, count in counted if not count]
    if zero:
        named = f"{', '.join(zero[:-1])} and {zero[-1]}" if len(zero) > 1 else zero[0]
        parts.append(f"0 h at or below {named}")
    return ", ".join(parts)


def _below(services: Sequence[ServiceFit], limit_c: float) -> list[int]:
    return [one.below_h for one in services if one.lowest_c == limit_c]


def _version_output(result: Suitability, units: SiteUnits) -> Iterator[str]:
    """Hold two versions of the smallest fitting size against each other."""
    sized = [
        fit
        for fit in result.leaders
        if fit.candidate.class_w is not None and fit.heating is not None
    ]
    best = min(sized, key=lambda fit: fit.candidate.class_w or 0.0, default=None)
    if best is None or best.heating is None:
        return
    others = [
        (fit, fit.heating)
        for fit in result.fits
        if fit.heating is not None
        and fit.candidate.class_w == best.candidate.class_w
        and fit.candidate.form == best.candidate.form
        and fit.heating.lowest_c != best.heating.lowest_c
    ]
    for other, heating in others[:1]:
        own, theirs = best.heating, heating
        at = units.show.temperature(own.design_c)
        gains = " with gains" if own.has_sheet else ""
        decides = own.carries != theirs.carries or not own.carries
        yield (
            f"In the {units.size(best.candidate.class_w)} the version"
            f" {'decides' if decides else 'does not decide'}: {best.candidate.label} gives"
            f" {100.0 * own.size_ratio:.0f} % of the load at {at}{gains} and misses"
            f" {energy(own.worst.short.energy_kwh)} a year, {other.candidate.label}"
            f" {100.0 * theirs.size_ratio:.0f} % and {energy(theirs.worst.short.energy_kwh)}."
        )


def _cooling_version(result: Suitability, units: SiteUnits) -> Iterator[str]:
    counted = _counted([fit.cooling for fit in result.fits if fit.cooling is not None])
    if not counted:
        return
    show = units.show
    text = f"Version for cooling: {_limits_text(counted, units)} with a cooling load."
    if counted[0][1] == 0:
        yield text + " The standard version is enough."
        return
    enough = [limit for limit, count in counted if count == 0]
    if enough:
        yield text + f" It takes a version that cools to {show.temperature(enough[0])}."
        return
    lowest_c = counted[-1][0]
    rest = [one for one in result.cold_cooling if one.limit_c < lowest_c]
    text += " None of them cools through this cold: it takes a low-ambient version or another way"
    if any(one.hours for one in rest):
        pairs = [(one.limit_c, one.hours) for one in rest]
        text += f" ({_limits_text(pairs, units)})"
    yield text + "."


def _not_known(result: Suitability) -> Iterator[str]:
    missing = []
    fits = result.fits
    if all(fit.supply.ampacity_a is None and fit.supply.breaker_a is None for fit in fits):
        missing.append("circuit ampacity and breaker")
    if all(not fit.room_area.refrigerant for fit in fits):
        missing.append("refrigerant and charge")
    if all(fit.pipes is None or fit.pipes.facts.longest_m is None for fit in fits):
        missing.append("largest line")
    if missing:
        yield (
            f"Not known of any unit: {', '.join(missing)}. Copy them from plate and manual into"
            " [site.unit.KEY]; nothing of it is guessed."
        )
    site = result.site
    absent = [
        name
        for name, value in (
            ("supply", site.supply or site.country),
            ("line_length", site.line_length),
            ("mounting_height", site.mounting_height),
            ("smallest_room", site.smallest_room),
        )
        if not value
    ]
    if absent:
        yield f"Not given in [site]: {', '.join(absent)}."
