"""Numbers of a house from its bills in the reader's units."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta

from energymodel.building.fit_bands import Band
from energymodel.meters.periods import Period
from energymodel.report.numbers import Display
from energymodel.units import BTU_PER_WH, KELVIN_PER_DEGF, f_from_c

MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")


@dataclass(frozen=True, slots=True, kw_only=True)
class BillsDisplay:
    """Units of the reader, and the unit of the meter.

    Parameters
    ----------
    show
        US or SI.
    unit
        Unit of the meter: "therm", "kWh", ...
    kwh_per_unit
        Energy of one.
    """

    show: Display
    unit: str
    kwh_per_unit: float

    @property
    def degree(self) -> str:
        """Sign of a temperature."""
        return "°F" if self.show.us else "°C"

    def slope(self, w_per_k: float) -> float:
        """Convert a slope of load.

        Parameters
        ----------
        w_per_k
            W/K.

        Returns
        -------
        float
            Btu/(h °F) or W/K.
        """
        return w_per_k * BTU_PER_WH * KELVIN_PER_DEGF if self.show.us else w_per_k

    @property
    def slope_unit(self) -> str:
        """Unit of a slope of load."""
        return "Btu/(h °F)" if self.show.us else "W/K"

    @property
    def heat_unit(self) -> str:
        """Unit of a heat flow."""
        return "kBtu/h" if self.show.us else "kW"

    def temperature(self, temperature_c: float) -> float:
        """Convert a temperature.

        Parameters
        ----------
        temperature_c
            degC.

        Returns
        -------
        float
            degF or degC.
        """
        return f_from_c(temperature_c) if self.show.us else temperature_c

    def amount(self, kwh: float) -> float:
        """Convert metered energy.

        Parameters
        ----------
        kwh
            kWh.

        Returns
        -------
        float
            In the meter's unit.
        """
        return kwh / self.kwh_per_unit


def figures(value: float, count: int = 3) -> str:
    """Format a number to some figures, without an exponent.

    Parameters
    ----------
    value
        Number.
    count
        Figures.

    Returns
    -------
    str
        For example "1,230", "21.3" or "0.048".

    Examples
    --------
    >>> figures(1234.5), figures(21.34), figures(0.04812), figures(0.0)
    ('1,230', '21.3', '0.0481', '0')
    """
    if value == 0:
        return "0"
    rounded = float(f"{value:.{count - 1}e}")
    decimals = max(count - 1 - int(f"{rounded:e}".partition("e")[2]), 0)
    return f"{rounded:,.{decimals}f}"


def range_text(band: Band, unit: str = "") -> str:
    """Format a band as a likely value and its range.

    Parameters
    ----------
    band
        In the reader's unit.
    unit
        Printed behind.

    Returns
    -------
    str
        For example "21.3 kBtu/h (19.8 to 22.9)".
    """
    head = f"{figures(band.likely)} {unit}".strip()
    return f"{head} ({figures(band.low)} to {figures(band.high)})"


def period_label(period: Period) -> str:
    """Name a period by its months, for a chart.

    Parameters
    ----------
    period
        Metered period.

    Returns
    -------
    str
        The month that holds most of its days, or "Oct-Nov" where it was merged.

    Examples
    --------
    >>> from datetime import date
    >>> period_label(Period(first_day=date(2013, 1, 3), end_day=date(2013, 2, 4), amount=1.0))
    'Jan'
    """
    middle = period.first_day + (period.end_day - period.first_day) / 2
    if not period.merged:
        return MONTHS[middle.month - 1]
    week = timedelta(days=7)
    first, last = period.first_day + week, period.end_day - week
    return f"{MONTHS[first.month - 1]}\u2013{MONTHS[last.month - 1]}"
