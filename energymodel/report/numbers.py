"""Numbers as a reader sees them: rounding, units of the reader's choice, money."""

from __future__ import annotations

from dataclasses import dataclass

from energymodel.study.comparison.amounts import amount
from energymodel.units import btu_h_from_w, f_from_c


def money(value: float, currency: str) -> str:
    """Format an amount in whole units of the currency.

    Parameters
    ----------
    value
        Money.
    currency
        Three-letter code, or any short text.

    Returns
    -------
    str
        "$1,234", "-$56", "1,234 NOK".

    Examples
    --------
    >>> money(-56.4, "USD"), money(1234.0, "NOK")
    ('-$56', '1,234 NOK')
    """
    return amount(round(value), currency)


@dataclass(frozen=True, slots=True, kw_only=True)
class Display:
    """Units in which results are shown.

    Parameters
    ----------
    us
        Fahrenheit and Btu/h, or Celsius and kW.
    """

    us: bool

    def temperature(self, temperature_c: float) -> str:
        """Format a temperature.

        Parameters
        ----------
        temperature_c
            degC.

        Returns
        -------
        str
            Whole degrees with the unit.
        """
        if self.us:
            return f"{f_from_c(temperature_c):.0f} °F"
        return f"{temperature_c:.1f} °C".replace("-0.0", "0.0")

    def heat_flow(self, heat_w: float) -> str:
        """Format a heat flow.

        Parameters
        ----------
        heat_w
            W.

        Returns
        -------
        str
            kBtu/h or kW with one decimal.
        """
        if self.us:
            return f"{btu_h_from_w(heat_w) / 1000.0:.1f} kBtu/h"
        return f"{heat_w / 1000.0:.1f} kW"

    def temperature_value(self, temperature_c: float) -> float:
        """Convert a temperature to the shown unit.

        Parameters
        ----------
        temperature_c
            degC.

        Returns
        -------
        float
            degF or degC.
        """
        return f_from_c(temperature_c) if self.us else temperature_c

    def heat_value(self, heat_w: float) -> float:
        """Convert a heat flow to the shown unit.

        Parameters
        ----------
        heat_w
            W.

        Returns
        -------
        float
            kBtu/h or kW.
        """
        return btu_h_from_w(heat_w) / 1000.0 if self.us else heat_w / 1000.0
