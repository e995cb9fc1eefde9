"""Guards on what was entered: prices, loads and bills that look like a slip of units."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from energymodel.economics.payback import spend_above_base
from energymodel.notices import Notice
from energymodel.scenario.prices import ELECTRICITY, CarrierPrice
from energymodel.season.result import COOLING, HEATING
from energymodel.study.comparison.amounts import amount, figures, heat_flow, temperature
from energymodel.study.comparison.outcome import Comparison
from energymodel.study.comparison.slips import (
    BILLS,
    FUEL_PRICES,
    LOADS,
    PRICES,
    Band,
    likely_slips,
    slip_words,
)
from energymodel.units import METRE_PER_FOOT, btu_h_from_w

ELECTRICITY_BAND: Band = (0.02, 1.0)
FUEL_BAND: Band = (0.005, 0.40)
"""Money per kWh in dollars and currencies of like worth (our choice)."""
LIKE_DOLLARS = ("USD", "CAD", "AUD", "NZD", "EUR", "GBP", "CHF")
LOAD_PER_AREA: Band = (8.0, 250.0)
"""Design load per floor area, W/m2 (our choice)."""
LOAD_W: Band = (300.0, 60_000.0)
"""Design load of a room or house of unknown area, W (our choice)."""
BILLS_BAND: Band = (0.5, 2.0)
"""Cost by the estimate over that by the bills (our choice)."""
DESIGN_HOURS = 0.10
"""Share of the year's hours that may be harder than the design temperature (our choice)."""
_BTU_H_FT2 = btu_h_from_w(METRE_PER_FOOT**2)
"""Btu/h for each ft2 in one W/m2."""
TOO_SMALL = 0.4
"""Output over design load below which the load itself is in doubt (our choice)."""


def input_guards(comparison: Comparison) -> Iterator[Notice]:
    """Flag prices, design loads and bills that look like a slip of units or decimals.

    Parameters
    ----------
    comparison
        All options.

    Yields
    ------
    Notice
        Topics "units" and "bills".
    """
    yield from _prices(comparison)
    yield from _loads(comparison)
    yield from _bills(comparison)


def heating_spend_by_bills(comparison: Comparison) -> float | None:
    """Read from the bills what heating and cooling cost now.

    Parameters
    ----------
    comparison
        All options.

    Returns
    -------
    float or None
        Bills less other use, money per year; None where no bills are given.
    """
    money = comparison.model.scenario.content.money
    if money.bills_now is None:
        return None
    return spend_above_base(money.bills_now, (money.other_use_now or 0.0) / 12.0)


def _prices(comparison: Comparison) -> Iterator[Notice]:
    currency = comparison.model.scenario.content.currency
    if currency not in LIKE_DOLLARS:
        return
    for price in comparison.model.prices.values():
        notice = price_guard(price, currency)
        if notice is not None:
            yield notice


def price_guard(price: CarrierPrice, currency: str) -> Notice | None:
    """Flag a price that no bill shows.

    Parameters
    ----------
    price
        Of one carrier.
    currency
        One of like worth as the dollar.

    Returns
    -------
    Notice or None
        None inside the usual band; a price of 0 is let pass: wood of one's own.
    """
    electric = price.carrier == ELECTRICITY
    band = ELECTRICITY_BAND if electric else FUEL_BAND
    if price.per_kwh == 0 or band[0] <= price.per_kwh <= band[1]:
        return None
    slips = likely_slips(price.per_kwh, band, PRICES if electric else FUEL_PRICES)
    sold = price.per_kwh * price.kwh_per_unit

    def written(per_unit: float) -> str:
        return f"{amount(per_unit, currency, digits=4 if per_unit < 0.1 else 2)} per {price.per}"

    return Notice(
        topic="units",
        text=f"The price of {price.carrier}, {written(sold)}, is"
        f" {amount(price.per_kwh, currency, digits=4)} per kWh; bills show"
        f" {amount(band[0], currency, digits=3)} to {amount(band[1], currency, digits=2)}. Every"
        " cost with it is off by the same factor; check energy and per against the bill."
        + slip_words(slips, [written(slip.meant(sold)) for slip in slips]),
    )


def _loads(comparison: Comparison) -> Iterator[Notice]:
    room, model = comparison.model.scenario.content.room, comparison.model
    weather = model.weather
    lines = (
        (HEATING, model.load.heating, room.heating, float(weather.outdoor_c.min())),
        (COOLING, model.load.cooling, room.cooling, float(weather.outdoor_c.max())),
    )
    for service, line, table, extreme_c in lines:
        if line is None or table is None:
            continue
        at = extreme_c if table.design_temperature is None else table.design_temperature
        by_line_w = float(line.load_w(np.array([at]))[0])
        notice = load_guard(
            service,
            by_line_w if table.design_load is None else table.design_load,
            area_m2=room.area,
            units=model.scenario.content.units,
            short=_shortest(comparison) if service == HEATING else None,
        )
        if notice is not None:
            yield notice
        if table.design_temperature is not None:
            yield from _design_temperature(service, table.design_temperature, comparison)


