"""Site checks in words: supply, refrigerant lines, charge against the room."""

from __future__ import annotations

from collections.abc import Iterator

from energymodel.report.suitability.units import Grade, Reason, SiteUnits, percent
from energymodel.study.suitability.pipes import (
    USUAL_CHARGED_FOR_M,
    USUAL_LINE_CHARGE_KG_PER_M,
    WALL_OPENING_M,
    PipeFit,
)
from energymodel.study.suitability.room_area import RoomAreaFit
from energymodel.study.suitability.supply import CORD_SHARE, SupplyFit

_ASK = "ask a licensed electrician"
_OPENING = f"{1000.0 * WALL_OPENING_M:.0f} mm (3 in)"


def supply_reasons(fit: SupplyFit) -> Iterator[Reason]:
    """Say what the supply means; flags only, never an approval.

    Parameters
    ----------
    fit
        Numbers.

    Yields
    ------
    Reason
        Topic "supply".
    """
    yield _voltage(fit)
    yield _plate(fit)
    if fit.above_plate and fit.plate_w is not None:
        yield Reason(
            topic="supply",
            grade=Grade.ASK,
            text=f"{fit.input_w:,.0f} W of input in the model is above the plate's"
            f" {fit.plate_w:,.0f} W ({fit.found_v:g} V x {fit.ampacity_a:g} A): {_ASK}, and check"
            " the table of the unit",
        )
    if fit.above_cord and fit.cord_w is not None:
        yield Reason(
            topic="supply",
            grade=Grade.ASK,
            text=f"{fit.input_w:,.0f} W by cord and plug is above {fit.cord_w:,.0f} W,"
            f" {CORD_SHARE:.0%} of the circuit (common practice): {_ASK}".replace("0%", "0 %"),
        )


def _voltage(fit: SupplyFit) -> Reason:
    if not fit.asked:
        text = "supply of this unit not known: copy it from the plate"
        return Reason(topic="supply", grade=Grade.UNKNOWN, text=text)
    source = "plate" if fit.from_plate else "usual for this size"
    if fit.missing:
        text = (
            f"needs {fit.asked} ({source}), the site has {' and '.join(fit.site)}: {_ASK} about"
            " another circuit"
        )
        return Reason(topic="supply", grade=Grade.ASK, text=text)
    if not fit.site:
        return Reason(
            topic="supply",
            grade=Grade.UNKNOWN,
            text=f"needs {fit.asked} ({source}); the site's supply was not given",
        )
    text = (
        f"{fit.found_v:g} V of the site ({', '.join(fit.site)}) is within 10 % of the {fit.asked}"
        f" that it asks for ({source})"
    )
    return Reason(topic="supply", grade=Grade.GOOD, text=text)


def _plate(fit: SupplyFit) -> Reason:
    if fit.ampacity_a is None and fit.breaker_a is None:
        text = (
            f"circuit ampacity and breaker not known: copy them from the plate (the model finds an"
            f" input of {fit.input_w:,.0f} W at most)"
        )
        return Reason(topic="supply", grade=Grade.UNKNOWN, text=text)
    parts = [
        f"{noun} {value:g} A"
        for noun, value in (("circuit ampacity", fit.ampacity_a), ("breaker", fit.breaker_a))
        if value is not None
    ]
    text = f"plate as printed: {', '.join(parts)}; circuit and breaker are for an electrician"
    return Reason(topic="supply", grade=Grade.NOTE, text=text)


def pipe_reasons(fit: PipeFit, units: SiteUnits) -> Iterator[Reason]:
    """Say what the refrigerant lines mean.

    Parameters
    ----------
    fit
        Numbers.
    units
        Of the reader.

    Yields
    ------
    Reason
        Topic "lines".
    """
    if fit.equivalent_m is None:
        yield Reason(
            topic="lines",
            grade=Grade.UNKNOWN,
            text="length of the line not given ([site] line_length): no loss counted, no limit"
            f" checked; a wall opening of about {_OPENING} is usual",
        )
        return
    yield from _limits(fit, units)
    yield _loss(fit, units)
    yield _charge(fit, units)


def _limits(fit: PipeFit, units: SiteUnits) -> Iterator[Reason]:
    facts, length = fit.facts, fit.equivalent_m or 0.0
    pairs = (
        (fit.too_long, length, facts.longest_m, "longer", "of line (equivalent)"),
        (fit.too_high, fit.height_m or 0.0, facts.largest_height_m, "more", "between the units"),
        (fit.too_short, fit.length_m or 0.0, facts.shortest_m, "shorter", "of line"),
    )
    for broken, value, limit, word, noun in pairs:
        if broken and limit is not None:
            text = f"{units.length(value)} {noun} is {word} than its manual's {units.length(limit)}"
            yield Reason(topic="lines", grade=Grade.BAD, text=text)
    if fit.breaks_a_limit:
        return
    if facts.longest_m is not None:
        text = f"{units.length(length)} of line, its manual allows {units.length(facts.longest_m)}"
        if fit.height_m is not None and facts.largest_height_m is not None:
            text += (
                f"; {units.length(fit.height_m)} of height, allowed"
                f" {units.length(facts.largest_height_m)}"
            )
        yield Reason(topic="lines", grade=Grade.GOOD, text=text)
    else:
        yield _unknown_limit(fit, units)


