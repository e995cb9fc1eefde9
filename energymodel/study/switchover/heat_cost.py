"""What heat costs at an outdoor temperature: the source at the user's own load there."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from energymodel.arrays import Array
from energymodel.building.load import LoadLine
from energymodel.economics.break_even import HeatSource
from energymodel.economics.cost_of_heat import BreakEven, break_even_cop
from energymodel.equipment.flows import Conditions, Flows, Source
from energymodel.errors import InputError

_FANS = ("blower",)


@dataclass(frozen=True, slots=True, kw_only=True)
class HeatPrices:
    """Prices of what a source of heat uses.

    Parameters
    ----------
    electricity_per_kwh
        Money per kWh; under a tariff the price of an added kWh.
    fuel_per_kwh
        By carrier, money per kWh of higher heating value.
    """

    electricity_per_kwh: float
    fuel_per_kwh: Mapping[str, float]

    def cost_per_hour(self, flows: Flows) -> Array:
        """Money per hour of everything that a source uses.

        Parameters
        ----------
        flows
            Of the source.

        Returns
        -------
        Array
            Shape of the states.

        Raises
        ------
        InputError
            If a fuel has no price.
        """
        cost = electricity_w(flows) / 1000.0 * self.electricity_per_kwh
        return cost + self.fuel_cost_per_hour(flows)

    def fuel_cost_per_hour(self, flows: Flows) -> Array:
        """Money per hour of the fuel alone.

        Parameters
        ----------
        flows
            Of the source.

        Returns
        -------
        Array
            Shape of the states.

        Raises
        ------
        InputError
            If a fuel has no price.
        """
        cost = np.zeros_like(flows.delivered_w)
        for carrier, used_w in flows.fuel_w.items():
            if carrier not in self.fuel_per_kwh:
                raise InputError(f"{carrier} has no price", expected=f"a table [price.{carrier}]")
            cost = cost + used_w / 1000.0 * self.fuel_per_kwh[carrier]
        return cost


def electricity_w(flows: Flows) -> Array:
    """All electricity of a source.

    Parameters
    ----------
    flows
        Of the source.

    Returns
    -------
    Array
        W, shape of the states.
    """
    return sum(flows.electricity_w.values(), np.zeros_like(flows.delivered_w))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class HeatCost:
    """A source at the load that a room has at each outdoor temperature.

    Parameters
    ----------
    source
        What heats.
    line
        Load of the room.
    indoor_c
        Heating set-point, degC.
    humidity_pct
        Outdoor relative humidity at which frost is counted, %.
    prices
        Of electricity and fuels.
    pilot_counted
        Whether fuel that burns without any load (a pilot) counts; False where the heater stays
        lit in any case.
    """

    source: Source
    line: LoadLine
    indoor_c: float
    humidity_pct: float
    prices: HeatPrices
    pilot_counted: bool = True

    def flows(self, outdoor_c: Array) -> Flows:
        """Answer of the source to the load at each temperature.

        Parameters
        ----------
        outdoor_c
            Outdoor temperature, degC.

        Returns
        -------
        Flows
            What the source gives of the load, and what it uses.
        """
        return self.source.run(self._conditions(outdoor_c), self.line.load_w(outdoor_c))

    def _conditions(self, outdoor_c: Array) -> Conditions:
        return Conditions(
            outdoor_c=outdoor_c,
            relative_humidity_pct=np.full_like(outdoor_c, self.humidity_pct),
            indoor_c=self.indoor_c,
        )

    def per_hour(self, outdoor_c: Array) -> Array:
        """Money per hour.

        Parameters
        ----------
        outdoor_c
            Outdoor temperature, degC.

        Returns
        -------
        Array
            For the heat that the source gives, which may be less than the load.
        """
        cost = self.prices.cost_per_hour(self.flows(outdoor_c))
        return cost - self._pilot_per_hour(outdoor_c)

    def fuel_per_hour(self, outdoor_c: Array) -> Array:
        """Money per hour of the fuel alone.

        Parameters
        ----------
        outdoor_c
            Outdoor temperature, degC.

        Returns
        -------
        Array
            With the pilot or without it, as `pilot_counted` says.
        """
        cost = self.prices.fuel_cost_per_hour(self.flows(outdoor_c))
        return cost - self._pilot_per_hour(outdoor_c)

    def _pilot_per_hour(self, outdoor_c: Array) -> Array:
        if self.pilot_counted:
            return np.zeros_like(outdoor_c)
        waiting = self.source.run(self._conditions(outdoor_c), np.zeros_like(outdoor_c))
        return self.prices.fuel_cost_per_hour(waiting)

    def per_kwh_heat(self, outdoor_c: Array) -> Array:
        """Money per kWh of heat that reaches the room.

        Parameters
        ----------
        outdoor_c
            Outdoor temperature, degC, below the balance temperature.

        Returns
        -------
        Array
            Infinite where the source gives nothing.
        """
        delivered_w = self.flows(outdoor_c).delivered_w
        return np.divide(
            self.per_hour(outdoor_c) * 1000.0,
            delivered_w,
            out=np.full_like(outdoor_c, np.inf),
            where=delivered_w > 0,
        )

    def cop(self, outdoor_c: Array) -> Array:
        """Heat to the room over electricity.

        Parameters
        ----------
        outdoor_c
            Outdoor temperature, degC.

        Returns
        -------
        Array
            0 where the source gives nothing.
        """
        flows = self.flows(outdoor_c)
        used_w = electricity_w(flows)
        return np.divide(flows.delivered_w, used_w, out=np.zeros_like(outdoor_c), where=used_w > 0)

    def as_source(self, name: str, basis: str) -> HeatSource:
        """Make the curve that a cost balance asks for.

        Parameters
        ----------
        name
            As it should read in a sentence.
        basis
            What is counted, in words.

        Returns
        -------
        HeatSource
            For :func:`~energymodel.economics.break_even.cost_balance`.
        """
        return HeatSource(name=name, cost_per_kwh_heat=self.per_kwh_heat, basis=basis)


@dataclass(frozen=True, slots=True, kw_only=True)
class SeasonBreakEven:
    """COP that electric heat needs against a heater over a year's hours.

    Parameters
    ----------
    cops
        In three conventions of the furnace fan.
    has_fan
        Whether the heater has a fan, so that the conventions differ.
    """

    cops: BreakEven
    has_fan: bool

    @property
    def words(self) -> str:
        """The default figure; with a fan also the convention and the other two."""
        if self.has_fan:
            return self.cops.words
        return f"break-even COP {self.cops.default:.2f}"


def season_break_even(cost: HeatCost, outdoor_c: Array) -> SeasonBreakEven:
    """Break-even COP against a heater, its year's cost over its year's heat.

    Parameters
    ----------
    cost
        The heater at the user's load.
    outdoor_c
        Outdoor temperature of each hour of the year, degC.

    Returns
    -------
    SeasonBreakEven
        Over the hours with a load; counted at the room, duct loss of the heater included.

    Raises
    ------
    InputError
        If no hour has a load, or the heat costs nothing.
    """
    loaded_c = outdoor_c[cost.line.load_w(outdoor_c) > 0]
    flows = cost.flows(loaded_c)
    fuel = float(cost.fuel_per_hour(loaded_c).sum())
    price = cost.prices.electricity_per_kwh
    electric = float(electricity_w(flows).sum()) / 1000.0 * price
    heat = float(flows.delivered_w.sum()) / 1000.0
    if not heat > 0:
        raise InputError("no hour of the year has a heating load")
    fan_heat = _fan_heat_kwh(flows) if fuel > 0 else 0.0
    counted = (fuel + electric) / (heat - fan_heat)
    without = fuel / (heat - fan_heat) if fuel > 0 else counted
    return SeasonBreakEven(
        cops=BreakEven(
            fan_credited=break_even_cop(price, (fuel + electric) / heat),
            fan_counted=break_even_cop(price, counted),
            without_fan=break_even_cop(price, without),
        ),
        has_fan=fan_heat > 0,
    )


def _fan_heat_kwh(flows: Flows) -> float:
    """Heat of the furnace fan that reaches the room, its share of the duct loss taken off."""
    fan_w = sum((flows.electricity_w.get(use, 0.0) for use in _FANS), np.zeros_like(flows.unmet_w))
    into_ducts = flows.delivered_w + flows.duct_loss_w
    kept = np.divide(
        flows.delivered_w, into_ducts, out=np.ones_like(into_ducts), where=into_ducts > 0
    )
    return float((fan_w * kept).sum()) / 1000.0
