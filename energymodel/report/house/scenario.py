"""A scenario file from a house's bills: the load with its band, and options to start from."""

from __future__ import annotations

from pathlib import Path
from tempfile import TemporaryDirectory

from energymodel.building.fit_bands import CONFIDENCE, Band
from energymodel.building.load import LoadLine
from energymodel.errors import InputError
from energymodel.new_file import check_new_file
from energymodel.report.house.lines import known_words
from energymodel.report.house.scenario_options import (
    ScenarioFacts,
    option_lines,
    price_lines,
    toml_text,
)
from energymodel.scenario.files import read_scenario
from energymodel.study.house.billed_house import BilledHouse
from energymodel.units import btu_h_from_w, f_from_c


def scenario_text(house: BilledHouse, facts: ScenarioFacts) -> str:
    """Write a scenario as text.

    Parameters
    ----------
    house
        From its bills.
    facts
        What it needs besides.

    Returns
    -------
    str
        TOML with comments.
    """
    lines = [
        *_head(house, facts),
        *_room(house, facts),
        *price_lines(house, facts),
        *option_lines(house, facts),
    ]
    return "\n".join(lines)


def write_scenario(house: BilledHouse, facts: ScenarioFacts, path: Path, *, replace: bool) -> Path:
    """Write a scenario file that `energymodel compare` runs.

    Parameters
    ----------
    house
        From its bills.
    facts
        What it needs besides.
    path
        File to write.
    replace
        Whether a file that exists is replaced.

    Returns
    -------
    Path
        The file.

    Raises
    ------
    InputError
        If the file exists or its folder does not, or the load cannot stand in a scenario.
    """
    check_new_file(path, endings=(".toml",), replace=replace)
    # under its own name, so that what is wrong with it names the file that was asked for
    try:
        with TemporaryDirectory(dir=path.parent, prefix=".") as folder:
            part = Path(folder) / path.name
            part.write_text(scenario_text(house, facts), "utf-8")
            read_scenario(part)
            part.replace(path)
    except OSError as fault:
        raise InputError(f"{path} cannot be written: {fault.strerror}") from None
    return path


def _head(house: BilledHouse, facts: ScenarioFacts) -> list[str]:
    periods = house.readings.periods
    lines = [
        f"# Written by energymodel from-bills from {len(periods)} periods of {house.carrier},",
        f"# {periods[0].first_day} to {periods[-1].end_day}.",
        "# Run it:  energymodel compare THIS_FILE",
    ]
    if facts.readings_weather:
        lines.append(f"# Weather that the readings were matched with: {facts.readings_weather}.")
    return [
        *lines,
        f"title = {toml_text(facts.title)}",
        f'units = "{"us" if facts.us else "si"}"',
        'currency = "USD"',
        "",
        "[place]",
        f"weather = {toml_text(facts.weather)}",
        "",
    ]


def _temperature(value_c: float, *, us: bool) -> str:
    return f'"{f_from_c(value_c):.2f} degF"' if us else f'"{value_c:.2f} degC"'


def _heat(value_w: float, *, us: bool) -> str:
    return (
        f'"{btu_h_from_w(value_w) / 1000.0:.3f} kBtu/h"' if us else f'"{value_w / 1000.0:.4f} kW"'
    )


def _band(band: Band, *, us: bool) -> str:
    unit = "kBtu/h" if us else "kW"
    low, high = (
        btu_h_from_w(value) / 1000.0 if us else value / 1000.0 for value in (band.low, band.high)
    )
    return f"{low:.1f} to {high:.1f} {unit} in {CONFIDENCE:.0%}"


def _room(house: BilledHouse, facts: ScenarioFacts) -> list[str]:
    us, known = facts.us, house.facts
    heating, cooling = (
        _temperature(one, us=us) for one in (known.indoor_c, known.cooling_indoor_c)
    )
    lines = [
        "[room]",
        'name = "The house, from its bills"',
        f"indoor = {{ heating = {heating}, cooling = {cooling} }}",
        "",
    ]
    if house.heating is not None and house.heating_by_hour is not None:
        line = house.heating_by_hour.line
        balance_c = min(line.balance_c, known.indoor_c)
        at_design = line.slope_w_per_k * max(balance_c - house.design_c, 0.0)
        lines += [
            "[room.heating]",
            f"# Band of the design load: {_band(house.heating.load_w(house.design_c), us=us)}.",
            *_how(house, line, us=us),
            f"design_load = {_heat(at_design, us=us)}",
            f"design_temperature = {_temperature(house.design_c, us=us)}",
            f"balance_temperature = {_temperature(balance_c, us=us)}",
            'gains = "included"   # metered: what sun, people and appliances give is off already',
            "",
        ]
    if house.cooling is not None:
        lines += _cooling(house, us=us)
    return lines


def _how(house: BilledHouse, by_hour: LoadLine, *, us: bool) -> list[str]:
    lines = []
    if house.bills is not None:
        fit = house.bills.fit
        lines.append(
            f"# Form: {fit.form.name}, CV(RMSE) {fit.statistics.cv_rmse_pct:.1f} %, R2"
            f" {fit.statistics.r_squared:.3f}."
        )
    if house.pump is not None:
        lines.append("# Fitted on load through the existing heat pump's map, hour by hour.")
    elif house.facts.heating is not None:
        lines.append(
            f"# Metered energy times {house.facts.heating.useful:.3f}: {known_words(house)}."
        )
    if house.pump is None and house.heating is not None:
        fitted = _temperature(house.heating.line.balance_c, us=us).strip('"')
        lines += [
            f"# Heating begins below {fitted} by daily means; the balance temperature here is that",
            "# of the hours: with it the hours of the metered days take the heat of the fit.",
        ]
    if by_hour.balance_c > house.facts.indoor_c:
        lines.append(
            "# Balance temperature lowered to the set-point, which it lay above: the scenario takes"
            " less than the bills."
        )
    return lines


def _cooling(house: BilledHouse, *, us: bool) -> list[str]:
    if house.cooling is None or house.cooling_by_hour is None:
        return []
    line = house.cooling_by_hour.line
    heats = house.heating_by_hour.line.balance_c if house.heating_by_hour is not None else -273.0
    balance_c = max(line.balance_c, min(heats, house.facts.indoor_c))
    if house.cooling_design_c <= balance_c:
        return []
    load = house.cooling.load_w(house.cooling_design_c)
    at_design = line.slope_w_per_k * (house.cooling_design_c - balance_c)
    return [
        "[room.cooling]",
        f"# Band of the design load: {_band(load, us=us)}.",
        f"# Metered electricity times a seasonal COP of {house.facts.cooling.useful:.2f}.",
        f"design_load = {_heat(at_design, us=us)}",
        f"design_temperature = {_temperature(house.cooling_design_c, us=us)}",
        f"balance_temperature = {_temperature(balance_c, us=us)}",
        "",
    ]