def _unknown_limit(fit: PipeFit, units: SiteUnits) -> Reason:
    length = units.length(fit.equivalent_m or 0.0)
    text = f"{length} of line: its largest length is not known, see its manual"
    usual = fit.usual.length_m
    if usual is not None:
        low, high = (units.length(one) for one in usual)
        band = low if low == high else f"{low} to {high}"
        where = "beyond all" if fit.beyond_usual else "manuals"
        text += (
            f"; it is beyond the {band} of every manual of this size that was seen"
            if where == "beyond all"
            else f" (manuals of this size: {band}, published)"
        )
    return Reason(topic="lines", grade=Grade.ASK if fit.beyond_usual else Grade.UNKNOWN, text=text)


def _loss(fit: PipeFit, units: SiteUnits) -> Reason:
    if fit.beyond_table or fit.heating_factor is None or fit.cooling_factor is None:
        text = f"{fit.beyond_table}: use the maker's table; no loss is counted"
        return Reason(topic="lines", grade=Grade.BAD, text=text)
    heating, cooling = 1.0 - fit.heating_factor, 1.0 - fit.cooling_factor
    height = "level" if not fit.height_m else f"{units.length(fit.height_m)} of height"
    if fit.height_m is None:
        height = "height not given"
    if max(heating, cooling) < 5e-5:
        text = f"no capacity lost to {units.length(fit.equivalent_m or 0.0)} of line, {height}"
        return Reason(topic="lines", grade=Grade.GOOD, text=text)
    text = (
        f"{percent(heating)} of the heat and {percent(cooling)} of the cooling output lost to"
        f" {units.length(fit.equivalent_m or 0.0)} of line, {height}: counted"
    )
    return Reason(topic="lines", grade=Grade.NOTE, text=text)


def _charge(fit: PipeFit, units: SiteUnits) -> Reason:
    if fit.extra_charge_kg is not None:
        text = f"{units.mass(fit.extra_charge_kg)} of charge to add for the line"
        if fit.extra_charge_kg == 0:
            text = "no charge to add: the line is within what the factory charge is for"
        text += f"; wall opening about {_OPENING}"
        return Reason(topic="lines", grade=Grade.NOTE, text=text)
    usual = units.length(USUAL_CHARGED_FOR_M)
    low, high = USUAL_LINE_CHARGE_KG_PER_M
    band = "0.16 to 0.21 oz/ft" if units.us else f"{1000.0 * low:.0f} to {1000.0 * high:.0f} g/m"
    text = (
        f"charge to add for the line not known (plates: charged for {usual}, then {band} with a"
        f" 1/4 in liquid line); wall opening about {_OPENING}"
    )
    return Reason(topic="lines", grade=Grade.UNKNOWN, text=text)


def room_area_reason(fit: RoomAreaFit, units: SiteUnits) -> Reason:
    """Say what the charge means for the room; a flag, never an approval.

    Parameters
    ----------
    fit
        Numbers.
    units
        Of the reader.

    Returns
    -------
    Reason
        Topic "refrigerant".
    """
    if not fit.refrigerant or fit.factory_kg is None or fit.charge_kg is None:
        text = "refrigerant and charge not known: copy them from the plate for the room-area check"
        return Reason(topic="refrigerant", grade=Grade.UNKNOWN, text=text)
    charge = f"{units.mass(fit.charge_kg)} of {fit.refrigerant}"
    charge += " with the line" if fit.line_kg is not None else " without what the line adds"
    if fit.safety_class == "A1":
        text = f"{charge}: not flammable (class A1), no room area by this formula"
        return Reason(topic="refrigerant", grade=Grade.NOTE, text=text)
    if fit.free_kg is None:
        text = f"{charge}: no lower flammability limit at hand; the unit's listing decides"
        return Reason(topic="refrigerant", grade=Grade.ASK, text=text)
    return _flammable(fit, charge, units)


def _flammable(fit: RoomAreaFit, charge: str, units: SiteUnits) -> Reason:
    free = units.mass(fit.free_kg or 0.0)
    if fit.above is False and fit.charge_kg is not None and fit.charge_kg <= (fit.free_kg or 0.0):
        text = f"{charge} is within the {free} that no room area is asked for; this is no approval"
        return Reason(topic="refrigerant", grade=Grade.NOTE, text=text)
    if fit.room_m2 is None or fit.height_m is None or fit.most_kg is None or fit.least_m2 is None:
        missing = " and ".join(
            name
            for name, value in (("smallest_room", fit.room_m2), ("mounting_height", fit.height_m))
            if value is None
        )
        missing = missing or "the charge of the line"
        text = f"{charge} against a free charge of {free}: give {missing}"
        return Reason(topic="refrigerant", grade=Grade.UNKNOWN, text=text)
    height = units.length(fit.height_m)
    room = units.area(fit.room_m2)
    if fit.above:
        text = (
            f"{charge} mounted at {height} asks for a room of {units.area(fit.least_m2)}, the"
            f" smallest connected room has {room} (at most {units.mass(fit.most_kg)}): not this"
            " unit in this room without the measures of its listing"
        )
        return Reason(topic="refrigerant", grade=Grade.BAD, text=text)
    if fit.above is None:
        text = (
            f"{charge} stays below the {units.mass(fit.most_kg)} of a room of {room} at {height};"
            " the charge of the line decides"
        )
        return Reason(topic="refrigerant", grade=Grade.UNKNOWN, text=text)
    text = (
        f"{charge} mounted at {height} asks for {units.area(fit.least_m2)}, the smallest connected"
        f" room has {room}: no flag, which is no approval"
    )
    return Reason(topic="refrigerant", grade=Grade.NOTE, text=text)
