"""What a form offers of a scenario: places, numbers in the reader's units, and the way back."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from energymodel.errors import InputError
from energymodel.scenario.field_path import write_path
from energymodel.scenario.files import Scenario
from energymodel.scenario.prices import carrier_of
from energymodel.units import btu_h_from_w, f_from_c
from energymodel.weather.library import shipped_years
from energymodel.weather.stations import stored_stations

MOST = 1e6
"""From here on a number of a room or a price is a slip, whatever its unit (our choice)."""
_UNKNOWN_HIGHEST = 1.0


@dataclass(frozen=True, slots=True, kw_only=True)
class NumberField:
    """A number of a scenario that a reader may change.

    Parameters
    ----------
    path
        Its path in the scenario.
    label
        What it is.
    unit
        Unit behind the number, as shown.
    value
        In that unit.
    highest
        End of a scale that begins at zero, in that unit.
    step
        Step of that scale.
    written_unit
        Unit as a scenario file writes it; empty: a plain number.
    """

    path: str
    label: str
    unit: str
    value: float
    highest: float = _UNKNOWN_HIGHEST
    step: float = 1.0
    written_unit: str = ""

    def written(self, value: float) -> object:
        """Write a number as a scenario file would.

        Parameters
        ----------
        value
            In the shown unit.

        Returns
        -------
        float or str
            A plain number, or text with its unit.
        """
        return f"{value:.10g} {self.written_unit}" if self.written_unit else float(value)


def place_choices(scenario: Scenario) -> tuple[tuple[str, str], ...]:
    """List the weather years that are at hand for a scenario.

    Parameters
    ----------
    scenario
        Checked scenario.

    Returns
    -------
    tuple of tuple of str
        Name, and what a scenario writes: shipped years, station years that were fetched, and the
        scenario's own weather where it is none of these.

    Examples
    --------
    >>> from energymodel.scenario.files import read_scenario
    >>> place_choices(read_scenario())[0]
    ('Greensboro, North Carolina, typical year', 'greensboro-nc')
    """
    found = [
        (f"{one.site.name}, {'typical year' if one.kind == 'typical' else one.key[-4:]}", one.key)
        for one in shipped_years()
    ]
    for station, years in stored_stations():
        # A local year reaches into the UTC year after it, or before it in the east.
        beside = 1 if station.longitude_deg < 0 else -1
        found += [
            (f"{station.name}, {year}", f"station {station.id} {year}")
            for year in years
            if year + beside in years
        ]
    own = scenario.content.place
    if own.weather not in {key for _, key in found}:
        found.append((own.name or own.weather, own.weather))
    return tuple(found)


def room_fields(scenario: Scenario) -> tuple[NumberField, ...]:
    """List the loads and set-points of a scenario that are plain numbers.

    Parameters
    ----------
    scenario
        Checked scenario.

    Returns
    -------
    tuple of NumberField
        Heating load, cooling load, set-points; a load that is found from components is left out.

    Examples
    --------
    >>> from energymodel.scenario.files import read_scenario
    >>> first = room_fields(read_scenario())[0]
    >>> first.path, first.value, first.unit, first.written(11.0)
    ('room.heating.design_load', 9.5, 'kBtu/h', '11 kBtu/h')
    """
    room, us = scenario.content.room, scenario.content.units == "us"
    fields: list[NumberField] = []
    for noun, table in (("heating", room.heating), ("cooling", room.cooling)):
        path = f"room.{noun}."
        if table is None:
            continue
        if table.design_load is not None:
            fields.append(_load(f"{path}design_load", noun, table.design_load, us=us))
        for key, label in (
            ("design_temperature", "at outdoor"),
            ("balance_temperature", "needed below" if noun == "heating" else "needed above"),
        ):
            value_c = getattr(table, key)
            if value_c is not None:
                fields.append(_temperature(path + key, label, value_c, us=us))
    indoor = room.indoor
    for noun, value_c in (("heating", indoor.heating), ("cooling", indoor.cooling)):
        fields.append(_temperature(f"room.indoor.{noun}", f"{noun} set-point", value_c, us=us))
    return tuple(fields)


def _load(path: str, noun: str, load_w: float, *, us: bool) -> NumberField:
    value, unit = (btu_h_from_w(load_w) / 1000.0, "kBtu/h") if us else (load_w / 1000.0, "kW")
    return NumberField(
        path=path,
        label=f"{noun} load",
        unit=unit,
        value=round(value, 2),
        highest=_round_up(3.0 * value),
        step=0.5 if us else 0.1,
        written_unit=unit,
    )


def _temperature(path: str, label: str, value_c: float, *, us: bool) -> NumberField:
    return NumberField(
        path=path,
        label=label,
        unit="°F" if us else "°C",
        value=round(f_from_c(value_c) if us else value_c, 1),
        step=1.0 if us else 0.5,
        written_unit="degF" if us else "degC",
    )


def price_fields(scenario: Scenario) -> tuple[NumberField, ...]:
    """List the flat prices of a scenario.

    Parameters
    ----------
    scenario
        Checked scenario.

    Returns
    -------
    tuple of NumberField
        One per carrier with a flat price; the unit is that of sale, without the currency.

    Examples
    --------
    >>> from energymodel.scenario.files import read_scenario
    >>> [(field.label, field.unit) for field in price_fields(read_scenario())]
    [('electricity', 'per kWh'), ('propane', 'per gallon')]
    """
    return tuple(
        NumberField(
            path=write_path("price", key, "energy"),
            label=carrier_of(key),
            unit=f"per {price.per}",
            value=price.energy,
            highest=_round_up(max(4.0 * price.energy, 0.6 if price.per == "kWh" else 1.0)),
            step=0.005 if price.energy < 0.5 else 0.05,
        )
        for key, price in scenario.content.price.items()
        if price.energy is not None and price.per is not None
    )


def _round_up(value: float) -> float:
    """Find the next 1, 2, 3, 4, 5, 6 or 8 times a power of ten."""
    if not value > 0:
        return _UNKNOWN_HIGHEST
    power = 10.0 ** math.floor(math.log10(value))
    for factor in (1.0, 2.0, 3.0, 4.0, 5.0, 6.0, 8.0):
        if value <= factor * power * (1.0 + 1e-9):
            return factor * power
    return 10.0 * power


def number_changes(fields: Sequence[NumberField], values: Mapping[str, float]) -> dict[str, object]:
    """Turn numbers that a reader set into changes of the scenario.

    Parameters
    ----------
    fields
        Numbers that were offered.
    values
        What they are now, in the shown unit, by path.

    Returns
    -------
    dict
        New values by path; numbers that are as they were are not in it.

    Raises
    ------
    InputError
        If one is no number, or so large that it must be a slip.
    """
    changes: dict[str, object] = {}
    for field in fields:
        value = values[field.path]
        if not abs(value) < MOST:
            raise InputError(
                f"{value:g} {field.unit} cannot be",
                where=field.label,
                expected=f"less than {MOST:,.0f}",
            )
        if value != field.value:
            changes[field.path] = field.written(value)
    return changes
