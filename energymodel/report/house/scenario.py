"""A scenario file from a house's bills: the load with its band, and options to start from."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from energymodel.building.fit_bands import CONFIDENCE, Band
from energymodel.errors import InputError
from energymodel.meters.reading_files import ELECTRICITY
from energymodel.scenario.files import read_scenario
from energymodel.study.house.billed_house import BilledHouse
from energymodel.study.house.design_sizes import Carries, SizeAtDesign
from energymodel.units import btu_h_from_w, f_from_c

PLACEHOLDER = "placeholder, replace it with the price on the bill"
_PLACEHOLDERS = {
    "electricity": ("0.15", "kWh"),
    "natural gas": ("1.30", "therm"),
    "propane": ("2.60", "gallon"),
    "heating oil": ("3.60", "gallon"),
    "kerosene": ("4.20", "gallon"),
    "wood": ("300", "cord"),
    "pellets": ("330", "short_ton"),
}
_WITH_DUCTS = ("natural gas", "propane", "heating oil", "kerosene")


@dataclass(frozen=True, slots=True, kw_only=True)
class ScenarioFacts:
    """What a scenario needs besides the load.

    Parameters
    ----------
    title
        First line.
    weather
        Name of the weather as a scenario writes it.
    us
        US units, or SI.
    sizes
        The catalogue's sizes at the design temperature.
    fuel_price, electricity_price
        Money per unit of the meter and per kWh; None: a placeholder that says so.
    readings_weather
        Years whose weather the readings were matched with, for the head of the file.
    """

    title: str
    weather: str
    us: bool
    sizes: Sequence[SizeAtDesign]
    fuel_price: float | None = None
    electricity_price: float | None = None
    readings_weather: str = ""


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
    parts = [
        _head(house, facts),
        _room(house, facts),
        _prices(house, facts),
        _options(house, facts),
    ]
    return "\n".join(parts)


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
    check_scenario_path(path, replace=replace)
    part = path.with_name(f".{path.name}.part")
    try:
        part.write_text(scenario_text(house, facts), "utf-8")
        read_scenario(part)
        part.replace(path)
    finally:
        part.unlink(missing_ok=True)
    return path


def check_scenario_path(path: Path, *, replace: bool) -> None:
    """Refuse a path that no scenario can be written to, before the work is done.

    Parameters
    ----------
    path
        Wanted file.
    replace
        Whether a file that exists may be replaced.

    Raises
    ------
    InputError
        If the file exists, its folder does not, or it is no .toml.
    """
    if path.suffix != ".toml":
        raise InputError(f"{path.name} is no scenario", expected="a name that ends in .toml")
    if not path.parent.is_dir():
        raise InputError(f"there is no folder {path.parent}", remedy="make it first")
    if path.exists() and not replace:
        raise InputError(f"{path} exists", remedy="add --replace, or choose another name")


def _text(words: str) -> str:
    plain = words.replace("\\", "/").replace('"', "'")
    return '"' + "".join(letter if letter.isprintable() else " " for letter in plain) + '"'


def _head(house: BilledHouse, facts: ScenarioFacts) -> str:
    periods = house.readings.periods
    lines = [
        f"# Written by energymodel from-bills from {len(periods)} periods of {house.carrier},",
        f"# {periods[0].first_day} to {periods[-1].end_day}.",
        "# Run it:  energymodel compare THIS_FILE",
    ]
    if facts.readings_weather:
        lines.append(f"# Weather that the readings were matched with: {facts.readings_weather}.")
    return "\n".join(
        [
            *lines,
            f"title = {_text(facts.title)}",
            f'units = "{"us" if facts.us else "si"}"',
            'currency = "USD"',
            "",
            "[place]",
            f"weather = {_text(facts.weather)}",
            "",
        ]
    )


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


def _room(house: BilledHouse, facts: ScenarioFacts) -> str:
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
    if house.heating is not None:
        balance_c = min(house.heating.line.balance_c, known.indoor_c)
        load = house.heating.load_w(house.design_c)
        at_design = house.heating.line.slope_w_per_k * max(balance_c - house.design_c, 0.0)
        lines += [
            "[room.heating]",
            f"# Band of the design load: {_band(load, us=us)}.",
            *_how(house),
            f"design_load = {_heat(at_design, us=us)}",
            f"design_temperature = {_temperature(house.design_c, us=us)}",
            f"balance_temperature = {_temperature(balance_c, us=us)}",
            'gains = "included"   # metered: what sun, people and appliances give is off already',
            "",
        ]
    if house.cooling is not None:
        lines += _cooling(house, us=us)
    return "\n".join(lines)


def _how(house: BilledHouse) -> list[str]:
    lines = []
    if house.bills is not None:
        fit = house.bills.fit
        lines.append(
            f"# Form: {fit.form.name}, CV(RMSE) {fit.statistics.cv_rmse_pct:.1f} %, R2"
            f" {fit.statistics.r_squared:.3f}."
        )
    if house.pump is not None:
        lines.append("# Fitted on load through the existing heat pump's map.")
    elif house.facts.heating is not None:
        lines.append(
            f"# Metered energy times {house.facts.heating.useful:.3f} (efficiency and ducts)."
        )
    if house.heating is not None and house.heating.line.balance_c > house.facts.indoor_c:
        lines.append("# Balance temperature lowered to the set-point, which it lay above.")
    return lines


def _cooling(house: BilledHouse, *, us: bool) -> list[str]:
    if house.cooling is None:
        return []
    line = house.cooling.line
    heats = house.heating.line.balance_c if house.heating is not None else -273.0
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


def _prices(house: BilledHouse, facts: ScenarioFacts) -> str:
    lines = _price(ELECTRICITY, facts.electricity_price, "kWh")
    if house.carrier != ELECTRICITY:
        lines += _price(house.carrier, facts.fuel_price, house.readings.meter.unit)
        if facts.fuel_price is not None and house.facts.heat_content is not None:
            lines.insert(-1, f"heat_content = {_text(house.facts.heat_content)}")
    return "\n".join(lines)


def _price(carrier: str, given: float | None, unit: str) -> list[str]:
    usual, per = _PLACEHOLDERS[carrier]
    source = PLACEHOLDER if given is None else "given"
    return [
        f"[price.{carrier.replace(' ', '_')}]",
        f"energy = {usual if given is None else repr(float(given))}",
        f"per = {_text(per if given is None else unit)}",
        f"source = {_text(source)}",
        "",
    ]


def _options(house: BilledHouse, facts: ScenarioFacts) -> str:
    lines = []
    if house.heating is not None:
        lines += ["[[option]]", *_present(house), ""]
    pump = _smallest(facts.sizes)
    if pump is not None:
        unit = _text(pump.key)
        cooling = (
            [f'cooling = {{ kind = "heat pump", unit = {unit} }}']
            if house.cooling is not None
            else []
        )
        lines += [
            "[[option]]",
            f"# {pump.share:.0%} of the likely design load; it carries {pump.carries.value}.",
            "# One head reaches the rooms that are open to it; say in the scenario what is served.",
            f"name = {_text(pump.name)}",
            f'heating = {{ kind = "heat pump", unit = {unit}, backup = {{ heater ='
            ' { kind = "electric resistance" } } }',
            *cooling,
            "",
        ]
    elif house.heating is None:
        lines += [
            "[[option]]",
            'name = "Central air conditioner"',
            'cooling = { kind = "air conditioner", unit = "central-air-conditioner-24" }',
            "",
        ]
    return "\n".join(lines)


def _smallest(sizes: Sequence[SizeAtDesign]) -> SizeAtDesign | None:
    """Take the smallest size that carries the band, else the likely load, else the largest."""
    for wanted in (Carries.ALL, Carries.LIKELY):
        found = [size for size in sizes if size.carries is wanted]
        if found:
            return found[0]
    running = [size for size in sizes if size.output_w > 0]
    return running[-1] if running else None


def _present(house: BilledHouse) -> list[str]:
    known = house.facts.heating
    if known is None or house.carrier == ELECTRICITY:
        return [
            'name = "Electric resistance (compare with it; put in what is there)"',
            *(["present = true"] if known is not None else []),
            'heating = { kind = "electric resistance" }',
        ]
    efficiency = f"{min(known.efficiency, 0.99):.3f}"
    fuel = _text(house.carrier)
    if house.carrier in ("wood", "pellets"):
        heater = f'{{ kind = "stove", fuel = {fuel}, afue = {efficiency} }}'
    elif house.carrier in _WITH_DUCTS and known.duct_efficiency < 1.0:
        ducts = f"ducts = {{ efficiency = {known.duct_efficiency:.3f} }}"
        heater = f'{{ kind = "furnace", fuel = {fuel}, afue = {efficiency}, {ducts} }}'
    else:
        heater = f'{{ kind = "boiler", fuel = {fuel}, afue = {efficiency} }}'
    return [
        f'name = "Present heating, {house.carrier}"',
        "present = true",
        f"heating = {heater}",
    ]
