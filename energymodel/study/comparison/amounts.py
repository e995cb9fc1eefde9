"""Money, heat flow and shares as words of a notice."""

from __future__ import annotations

from energymodel.units import btu_h_from_w, f_from_c

SIGNS = {"USD": "$", "CAD": "$", "AUD": "$", "EUR": "€", "GBP": "£", "JPY": "¥"}


def amount(value: float, currency: str, *, digits: int = 0) -> str:
    """Write an amount of money.

    Parameters
    ----------
    value
        Money.
    currency
        Code such as "USD"; empty: the number alone.
    digits
        Behind the decimal point.

    Returns
    -------
    str
        With the sign of the currency, else its code, and thousands separators.

    Examples
    --------
    >>> amount(-1234.4, "USD"), amount(0.14, "NOK", digits=2)
    ('-$1,234', '0.14 NOK')
    """
    text = f"{abs(value):,.{digits}f}"
    sign = "-" if value < 0 and text.strip("0.,") else ""
    if currency in SIGNS:
        return f"{sign}{SIGNS[currency]}{text}"
    return f"{sign}{text} {currency}".rstrip()


def heat_flow(heat_w: float, units: str) -> str:
    """Write a heat flow.

    Parameters
    ----------
    heat_w
        W.
    units
        "us" or "si".

    Returns
    -------
    str
        kBtu/h or kW, to three figures.

    Examples
    --------
    >>> heat_flow(2784.2, "us"), heat_flow(2784.2, "si"), heat_flow(2.8, "us")
    ('9.50 kBtu/h', '2.78 kW', '0.00955 kBtu/h')
    """
    value, unit = (
        (btu_h_from_w(heat_w) / 1000.0, "kBtu/h") if units == "us" else (heat_w / 1000.0, "kW")
    )
    return f"{figures(value)} {unit}"


def temperature(outdoor_c: float, units: str) -> str:
    """Write a temperature.

    Parameters
    ----------
    outdoor_c
        degC.
    units
        "us" or "si".

    Returns
    -------
    str
        Whole degrees.

    Examples
    --------
    >>> temperature(10.0, "us"), temperature(10.0, "si")
    ('50 °F', '10 °C')
    """
    return f"{f_from_c(outdoor_c):.0f} °F" if units == "us" else f"{outdoor_c:.0f} °C"


def figures(value: float, count: int = 3) -> str:
    """Write a number to some significant figures, without an exponent.

    Parameters
    ----------
    value
        The number.
    count
        Figures.

    Returns
    -------
    str
        With thousands separators.

    Examples
    --------
    >>> figures(24618.4), figures(0.0095461), figures(46.0)
    ('24,600', '0.00955', '46.0')
    """
    rounded = float(f"{value:.{count}g}")
    whole = len(str(int(abs(rounded)))) if abs(rounded) >= 1 else 0
    if whole:
        return f"{rounded:,.{max(count - whole, 0)}f}"
    return f"{rounded:.12f}".rstrip("0") if rounded else "0"