def _design_temperature(service: str, design_c: float, comparison: Comparison) -> Iterator[Notice]:
    """Flag a design temperature that is no hard hour of the year that is run."""
    model, heats = comparison.model, service == HEATING
    outdoor_c = model.weather.outdoor_c
    harder = float(np.mean(outdoor_c < design_c if heats else outdoor_c > design_c))
    if harder <= DESIGN_HOURS:
        return
    usual_c = float(np.percentile(outdoor_c, 1.0 if heats else 99.0))
    units = model.scenario.content.units
    given, usual = (temperature(value, units) for value in (design_c, usual_c))
    yield Notice(
        topic="units",
        text=f"The {service} design temperature of {given} is passed in {harder:.0%} of the hours"
        f" of this year; the hardest 1 % of them begin at {usual}. Check its unit and the place:"
        " the load line is drawn through it.",
    )


def _shortest(comparison: Comparison) -> float | None:
    """Largest output over load at design among the options that have a heat pump and are short."""
    shares = [
        one.coverage.design_output_w / one.coverage.design_load_w
        for one in comparison.outcomes
        if one.coverage is not None
        and one.coverage.design_load_w > 0
        and one.result.total("heating_pump_heat_kwh") > 0
        and HEATING not in one.result.states.no_supply  # a cut supply says nothing of its size
    ]
    best = max(shares, default=1.0)
    return best if best < TOO_SMALL else None


def load_guard(
    service: str,
    load_w: float,
    *,
    area_m2: float | None = None,
    units: str = "us",
    short: float | None = None,
) -> Notice | None:
    """Flag a design load that no room has.

    Parameters
    ----------
    service
        "heating" or "cooling".
    load_w
        Load at design, W.
    area_m2
        Floor area, m2; None: not known.
    units
        "us" or "si", for the message.
    short
        Largest output of any heat pump over the load, where even the largest is far too small.

    Returns
    -------
    Notice or None
        None for a plausible load.
    """
    value, band, why = (
        load_w,
        LOAD_W,
        f"usual are {' to '.join(heat_flow(w, units) for w in LOAD_W)}",
    )
    if area_m2 is not None:
        value, band = load_w / area_m2, LOAD_PER_AREA
        why = _per_area(value, band, units)
    inside = band[0] <= value <= band[1]
    if inside and short is None:
        return None
    if inside and short is not None:
        value, band = short, (0.5, 3.0)
        why = f"the largest heat pump gives {short:.0%} of it"
        slips = tuple(slip for slip in LOADS if band[0] <= value * slip.factor <= band[1])
    else:
        slips = likely_slips(value, band, LOADS)
    return Notice(
        topic="units",
        text=f"The {service} design load of {heat_flow(load_w, units)} is hardly that of the room:"
        f" {why}. Check it against the heat-loss sheet; a rule of thumb for the unit's size, or for"
        " warming up a cold space, is not a steady load."
        + slip_words(slips, [heat_flow(slip.meant(load_w), units) for slip in slips]),
    )


def _per_area(w_per_m2: float, band: Band, units: str) -> str:
    factor, unit = (1.0, "W for each m2") if units != "us" else (_BTU_H_FT2, "Btu/h for each ft2")
    low, high = (figures(end * factor, 2) for end in band)
    return f"it is {figures(w_per_m2 * factor)} {unit} of floor; usual are {low} to {high}"


def _bills(comparison: Comparison) -> Iterator[Notice]:
    present = comparison.present
    currency = comparison.model.scenario.content.currency
    by_bills = heating_spend_by_bills(comparison)
    if present is None or by_bills is None or not by_bills > 0:
        return
    ratio = present.yearly_cost / by_bills
    if BILLS_BAND[0] <= ratio <= BILLS_BAND[1]:
        return
    slips = likely_slips(ratio, BILLS_BAND, BILLS)
    yield Notice(
        topic="bills",
        text=f"By load and prices {present.name} costs {amount(present.yearly_cost, currency)} a"
        f" year; the bills leave {amount(by_bills, currency)} for it. Savings hang on this figure:"
        " check load, price and bills before any other."
        + slip_words(slips, [f"{slip.meant(ratio):.0%} of the bills" for slip in slips]),
    )
