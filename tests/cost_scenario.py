"""A scenario of four options under prices and tariffs of many kinds, for tests of two ways."""

from __future__ import annotations

from pathlib import Path

from energymodel.scenario.assemble import Model, assemble
from energymodel.scenario.files import read_scenario

# Room, prices and tariffs are invented.
ROOM = """
units = "si"
[place]
weather = "greensboro-nc"
[room]
indoor = {{ heating = "21 degC", cooling = "24 degC" }}
[room.heating]
ua = "{ua} W/K"
balance_temperature = "{heating_balance} degC"
[room.cooling]
design_load = "{cooling_load} W"
design_temperature = "35 degC"
balance_temperature = "{cooling_balance} degC"
months_without = ["Apr", "Oct"]
{prices}
[[option]]
name = "Baseboard"
present = true
load_factor = {factor}
heating = {{ kind = "electric resistance", capacity = "4000 W" }}
[[option]]
name = "Inverter"
load_factor = {factor}
{inverter}
months_off = ["Oct"]
heating = {{ kind = "heat pump", unit = "inverter-standard-12", in_service = {pump} }}
cooling = {{ kind = "heat pump", unit = "inverter-standard-12", in_service = {pump} }}
[[option]]
name = "Dual fuel in ducts"
load_factor = {factor}
[option.heating]
kind = "heat pump"
unit = "two-stage-36"
off = "-1 degC"
in_service = {pump}
ducts = {{ efficiency = 0.8 }}
[option.heating.backup]
runs = "instead"
[option.heating.backup.heater]
kind = "furnace"
fuel = "natural gas"
afue = 0.95
output = "12 kW"
blower = "300 W"
in_service = {burner}
[option.cooling]
kind = "heat pump"
unit = "two-stage-36"
in_service = {pump}
ducts = {{ efficiency = 0.8 }}
[[option]]
name = "Gas heater, window unit"
load_factor = {factor}
[option.heating]
kind = "room heater"
fuel = "natural gas"
steady_state_efficiency = 0.75
cycling_cd = 0.1
pilot = "150 W"
output = "5 kW"
blower = "40 W"
in_service = {burner}
[option.cooling]
kind = "air conditioner"
unit = "window-8"
in_service = {pump}
"""
FLAT = '[price.electricity]\nenergy = {e}\nper = "kWh"\nfixed = "12 per month"\n'
GAS = '[price.natural_gas]\nenergy = {g}\nper = "therm"\nfixed = "15 per month"\n'
OTHER = ",".join(str(300.0 + 40.0 * (month % 5)) for month in range(12))
BY_TARIFF = f'[price.electricity]\ntariff = "rate.toml"\nother_use_kwh = [{OTHER}]\n'
HEAD = 'name = "Rate"\ncurrency = "USD"\neffective = 2026-01-01\n'
ON_OFF = """
[[fixed]]
name = "Customer"
price = "12 per month"
[[energy]]
name = "E"
COUNT
[[energy.period]]
name = "on"
when = [{ days = "weekdays", hours = "17-20" }]
blocks = [{ up_to = "300 kWh per month", price = 0.25 }, { price = 0.40 }]
[[energy.period]]
name = "off"
blocks = [{ up_to = "600 kWh per month", price = 0.08 }, { price = 0.12 }]
[[percent]]
name = "Tax"
percent = 7
"""
DEMAND = '[[energy]]\nname = "E"\nprice = 0.05\n[[demand]]\nname = "D"\n'
RATES = {
    "time of use": ON_OFF.replace("COUNT", ""),
    "blocks in each period": ON_OFF.replace("COUNT", 'blocks_count = "each period"'),
    "demand and minimum": DEMAND
    + 'price = 6\ninterval = "60 min"\n[[minimum]]\nname = "M"\nprice = "80 per month"\n',
    "demand by season, ratchet": '[seasons]\nsummer = "1 Jun to 15 Sep"\n'
    + DEMAND
    + 'interval = "15 min"\nratchet = { percent = 80 }\n'
    '[[demand.period]]\nname = "on"\nprice = 9\nwhen = [{ seasons = "summer", hours = "14-19" }]\n'
    '[[demand.period]]\nname = "rest"\nblocks = [{ up_to = "2 kW", price = 1 }, { price = 5 }]\n',
    "demand of the calendar month": DEMAND + 'price = 6\nmeasured = "calendar month"\n',
    "demand at the system's peak": DEMAND
    + "price = 8\nat = [2026-01-14T07:00:00, 2026-07-20T17:00:00]\n",
    "blocks per kW, rider by month": '[[energy]]\nname = "E"\n'
    'blocks = [{ up_to = "150 kWh per kW", price = 0.11 }, { price = 0.07 }]\n'
    '[[rider]]\nname = "Fuel"\nprice = [1,2,3,4,5,6,7,8,9,10,11,12]\n',
    "time order": ON_OFF.replace("COUNT", 'blocks_count = "time order"'),
    "demand day by day": DEMAND + 'price = 0.4\nmeasured = "day"\n',
}


BASE = {
    "ua": 170.0,
    "heating_balance": 15.5,
    "cooling_balance": 20.5,
    "cooling_load": 3600.0,
    "factor": 1.0,
    "pump": 0.9,
    "burner": 0.98,
    "inverter": "",
    "more": "",
    "e": 0.14,
    "g": 1.25,
}


def scenario_text(prices: str, **changes: object) -> str:
    values = {**BASE, **changes}
    # the slope of the cooling line is kept where its balance temperature moves
    slope = values["cooling_load"] / (35.0 - BASE["cooling_balance"])  # type: ignore[operator]
    values["cooling_load"] = slope * (35.0 - values["cooling_balance"])  # type: ignore[operator]
    text = ROOM + str(values.pop("more"))
    return text.format(**values, prices=prices.format(**values))


def model_of(folder: Path, prices: str, rate: str = "", **changes: object) -> Model:
    (folder / "rate.toml").write_text(HEAD + rate, "utf-8")
    (folder / "room.toml").write_text(scenario_text(prices, **changes), "utf-8")
    return assemble(read_scenario(folder / "room.toml"))
