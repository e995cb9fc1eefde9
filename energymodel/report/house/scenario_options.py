"""Prices and options of a scenario from a house's bills."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from energymodel.economics.fuels import heat_content
from energymodel.meters.reading_files import ELECTRICITY
from energymodel.scenario.heat_pump_kind import IN_SERVICE_LIKELY
from energymodel.study.house.bill_load import MeteredSystem
from energymodel.study.house.billed_house import BilledHouse, MeteredPump
from energymodel.study.house.design_sizes import Carries, SizeAtDesign, is_ducted

PLACEHOLDER = "placeholder, replace it with the price on the bill"
QUOTE = "# installed_cost = ...   # enter the quote"
"""Line of an option whose cost is not known."""
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
_DAYS = (31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)
_OVERSIZE = 1.4
_NO_BASE = 0.03


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


def toml_text(words: str) -> str:
    """Write words as a TOML string.

    Parameters
    ----------
    words
        Any.

    Returns
    -------
    str
        In quotes, without what TOML would read as an escape.
    """
    plain = words.replace("\\", "/").replace('"', "'")
    return '"' + "".join(letter if letter.isprintable() else " " for letter in plain) + '"'


def price_lines(house: BilledHouse, facts: ScenarioFacts) -> list[str]:
    """Write the price tables, with what else is on each account.

    Parameters
    ----------
    house
        From its bills.
    facts
        Prices, where they are known.

    Returns
    -------
    list of str
        Lines of TOML.
    """
    lines = [*_price(ELECTRICITY, facts.electricity_price, "kWh"), *_household(house), ""]
    if house.carrier == ELECTRICITY:
        return lines
    unit = house.readings.meter.unit
    lines += _price(house.carrier, facts.fuel_price, unit)
    if facts.fuel_price is not None and house.facts.heat_content is not None:
        lines.append(f"heat_content = {toml_text(house.facts.heat_content)}")
    lines.append('# fixed = "12 per month"   # the monthly charge on the bill, if there is one')
    per = unit if facts.fuel_price is not None else _PLACEHOLDERS[house.carrier][1]
    return [*lines, *_other_use(house, per), ""]


def _price(carrier: str, given: float | None, unit: str) -> list[str]:
    usual, per = _PLACEHOLDERS[carrier]
    source = PLACEHOLDER if given is None else "given"
    return [
        f"[price.{carrier.replace(' ', '_')}]",
        f"energy = {usual if given is None else repr(float(given))}",
        f"per = {toml_text(per if given is None else unit)}",
        f"source = {toml_text(source)}",
    ]


def _household(house: BilledHouse) -> list[str]:
    """Write the household's electricity, which only a tariff with blocks or demand needs."""
    main = house.carrier == ELECTRICITY and house.heating is not None
    if main and house.heating is not None:
        per_day = house.heating.base_kwh_per_day.likely
    elif house.rest is not None:
        per_day = house.rest.fit.base_per_day
    else:
        return []
    return [f"# With a tariff: other_use_kwh = {_months(max(per_day, 0.0))}   # base use"]


def _months(per_day: float) -> str:
    values = ", ".join(f"{float(f'{per_day * days:.3g}'):g}" for days in _DAYS)
    return f"[{values}]"


def _other_use(house: BilledHouse, per: str) -> list[str]:
    """Write the base use of a fuel: it decides whether the account closes without heating."""
    if house.heating is None or house.bills is None:
        return []
    band = house.heating.base_kwh_per_day
    if band.high < _NO_BASE * _mean_kwh(house):
        return ["other_uses = false   # the bills show no base use: an account for heating only"]
    if not band.low > 0:
        return ["# other_uses = true   # if it heats water or cooks too: the bills do not tell"]
    rise = house.water.rise_kwh / float(house.readings.days.sum()) if house.water else 0.0
    given = house.facts.heat_content if per == house.readings.meter.unit else None
    content = heat_content(house.carrier, per, given=given)
    per_day = (max(band.likely, 0.0) + rise) / content.kwh_per_unit
    return [
        "# Base use of the bills (hot water, cooking). It keeps the account open when the heating",
        f"# leaves; in {per}, January to December.",
        "other_uses = true",
        f"other_use = {_months(per_day)}",
    ]


def _mean_kwh(house: BilledHouse) -> float:
    """Mean metered energy per day, kWh."""
    if house.bills is None:
        return 0.0
    data = house.bills.fit.data
    return float(data.use_per_day @ data.days / data.days.sum())


