"""One yardstick for all heat: money per unit delivered, and the COP at which two costs meet."""

from __future__ import annotations

import math
from dataclasses import dataclass

from energymodel.economics.fuels import HeatContent
from energymodel.errors import InputError
from energymodel.units import KWH_PER_MMBTU

_LARGEST_EFFICIENCY = 12.0


def _checked_efficiency(seasonal_efficiency: float) -> float:
    if not 0 < seasonal_efficiency <= _LARGEST_EFFICIENCY:
        raise InputError(
            f"a seasonal efficiency of {seasonal_efficiency:g}",
            expected="a fraction or a COP: 0.92 for 92 %, 3.1 for a heat pump",
            remedy="divide a percentage by 100, a rating in Btu/Wh by 3.412",
        )
    return seasonal_efficiency


def cost_per_kwh_heat(price_per_kwh: float, seasonal_efficiency: float) -> float:
    """Money per kWh of heat delivered.

    Parameters
    ----------
    price_per_kwh
        Money per kWh of the carrier, higher heating value for fuels.
    seasonal_efficiency
        Seasonal efficiency as a fraction (AFUE) or seasonal COP.

    Returns
    -------
    float
        Money per kWh of heat (or of cold, with a cooling COP).

    Raises
    ------
    InputError
        If the efficiency is not above zero, or is plainly a percentage or a rating in Btu/Wh.
    """
    return price_per_kwh / _checked_efficiency(seasonal_efficiency)


def dollars_per_mmbtu_delivered(price_per_kwh: float, seasonal_efficiency: float) -> float:
    """Money per million Btu of heat delivered.

    Parameters
    ----------
    price_per_kwh
        Money per kWh of the carrier, higher heating value for fuels.
    seasonal_efficiency
        Seasonal efficiency as a fraction (AFUE) or seasonal COP; 1.0 gives the energy basis.

    Returns
    -------
    float
        Money per 1,000,000 Btu of heat.

    Raises
    ------
    InputError
        As :func:`cost_per_kwh_heat`.

    References
    ----------
    Price x 1e6 / Btu per unit: EIA FAQ 987 (published); divided by the seasonal efficiency.

    Examples
    --------
    >>> round(dollars_per_mmbtu_delivered(0.12217, 1.0), 2)
    35.8
    """
    return cost_per_kwh_heat(price_per_kwh, seasonal_efficiency) * KWH_PER_MMBTU


def yearly_cost(heat_kwh: float, *, price_per_kwh: float, seasonal_efficiency: float) -> float:
    """Money for a year's heat at one seasonal efficiency.

    Parameters
    ----------
    heat_kwh
        Heat delivered in the year, kWh.
    price_per_kwh
        Money per kWh of the carrier.
    seasonal_efficiency
        Fraction or COP.

    Returns
    -------
    float
        Money per year.
    """
    return heat_kwh * cost_per_kwh_heat(price_per_kwh, seasonal_efficiency)


def break_even_cop(electricity_per_kwh: float, cost_of_heat_per_kwh: float) -> float:
    """COP at which electric heat costs as much as other heat.

    Parameters
    ----------
    electricity_per_kwh
        Money (or kg of emissions) per kWh of electricity.
    cost_of_heat_per_kwh
        Money (or kg of emissions) per kWh of the other heat, > 0.

    Returns
    -------
    float
        Electric heat is cheaper above this COP.

    Raises
    ------
    InputError
        If the other heat costs nothing: no COP would be high enough.
    """
    if not cost_of_heat_per_kwh > 0:
        raise InputError(
            f"the other heat costs {cost_of_heat_per_kwh:g} per kWh",
            expected="above 0; no COP beats heat that is free",
        )
    return electricity_per_kwh / cost_of_heat_per_kwh


def equal_cost_price(
    cost_of_heat_per_kwh: float, *, seasonal_efficiency: float, content: HeatContent
) -> float:
    """Price per unit of sale at which a fuel heater gives heat at a given cost.

    Parameters
    ----------
    cost_of_heat_per_kwh
        Cost of the other heat, money per kWh.
    seasonal_efficiency
        Seasonal efficiency of the fuel heater.
    content
        Energy in the unit of sale.

    Returns
    -------
    float
        Money per unit of sale: the fuel is cheaper below this price.
    """
    return content.energy_kwh(cost_of_heat_per_kwh * _checked_efficiency(seasonal_efficiency))


