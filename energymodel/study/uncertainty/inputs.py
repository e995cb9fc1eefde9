"""The inputs of a scenario that are not known exactly: their ends, and values between them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import Enum

import numpy as np

from energymodel.arrays import Array
from energymodel.errors import InputError
from energymodel.notices import UsedDefault
from energymodel.scenario.assemble import Model, PlannedOption
from energymodel.scenario.heat_pump_kind import IN_SERVICE_LIKELY as HEAT_PUMP_LIKELY
from energymodel.scenario.heat_pump_kind import CompressorRecord, HeatPumpRecord
from energymodel.scenario.heater_kinds import IN_SERVICE_LIKELY as BURNER_LIKELY
from energymodel.scenario.heater_kinds import BurnerRecord
from energymodel.scenario.prices import carrier_of
from energymodel.scenario.ranges_schema import (
    BURNER_HIGH,
    BURNER_LOW,
    HEAT_PUMP_HIGH,
    HEAT_PUMP_LOW,
    RELATIVE,
    WEATHER_SHIFT_K,
    FactorRange,
    RangesTable,
    RelativeRange,
)
from energymodel.units import KELVIN_PER_DEGF


class Kind(Enum):
    """What an uncertain input is."""

    HEAT_PUMP = "heat pumps in service"
    BURNER = "burners in service"
    LOAD = "heating and cooling load"
    PRICE = "price"
    INSTALLED = "installed costs"
    SHIFT = "milder or colder year"
    WINTER = "winter"


@dataclass(frozen=True, slots=True, kw_only=True)
class UncertainInput:
    """One input with its ends.

    Parameters
    ----------
    kind
        What it is.
    carrier
        Of a price.
    low, high
        Ends: in-service factors, factors on the scenario's own number, kelvin of the year's
        temperature, or the number of winters.
    likely
        What is likely; for in-service factors each option's own number takes its place.
    given
        Whether the scenario gives the range; else it is a default.
    us
        Whether the scenario speaks of Fahrenheit.
    """

    kind: Kind
    low: float
    likely: float
    high: float
    given: bool
    carrier: str = ""
    us: bool = False

    @property
    def name(self) -> str:
        """Name in words."""
        return f"price of {self.carrier}" if self.kind is Kind.PRICE else self.kind.value

    @property
    def range_text(self) -> str:
        """The range in words."""
        if self.kind in (Kind.HEAT_PUMP, Kind.BURNER):
            return f"{self.low:.2f} to {self.high:.2f} of rated"
        if self.kind is Kind.SHIFT:
            unit, per_k = ("°F", 1.0 / KELVIN_PER_DEGF) if self.us else ("K", 1.0)
            return f"{self.low * per_k:+.1f} to {self.high * per_k:+.1f} {unit}"
        if self.kind is Kind.WINTER:
            return f"{self.high:.0f} real winters"
        low, high = 100.0 * (self.low - 1.0), 100.0 * (self.high - 1.0)
        return f"{low:+.0f} to {high:+.0f} %" if high > low else "as given"

    def default(self) -> UsedDefault:
        """Return the range as a default that was used.

        Returns
        -------
        UsedDefault
            With its source.
        """
        assumed = "; assumed, no real winters" if self.kind is Kind.SHIFT else ""
        return UsedDefault(
            name=f"range of the {self.name}", value=self.range_text, source=f"our choice{assumed}"
        )


def triangular(quantile: Array, low: float, likely: float, high: float) -> Array:
    """Values of a triangular distribution at quantiles.

    Parameters
    ----------
    quantile
        0..1, any shape; nan gives the likely value.
    low, likely, high
        Ends and mode, low <= likely <= high.

    Returns
    -------
    Array
        Same shape.

    Notes
    -----
    With F = (likely - low) / (high - low): low + sqrt(q F) (high - low) for q < F, else
    high - sqrt((1 - q)(1 - F)) (high - low).

    References
    ----------
    Inverse of the triangular distribution function, standard (from memory).

    Examples
    --------
    >>> triangular(np.array([0.0, 0.5, 1.0, np.nan]), 0.0, 1.0, 2.0).tolist()
    [0.0, 1.0, 2.0, 1.0]
    """
    width = high - low
    if width <= 0:
        return np.full_like(quantile, likely)
    share = (likely - low) / width
    known = np.nan_to_num(quantile, nan=share)
    below = low + width * np.sqrt(known * share)
    above = high - width * np.sqrt((1.0 - known) * (1.0 - share))
    values = np.clip(np.where(known < share, below, above), low, high)
    return np.where(np.isnan(quantile), likely, values)


def in_service_of(planned: PlannedOption) -> dict[Kind, float]:
    """Return an option's own in-service factors.

    Parameters
    ----------
    planned
        The option.

    Returns
    -------
    dict
        By kind of equipment that it has. Where heating and cooling differ, that of heating.
    """
    table = planned.table
    own: dict[Kind, float] = {}
    for record in (table.heating, table.cooling):
        if isinstance(record, CompressorRecord):
            likely = HEAT_PUMP_LIKELY if record.in_service is None else record.in_service
            own.setdefault(Kind.HEAT_PUMP, likely)
    heater = table.heating
    if isinstance(heater, HeatPumpRecord):
        heater = heater.backup.heater if heater.backup is not None else None
    if isinstance(heater, BurnerRecord):
        likely = BURNER_LIKELY if heater.in_service is None else heater.in_service
        own[Kind.BURNER] = likely
    return own


def values_of(one: UncertainInput, quantile: Array, planned: PlannedOption) -> Array:
    """Values of an input at quantiles, for one option.

    Parameters
    ----------
    one
        The input; not winters, which are counted and not scaled.
    quantile
        0..1, shape (n,); nan: the likely value.
    planned
        The option, whose own in-service factor is the likely one.

    Returns
    -------
    Array
        Shape (n,). Ends that leave out the option's own factor are widened to it.
    """
    likely = in_service_of(planned).get(one.kind, one.likely)
    return triangular(quantile, min(one.low, likely), likely, max(one.high, likely))


def uncertain_inputs(
    model: Model, *, assumed: bool, winters: int = 0
) -> tuple[UncertainInput, ...]:
    """List the uncertain inputs of a model.

    Parameters
    ----------
    model
        A scenario ready to run.
    assumed
        Whether ranges that the scenario does not give are assumed too. In-service factors always
        count.
    winters
        Number of real winters; with them no shift is assumed.

    Returns
    -------
    tuple of UncertainInput
        Only those that matter to some option.

    Raises
    ------
    InputError
        If a price range does not fit its price.
    """
    table = model.scenario.content.ranges or RangesTable()
    found = [*_in_service(model, table), *_relative(Kind.LOAD, table.load, assumed=assumed)]
    found += _prices(model, table, assumed=assumed)
    if winters:
        found.append(UncertainInput(kind=Kind.WINTER, low=0, likely=0, high=winters, given=True))
    else:
        us = model.scenario.content.units == "us"
        found += _shift(table, assumed=assumed, us=us)
    if any(planned.table.installed_cost for planned in model.options):
        found += _relative(Kind.INSTALLED, table.installed_cost, assumed=assumed)
    return tuple(one for one in found if one.high > one.low)


def _in_service(model: Model, table: RangesTable) -> list[UncertainInput]:
    used = {kind for planned in model.options for kind in in_service_of(planned)}
    usual = {
        Kind.HEAT_PUMP: (
            table.heat_pump_in_service,
            HEAT_PUMP_LOW,
            HEAT_PUMP_LIKELY,
            HEAT_PUMP_HIGH,
        ),
        Kind.BURNER: (table.burner_in_service, BURNER_LOW, BURNER_LIKELY, BURNER_HIGH),
    }
    return [
        _ends(kind, given, low=low, likely=likely, high=high)
        for kind, (given, low, likely, high) in usual.items()
        if kind in used
    ]


def _ends(
    kind: Kind, given: FactorRange | None, *, low: float, likely: float, high: float
) -> UncertainInput:
    if given is not None:
        low, high = given.low, given.high
    return UncertainInput(
        kind=kind,
        low=low,
        likely=min(max(likely, low), high),
        high=high,
        given=given is not None,
    )


def _relative(
    kind: Kind, given: RelativeRange | None, *, assumed: bool, carrier: str = ""
) -> list[UncertainInput]:
    if given is None and not assumed:
        return []
    low, high = (1.0 - RELATIVE, 1.0 + RELATIVE) if given is None else given.factors()
    return [
        UncertainInput(
            kind=kind, carrier=carrier, low=low, likely=1.0, high=high, given=given is not None
        )
    ]


def _prices(model: Model, table: RangesTable, *, assumed: bool) -> list[UncertainInput]:
    given = {carrier_of(key): (key, one) for key, one in table.price.items()}
    for carrier, (key, _) in given.items():
        if carrier not in model.prices:
            raise InputError(
                f"a range for the price of {carrier}, which has no price",
                where=f"{model.scenario.path.name}: ranges.price.{key}",
                expected="one of " + ", ".join(model.prices),
            )
    found = []
    for key, written in model.scenario.content.price.items():
        carrier = carrier_of(key)
        if carrier not in given:
            found += _relative(Kind.PRICE, None, assumed=assumed, carrier=carrier)
            continue
        try:
            low, high = given[carrier][1].factors(written.energy)
        except InputError as error:
            raise InputError(
                error.what,
                where=f"{model.scenario.path.name}: ranges.price.{given[carrier][0]}",
                expected=error.expected,
            ) from None
        found.append(
            UncertainInput(
                kind=Kind.PRICE, carrier=carrier, low=low, likely=1.0, high=high, given=True
            )
        )
    return found


def _shift(table: RangesTable, *, assumed: bool, us: bool) -> list[UncertainInput]:
    if table.weather_shift is None and not assumed:
        return []
    size = WEATHER_SHIFT_K if table.weather_shift is None else table.weather_shift
    return [
        UncertainInput(
            kind=Kind.SHIFT,
            low=-size,
            likely=0.0,
            high=size,
            given=table.weather_shift is not None,
            us=us,
        )
    ]


def values_by_input(
    inputs: tuple[UncertainInput, ...], quantiles: Array, planned: PlannedOption
) -> Mapping[UncertainInput, Array]:
    """Values of every input but the winters.

    Parameters
    ----------
    inputs
        In the order of the columns.
    quantiles
        0..1 or nan, shape (n, inputs).
    planned
        The option.

    Returns
    -------
    Mapping of Array
        By input, shape (n,).
    """
    return {
        one: values_of(one, quantiles[:, column], planned)
        for column, one in enumerate(inputs)
        if one.kind is not Kind.WINTER
    }