def option_lines(house: BilledHouse, facts: ScenarioFacts) -> list[str]:
    """Write the options: what is there now, and the smallest size that carries the load.

    Parameters
    ----------
    house
        From its bills.
    facts
        Sizes.

    Returns
    -------
    list of str
        Lines of TOML; what an installation costs is left to the quote.
    """
    lines: list[str] = []
    if house.heating is not None:
        lines += ["[[option]]", *_present(house), ""]
    pump = _smallest(facts.sizes)
    if pump is not None:
        lines += ["[[option]]", *_new_pump(house, pump), QUOTE, ""]
    elif house.heating is None:
        lines += [
            "[[option]]",
            'name = "Central air conditioner"',
            'cooling = { kind = "air conditioner", unit = "central-air-conditioner-24" }',
            QUOTE,
            "",
        ]
    return lines


def _new_pump(house: BilledHouse, pump: SizeAtDesign) -> list[str]:
    unit, ducts = toml_text(pump.key), ""
    reach = "# One head reaches the rooms that are open to it; say in the scenario what is served."
    if is_ducted(pump.key):
        ducts = f", ducts = {{ efficiency = {house.facts.duct_efficiency:.3f} }}"
        reach = "# Through the ducts of the house: whether they fit it is for a qualified person."
    lines = [
        f"# {pump.share:.0%} of the likely design load; it carries {pump.carries.value}.",
        reach,
        f"name = {toml_text(pump.name)}",
        f'heating = {{ kind = "heat pump", unit = {unit}{ducts}, backup = {{ heater ='
        ' { kind = "electric resistance" } } }',
    ]
    if house.cooling is not None:
        lines.append(f'cooling = {{ kind = "heat pump", unit = {unit}{ducts} }}')
    return lines


def _smallest(sizes: Sequence[SizeAtDesign]) -> SizeAtDesign | None:
    """Take the smallest size that carries the band, else the likely load, else the largest."""
    for wanted in (Carries.ALL, Carries.LIKELY):
        found = [size for size in sizes if size.carries is wanted]
        if found:
            return found[0]
    running = [size for size in sizes if size.output_w > 0]
    return running[-1] if running else None


def _present(house: BilledHouse) -> list[str]:
    if house.facts.heat_pump is not None:
        name, heater = "Present heat pump", _metered_pump(house.facts.heat_pump)
    elif house.facts.heating is not None and house.carrier == ELECTRICITY:
        return _electric(house, house.facts.heating)
    elif house.facts.heating is not None:
        name = f"Present heating, {house.carrier}"
        heater = _burner(house.carrier, house.facts.heating)
    else:
        return ['name = "Electric resistance"', 'heating = { kind = "electric resistance" }']
    return [
        f"name = {toml_text(name)}",
        "present = true",
        "# The load was read off the bills with this efficiency and in_service, so that they give",
        "# back the metered energy: change them together with the load only.",
        f"heating = {heater}",
    ]


def _metered_pump(pump: MeteredPump) -> str:
    ducts = (
        ""
        if pump.duct_efficiency is None
        else f", ducts = {{ efficiency = {pump.duct_efficiency:.3f} }}"
    )
    return (
        f'{{ kind = "heat pump", unit = {toml_text(pump.unit)}, in_service ='
        f" {IN_SERVICE_LIKELY:.2f}{ducts},"
        ' backup = { heater = { kind = "electric resistance" } } }'
    )


def _burner(carrier: str, known: MeteredSystem) -> str:
    facts = f"afue = {min(known.efficiency, 0.99):.3f}, in_service = 1.0"
    fuel = toml_text(carrier)
    if carrier in ("wood", "pellets"):
        return f'{{ kind = "stove", fuel = {fuel}, {facts} }}'
    if carrier in _WITH_DUCTS and known.duct_efficiency < 1.0:
        ducts = f"ducts = {{ efficiency = {known.duct_efficiency:.3f} }}"
        return f'{{ kind = "furnace", fuel = {fuel}, {facts}, {ducts} }}'
    return f'{{ kind = "boiler", fuel = {fuel}, {facts} }}'


def _electric(house: BilledHouse, known: MeteredSystem) -> list[str]:
    """Resistance heat, in ducts or in the rooms; another efficiency has no heater of its own."""
    heater = '{ kind = "electric resistance" }'
    if known.duct_efficiency < 1.0 and house.heating is not None:
        load_w = house.heating.load_w(house.design_c).high
        kilowatts = max(_OVERSIZE * load_w / known.duct_efficiency / 1000.0, 1.0)
        heater = (
            f'{{ kind = "electric furnace", capacity = "{kilowatts:.0f} kW", ducts = {{ efficiency'
            f" = {known.duct_efficiency:.3f} }} }}"
        )
    other = (
        []
        if known.efficiency == 1.0
        else [
            f"# The bills were read with an efficiency of {known.efficiency:g}, which resistance",
            "# heat does not have: put in the unit that is there.",
        ]
    )
    return [
        'name = "Present heating, electricity"',
        "present = true",
        *other,
        f"heating = {heater}",
    ]
