"""Page one of the hand-out: the room, cost in a year, prices, what it costs to buy."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from energymodel.report.handout.formats import NO_BREAK
from energymodel.report.handout.sheet import (
    MARK,
    NAME_LENGTH,
    SHORT_LENGTH,
    TEXT_LENGTH,
    Sheet,
    shortened,
)
from energymodel.scenario.heating_schema import HeatingLoad
from energymodel.scenario.prices import ELECTRICITY, CarrierPrice, carrier_of
from energymodel.scenario.schema import Price
from energymodel.study.uncertainty.inputs import Kind, UncertainInput

Part = dict[str, Any]


def room(sheet: Sheet) -> list[list[str]]:
    """Return the room and its load.

    Parameters
    ----------
    sheet
        The page.

    Returns
    -------
    list of [str, str]
        Label and text.
    """
    words, handout = sheet.words, sheet.content.handout
    rows = [
        ("name", _room_name(sheet)),
        ("serves", shortened(handout.serves, TEXT_LENGTH)),
        ("serves", _zones(sheet)),
        ("set_points", _set_points(sheet)),
        ("heating", _heating(sheet)),
        ("cooling", _cooling(sheet)),
        ("found", shortened(handout.load_source, TEXT_LENGTH) or _found(sheet)),
        ("weather", _weather(sheet)),
    ]
    return [[words.say(f"room.{key}"), text] for key, text in rows if text]


def _room_name(sheet: Sheet) -> str:
    table = sheet.content.room
    area = sheet.figures.area(table.area) if table.area else ""
    name = shortened(table.name, NAME_LENGTH)
    known = not area or any(letter.isdigit() for letter in name)
    return name if known and name else ", ".join(part for part in (name, area) if part)


def _zones(sheet: Sheet) -> str:
    parts = []
    for outcome in sheet.shown:
        zone = getattr(outcome.planned.table.heating, "zone", None)
        if zone is not None:
            share = sheet.figures.formats.percent(zone.share)
            name = shortened(outcome.name, NAME_LENGTH)
            parts.append(sheet.words.say("room.serves_zone", option=name, share=share))
    return shortened("; ".join(parts), TEXT_LENGTH)


def _set_points(sheet: Sheet) -> str:
    indoor, show = sheet.content.room.indoor, sheet.figures
    return sheet.words.say(
        "room.set_points_text",
        heating=show.temperature(indoor.heating),
        cooling=show.temperature(indoor.cooling),
    )


def _heating(sheet: Sheet) -> str:
    line, table = sheet.comparison.model.load.heating, sheet.content.room.heating
    if line is None or table is None:
        return ""
    at_c, key = table.design_temperature, "heating_text"
    if at_c is None:
        at_c, key = float(sheet.comparison.model.weather.outdoor_c.min()), "heating_no_design"
    return sheet.words.say(
        f"room.{key}",
        load=sheet.figures.heat(line.slope_w_per_k * max(line.balance_c - at_c, 0.0)),
        temperature=sheet.figures.temperature(at_c),
        balance=sheet.figures.temperature(line.balance_c),
    )


def _cooling(sheet: Sheet) -> str:
    line, table = sheet.comparison.model.load.cooling, sheet.content.room.cooling
    if line is None or table is None:
        return ""
    at_c = table.design_temperature
    hottest_c = float(sheet.comparison.model.weather.outdoor_c.max()) if at_c is None else at_c
    return sheet.words.say(
        "room.cooling_text",
        load=sheet.figures.heat(line.slope_w_per_k * max(hottest_c - line.balance_c, 0.0)),
        temperature=sheet.figures.temperature(hottest_c),
        balance=sheet.figures.temperature(line.balance_c),
    )


def _found(sheet: Sheet) -> str:
    table = sheet.content.room.heating
    if table is None:
        return sheet.words.say("room.found_cooling")
    key = _found_key(table)
    values = {}
    if table.design_load is not None:
        values["load"] = sheet.figures.heat(table.design_load)
    if key == "found_metered" and table.design_temperature is not None:
        values["temperature"] = sheet.figures.temperature(table.design_temperature)
    text = sheet.words.say(f"room.{key}", **values)
    return text + sheet.mark("gains in the heating", "U-value of", "divisor N")


def _found_key(table: HeatingLoad) -> str:
    if table.gains == "included":
        return "found_metered"
    for name in ("design_load", "ua", "surfaces", "rough"):
        if getattr(table, name) is not None:
            return f"found_{name}"
    return "found_cooling"


def _weather(sheet: Sheet) -> str:
    weather, winters = sheet.comparison.model.weather, sheet.ranges.winters
    place = shortened(weather.site.name, NAME_LENGTH)
    if winters:
        key = "weather_winters" if weather.kind == "typical" else "weather_winters_observed"
        values = {"count": str(len(winters)), "first": winters[0], "last": winters[-1]}
    else:
        key = f"weather_{weather.kind}"
        values = {"hours": sheet.figures.formats.number(len(weather.table))}
    return sheet.words.say(f"room.{key}", place=place, year=weather.year_label, **values)


def range_sentences(sheet: Sheet) -> list[str]:
    """Say what the ranges hold and what they leave out.

    Parameters
    ----------
    sheet
        The page.

    Returns
    -------
    list of str
        Sentences.
    """
    words, found = sheet.words, sheet.ranges
    inputs = [_input(sheet, one) for one in found.inputs if one.kind is not Kind.SHIFT]
    listed = words.listed(inputs) if inputs else ""
    text = words.say("options.range_words", inputs=listed) if listed else ""
    tested = any(one.kind is Kind.HEAT_PUMP for one in found.inputs)
    return [
        text or words.say("options.range_nothing"),
        _weather_range(sheet),
        words.say("options.rounding"),
        *([words.say("options.field")] if tested else []),
    ]


def _input(sheet: Sheet, one: UncertainInput) -> str:
    formats = sheet.figures.formats
    key = {
        Kind.HEAT_PUMP: "input_heat_pump",
        Kind.BURNER: "input_burner",
        Kind.LOAD: "input_load",
        Kind.PRICE: "input_price",
    }[one.kind]
    values = {"low": formats.percent(one.low), "high": formats.percent(one.high)}
    if one.kind in (Kind.HEAT_PUMP, Kind.BURNER):
        values["mark"] = "" if one.given else MARK
    if one.kind is Kind.PRICE:
        values["carrier"] = sheet.words.carrier(one.carrier)
    return sheet.words.say(f"options.{key}", **values)


def _weather_range(sheet: Sheet) -> str:
    words, weather, winters = sheet.words, sheet.comparison.model.weather, sheet.ranges.winters
    if winters:
        return words.say(
            "options.range_winters",
            count=str(len(winters)),
            first=winters[0],
            last=winters[-1],
            year=likely_year(sheet),
        )
    shift = next((one for one in sheet.ranges.inputs if one.kind is Kind.SHIFT), None)
    if shift is not None:
        size = shift.high * (1.8 if sheet.figures.us else 1.0)
        number = sheet.figures.formats.number(size, 1)
        unit = "°F" if sheet.figures.us else "K"
        return words.say("options.range_shift", shift=f"{number}{NO_BREAK}{unit}")
    if weather.kind == "typical":
        return words.say("options.range_typical")
    return words.say("options.range_observed", year=weather.year_label)


def likely_year(sheet: Sheet) -> str:
    """Name the weather year of the likely values.

    Parameters
    ----------
    sheet
        The page.

    Returns
    -------
    str
        Such as "typical year".
    """
    weather = sheet.comparison.model.weather
    if weather.kind == "typical":
        return sheet.words.say("options.typical_year")
    return sheet.words.say("options.real_year", year=weather.year_label)


def prices(sheet: Sheet) -> list[Part]:
    """Return the prices that the options of the page use.

    Parameters
    ----------
    sheet
        The page.

    Returns
    -------
    list of dict
        Name, price, date, source and fixed charge as text.
    """
    used = {carrier for outcome in sheet.shown for carrier in outcome.energy_kwh}
    tables = {carrier_of(key): table for key, table in sheet.content.price.items()}
    rows = [
        _price(sheet, price, tables[carrier])
        for carrier, price in sheet.comparison.model.prices.items()
        if carrier in used
    ]
    return [*rows, *_own_meters(sheet)]


def _own_meters(sheet: Sheet) -> Iterator[Part]:
    """Rates of options that have a meter of their own."""
    words = sheet.words
    price = sheet.comparison.model.prices.get(ELECTRICITY)
    meters = price.house.meters if price is not None and price.house is not None else {}
    for outcome in sheet.shown:
        if outcome.name not in meters or outcome.billed is None:
            continue
        tariff = meters[outcome.name].tariff
        yield {
            "name": words.carrier(ELECTRICITY),
            "price": words.say(
                "prices.own_meter",
                tariff=shortened(tariff.name, SHORT_LENGTH),
                option=shortened(outcome.name, SHORT_LENGTH),
            ),
            "date": words.say("prices.no_date")
            if tariff.effective is None
            else words.day(tariff.effective),
            "source": shortened(tariff.source, 44) or words.say("prices.no_source"),
            "fixed": words.say(
                "prices.fixed_own", amount=sheet.figures.money(outcome.billed.own_meter_charges)
            ),
        }


def _price(sheet: Sheet, price: CarrierPrice, table: Price) -> Part:
    words = sheet.words
    return {
        "name": words.carrier(price.carrier),
        "price": _price_text(sheet, price, table),
        "date": shortened(table.date, 24) or words.say("prices.no_date"),
        "source": shortened(table.source, 44) or words.say("prices.no_source"),
        "fixed": _fixed(sheet, price),
    }


def _price_text(sheet: Sheet, price: CarrierPrice, table: Price) -> str:
    if table.energy is None:
        name = shortened(price.text.removeprefix("by tariff: "), SHORT_LENGTH)
        share = sheet.words.say("prices.tariff_share")
        return f"{sheet.words.say('prices.tariff', name=name)}; {share}"
    unit = sheet.words.table["sold_by"].get(price.per, shortened(price.per, 24))
    text = sheet.words.say("format.price", money=sheet.figures.price(table.energy), unit=unit)
    mark = sheet.mark(f"heat content of {price.carrier}")
    return sheet.words.say("prices.usual_heat", price=text, mark=mark) if mark else text


def _fixed(sheet: Sheet, price: CarrierPrice) -> str:
    if not price.fixed_per_year:
        return sheet.words.say("prices.fixed_none")
    key = "prices.fixed_kept" if price.other_uses else "prices.fixed_counted"
    return sheet.words.say(
        key,
        amount=sheet.figures.money(price.fixed_per_year),
        mark=sheet.mark(f"standing charge of {price.carrier}"),
    )


def has_fuel(sheet: Sheet) -> bool:
    """Whether any option of the page burns something.

    Parameters
    ----------
    sheet
        The page.

    Returns
    -------
    bool
        True if one does.
    """
    return any(carrier != ELECTRICITY for one in sheet.shown for carrier in one.energy_kwh)
