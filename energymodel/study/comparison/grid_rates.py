"""Emission rates by the hour, weighted with what an option draws in each of them."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from energymodel.emissions import ELECTRICITY, Factor
from energymodel.errors import InputError
from energymodel.notices import Notice, UsedDefault
from energymodel.scenario.assemble import Model
from energymodel.scenario.emissions_schema import HIGHEST_KG_PER_KWH, kg_per_kwh
from energymodel.season.result import AnnualResult
from energymodel.tariffs.calendar import year_clock
from energymodel.tariffs.emission_file import EmissionFile, rates_on, read_emission_file
from energymodel.tariffs.emission_rate import EmissionRate
from energymodel.weather.year import WeatherYear


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class GridRates:
    """Rates laid on the weather year.

    Parameters
    ----------
    rate
        One per hour, at generation.
    defaults, notices
        What was used and found on the way.
    """

    rate: EmissionRate
    defaults: tuple[UsedDefault, ...] = ()
    notices: tuple[Notice, ...] = ()

    def factor(self, result: AnnualResult) -> Factor:
        """Mean rate over the hours in which an option draws electricity.

        Parameters
        ----------
        result
            The option's year.

        Returns
        -------
        Factor
            Times the year's kWh it gives the sum of the hours; without any use the plain mean.
        """
        use_kwh = result.hourly_electricity_kwh()
        whole = float(use_kwh.sum())
        kg = float(self.rate.kg_per_kwh @ use_kwh)
        return Factor(
            carrier=ELECTRICITY,
            co2_kg_per_kwh=kg / whole if whole > 0 else float(self.rate.kg_per_kwh.mean()),
            basis=f"{self.rate.basis}, weighted with the option's own hours",
            source="given by the user",
        )


def grid_rates(model: Model) -> GridRates:
    """Read the rates of a scenario and lay them on its weather year.

    Parameters
    ----------
    model
        Scenario with a file of rates.

    Returns
    -------
    GridRates
        kg per kWh for each hour of the year.

    Raises
    ------
    InputError
        If the file cannot be used, or its data year is not known.
    """
    table = model.scenario.content.emissions
    file = read_emission_file(model.scenario.path.parent / (table.hourly or ""))
    size = kg_per_kwh(table.hourly_unit or "kg/kWh")
    _check_size(file, size)
    data_year = _data_year(file, table.data_year)
    year, defaults, notices = _calendar_year(file, data_year, model.weather)
    clock = year_clock(
        year,
        zone=model.weather.site.zone,
        rows=model.weather.outdoor_c.size,
        utc_offset_h=model.weather.site.utc_offset_h,
    )
    rate = EmissionRate(
        kg_per_kwh=rates_on(file, clock) * size,
        basis=f"average rates of {file.name} by the hour, data year {data_year}",
    )
    return GridRates(rate=rate, defaults=defaults, notices=notices)


def _check_size(file: EmissionFile, size: float) -> None:
    largest = float(np.max(file.rates, initial=0.0)) * size
    if largest > HIGHEST_KG_PER_KWH:
        raise InputError(
            f"a rate of {largest:.4g} kg/kWh is more than any plant emits",
            where=file.name,
            expected=f"at most {HIGHEST_KG_PER_KWH:g} kg/kWh",
            remedy="check hourly_unit: kg or g, kWh or MWh",
        )


def _data_year(file: EmissionFile, given: int | None) -> int:
    found = file.year if given is None else given
    if found is None:
        raise InputError(
            "the data year of the rates is not given",
            where=file.name,
            expected="data_year = 2022 in [emissions]",
        )
    if file.year is not None and file.year != found:
        raise InputError(
            f"hours of {file.year}, but data_year = {found}", where=file.name, expected="one year"
        )
    return found


def _calendar_year(
    file: EmissionFile, data_year: int, weather: WeatherYear
) -> tuple[int, tuple[UsedDefault, ...], tuple[Notice, ...]]:
    """Calendar on which the weather year is laid, and what that means."""
    observed = int(weather.year_label) if weather.kind == "observed" else None
    if file.series is None:
        return observed or data_year, (), ()
    default = UsedDefault(
        name="calendar year of the emission rates", value=str(data_year), source="their own hours"
    )
    if observed in (None, data_year):
        return data_year, (default,), ()
    text = (
        f"Emission rates of {data_year} are laid on the weather of {observed}: windy or cold hours"
        " of one are not those of the other. Rates by month and hour do not claim to match."
    )
    return data_year, (default,), (Notice(topic="emissions", text=text),)
