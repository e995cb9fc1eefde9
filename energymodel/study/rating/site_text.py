"""Load and set-point of a site as a user writes them: each fault names the option it stands in."""

from __future__ import annotations

from dataclasses import dataclass

from energymodel.building.load import LoadLine, cooling_line, heating_line_without_gains
from energymodel.equipment.curves import Function
from energymodel.errors import InputError
from energymodel.quantities import POWER, TEMPERATURE, read_quantity
from energymodel.units import btu_h_from_w, c_from_f, f_from_c
from energymodel.weather.design import design_temperatures
from energymodel.weather.year import WeatherYear

LOAD, DESIGN, BALANCE, INDOOR = "--design-load", "--design-temperature", "--balance", "--indoor"
LOWEST_INDOOR_C, HIGHEST_INDOOR_C = 0.0, 40.0
"""Set-points of rooms (our choice)."""
LOWEST_OUTDOOR_C, HIGHEST_OUTDOOR_C = -60.0, 55.0
"""Design and balance temperatures of places where people live (our choice)."""
MOST_LOAD_W = 1e6
"""More than any house needs (our choice)."""
LEAST_FACTOR, MOST_FACTOR = 0.3, 1.2
USUAL_INDOOR_C = {Function.HEATING: c_from_f(70.0), Function.COOLING: c_from_f(75.0)}
USUAL_BALANCE_C = {Function.HEATING: c_from_f(60.0), Function.COOLING: c_from_f(68.0)}


@dataclass(frozen=True, slots=True, kw_only=True)
class SiteTexts:
    """Quantities of a site as they were written; None: not given.

    Parameters
    ----------
    load
        At the design temperature.
    design, balance
        Outdoor temperature of the load, and that without a load.
    indoor
        Set-point.
    """

    load: str | None = None
    design: str | None = None
    balance: str | None = None
    indoor: str | None = None


def read_indoor_c(texts: SiteTexts, function: Function) -> float:
    """Read the set-point.

    Parameters
    ----------
    texts
        As written.
    function
        Heating or cooling.

    Returns
    -------
    float
        degC; 70 degF heating and 75 degF cooling where it is not given.

    Raises
    ------
    InputError
        If it is none for a room.

    Examples
    --------
    >>> round(read_indoor_c(SiteTexts(indoor="68 degF"), Function.HEATING), 1)
    20.0
    """
    limits_c = (LOWEST_INDOOR_C, HIGHEST_INDOOR_C)
    return _temperature_c(texts.indoor, USUAL_INDOOR_C[function], INDOOR, limits_c)


def read_site_load(texts: SiteTexts, weather: WeatherYear, function: Function) -> LoadLine | None:
    """Read the load line of a site.

    Parameters
    ----------
    texts
        As written.
    weather
        The year, for the design temperature that is not given.
    function
        Heating or cooling.

    Returns
    -------
    LoadLine or None
        None: no load was given.

    Raises
    ------
    InputError
        If a text cannot be read, is not plausible, or the temperatures are out of order.
    """
    if texts.load is None:
        for name, text in ((DESIGN, texts.design), (BALANCE, texts.balance)):
            if text is not None:
                raise InputError(
                    f"{name} stands without {LOAD}",
                    expected=f'both, such as {LOAD} "9.5 kBtu/h" {name} "{text}"',
                    remedy="give the load too",
                )
        return None
    heats = function is Function.HEATING
    usual = design_temperatures(weather)
    limits_c = (LOWEST_OUTDOOR_C, HIGHEST_OUTDOOR_C)
    usual_c = usual.heating_99_c if heats else usual.cooling_1_c
    design_c = _temperature_c(texts.design, usual_c, DESIGN, limits_c)
    balance_c = _temperature_c(texts.balance, USUAL_BALANCE_C[function], BALANCE, limits_c)
    indoor_c = read_indoor_c(texts, function)
    _check_order(design_c, balance_c, indoor_c, function)
    build = heating_line_without_gains if heats else cooling_line
    return build(
        design_load_w=_load_w(texts.load),
        design_c=design_c,
        balance_c=balance_c,
        indoor_c=indoor_c,
    )


def check_in_service(factor: float) -> None:
    """Refuse an in-service factor that no unit has.

    Parameters
    ----------
    factor
        Divides power.

    Raises
    ------
    InputError
        If it is not plausible.
    """
    if not LEAST_FACTOR <= factor <= MOST_FACTOR:
        raise InputError(
            f"in-service factor {factor:g} is not plausible",
            where="--in-service",
            expected=f"{LEAST_FACTOR:g} to {MOST_FACTOR:g}; 0.90 is likely, 1.00 means as rated",
            remedy="write 90 % as 0.90",
        )


def _load_w(text: str) -> float:
    load_w = read_quantity(text, POWER, where=LOAD)
    if 0.0 < load_w <= MOST_LOAD_W:
        return load_w
    raise InputError(
        f"a load of {text}",
        where=LOAD,
        expected=f"above zero, at most {btu_h_from_w(MOST_LOAD_W) / 1000.0:,.0f} kBtu/h"
        f" ({MOST_LOAD_W / 1000.0:,.0f} kW)",
        remedy="give the load at the design temperature, heating and cooling both above zero",
    )


def _temperature_c(
    text: str | None, usual_c: float, name: str, limits_c: tuple[float, float]
) -> float:
    if text is None:
        return usual_c
    given_c = read_quantity(text, TEMPERATURE, where=name)
    if limits_c[0] <= given_c <= limits_c[1]:
        return given_c
    raise InputError(
        f"a temperature of {text}",
        where=name,
        expected=" to ".join(_both(one) for one in limits_c),
        remedy="check the number and its unit, degF or degC",
    )


def _both(temperature_c: float) -> str:
    return f"{f_from_c(temperature_c):.0f} degF ({temperature_c:.0f} degC)"


def _check_order(design_c: float, balance_c: float, indoor_c: float, function: Function) -> None:
    found = f"design {_both(design_c)}, balance {_both(balance_c)}"
    if function is Function.COOLING and not design_c > balance_c:
        raise InputError(
            f"cooling temperatures out of order: {found}",
            where=BALANCE,
            expected="the balance below the design temperature",
            remedy=f"change {BALANCE} or {DESIGN}",
        )
    if function is Function.HEATING and not design_c < balance_c <= indoor_c:
        raise InputError(
            f"heating temperatures out of order: {found}, indoor {_both(indoor_c)}",
            where=BALANCE,
            expected="design below balance, balance not above the indoor set-point",
            remedy=f"change {BALANCE}, {DESIGN} or {INDOOR}",
        )