@dataclass(frozen=True, slots=True, kw_only=True)
class FuelHeater:
    """A furnace or boiler with its fan or pump, for comparisons by cost of heat.

    Parameters
    ----------
    fuel_per_kwh
        Money per kWh of fuel, higher heating value.
    seasonal_efficiency
        AFUE as a fraction.
    fan_kwh_per_kwh_heat
        Electricity of fan or pump per kWh of heat from the burner.
    """

    fuel_per_kwh: float
    seasonal_efficiency: float
    fan_kwh_per_kwh_heat: float = 0.0

    def __post_init__(self) -> None:
        if not 0 < self.seasonal_efficiency <= 1:
            raise InputError(
                f"a fuel heater with an efficiency of {self.seasonal_efficiency:g}",
                expected="a fraction up to 1.00 of the higher heating value",
                remedy="above 100 % it is on the net basis: multiply by 0.90 for gas, 0.94 for "
                "oil (from memory)",
            )
        if not (math.isfinite(self.fan_kwh_per_kwh_heat) and self.fan_kwh_per_kwh_heat >= 0):
            raise InputError(
                f"fan electricity of {self.fan_kwh_per_kwh_heat:g} kWh per kWh",
                expected="0 or more",
            )

    def heat_without_fan(self) -> float:
        """Cost of heat with the fan left out.

        Returns
        -------
        float
            Money per kWh of heat.
        """
        return cost_per_kwh_heat(self.fuel_per_kwh, self.seasonal_efficiency)

    def heat_with_fan(self, electricity_per_kwh: float) -> float:
        """Cost of heat with the fan's electricity counted, its heat not credited.

        Parameters
        ----------
        electricity_per_kwh
            Money per kWh of electricity.

        Returns
        -------
        float
            Money per kWh of heat from the burner.
        """
        return self.heat_without_fan() + self.fan_kwh_per_kwh_heat * electricity_per_kwh

    def heat_with_fan_credited(self, electricity_per_kwh: float) -> float:
        """Cost of heat with the fan's electricity counted and its heat credited to the room.

        Parameters
        ----------
        electricity_per_kwh
            Money per kWh of electricity.

        Returns
        -------
        float
            Money per kWh of heat from burner and fan.
        """
        return self.heat_with_fan(electricity_per_kwh) / (1.0 + self.fan_kwh_per_kwh_heat)


def fan_kwh_per_kwh_heat(*, fan_w: float, input_w: float, seasonal_efficiency: float) -> float:
    """Electricity of a fan per kWh of heat from the burner, both running together.

    Parameters
    ----------
    fan_w
        Fan power, W.
    input_w
        Fuel input of the burner, higher heating value, W.
    seasonal_efficiency
        Fraction.

    Returns
    -------
    float
        kWh per kWh.
    """
    return fan_w / (input_w * _checked_efficiency(seasonal_efficiency))


@dataclass(frozen=True, slots=True, kw_only=True)
class BreakEven:
    """COP above which a heat pump heats for less than a fuel heater, by what is counted.

    Parameters
    ----------
    fan_credited
        Furnace fan counted and its heat credited: the default.
    fan_counted
        Furnace fan counted, its heat not credited.
    without_fan
        Furnace fan left out.
    """

    fan_credited: float
    fan_counted: float
    without_fan: float

    @property
    def default(self) -> float:
        """The figure to use unless another convention is named."""
        return self.fan_credited

    @property
    def words(self) -> str:
        """The default figure with its convention, and the two others."""
        return (
            f"break-even COP {self.fan_credited:.2f} (furnace fan counted, its heat credited; "
            f"{self.fan_counted:.2f} without that credit, {self.without_fan:.2f} without the fan)"
        )


def break_even(heater: FuelHeater, electricity_per_kwh: float) -> BreakEven:
    """Break-even COP of a heat pump against a fuel heater.

    Parameters
    ----------
    heater
        The fuel heater.
    electricity_per_kwh
        Money per kWh of electricity.

    Returns
    -------
    BreakEven
        In three conventions; a report names the one it uses.

    Examples
    --------
    >>> gas = FuelHeater(fuel_per_kwh=0.05, seasonal_efficiency=0.95, fan_kwh_per_kwh_heat=0.02)
    >>> break_even(gas, 0.15).words.partition(" (")[0]
    'break-even COP 2.75'
    """
    return BreakEven(
        fan_credited=break_even_cop(
            electricity_per_kwh, heater.heat_with_fan_credited(electricity_per_kwh)
        ),
        fan_counted=break_even_cop(electricity_per_kwh, heater.heat_with_fan(electricity_per_kwh)),
        without_fan=break_even_cop(electricity_per_kwh, heater.heat_without_fan()),
    )
