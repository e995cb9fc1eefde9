"""Columns of the page "Options"."""

from __future__ import annotations

from energymodel.report.workbook.cells import Column, Form
from energymodel.season.result import COOLING, HEATING
from energymodel.study.comparison.outcome import Comparison


def option_columns(comparison: Comparison) -> dict[str, Column]:
    """Head the page.

    Parameters
    ----------
    comparison
        All options.

    Returns
    -------
    dict of Column
        By key, in the order of the page: money first, energy after it.
    """
    money = comparison.model.scenario.content.currency
    carriers = dict.fromkeys(c for one in comparison.outcomes for c in one.energy_kwh)
    use = {
        f"use {carrier}": Column(heading=f"{carrier.capitalize()}, kWh a year", width=11)
        for carrier in carriers
    }
    return _money(money) | _energy() | use | _ratios(money)


def _money(money: str) -> dict[str, Column]:
    return {
        "name": Column(heading="Option", form=Form.WRAPPED, width=32),
        "note": Column(heading="Remark", form=Form.WRAPPED, width=22),
        "heats": Column(heading="Heats with", form=Form.WRAPPED, width=24),
        "cools": Column(heading="Cools with", form=Form.WRAPPED, width=24),
        "installed": Column(heading=f"Installed cost, {money}", width=10),
        HEATING: Column(heading=f"Heating, {money} a year", form=Form.TWO, width=10),
        COOLING: Column(heading=f"Cooling, {money} a year", form=Form.TWO, width=10),
        "account": Column(
            heading=f"Charges and other use, {money} a year", form=Form.TWO, width=11
        ),
        "cost": Column(heading=f"Yearly cost, {money} a year", form=Form.TWO, width=11),
        "low": Column(heading=f"Lowest, {money} a year", form=Form.WHOLE, width=9),
        "high": Column(heading=f"Highest, {money} a year", form=Form.WHOLE, width=9),
        "saving": Column(
            heading=f"Saved on the services there now, {money} a year", form=Form.WHOLE, width=13
        ),
        "lines": Column(heading=f"Sum of its bill lines, {money} a year", form=Form.TWO, width=11),
        "check": Column(heading=f"Difference, {money} a year", form=Form.TWO, width=10),
    }


def _energy() -> dict[str, Column]:
    return {
        "again": Column(heading="Option", form=Form.WRAPPED, width=32),
        "heat": Column(heading="Heat given, kWh a year", width=10),
        "cold": Column(heading="Heat removed, kWh a year", width=10),
    }


def _ratios(money: str) -> dict[str, Column]:
    return {
        "cop": Column(heading="Heat per energy used, kWh/kWh", form=Form.TWO, width=12),
        "eer": Column(heading="Cooling per energy used, kWh/kWh", form=Form.TWO, width=12),
        "co2e": Column(heading="Emissions, kg CO2e a year", width=11),
        "peak": Column(heading="Largest hourly draw, kW", form=Form.TWO, width=10),
        "unmet": Column(heading="Heating load not met, % of the year", form=Form.PERCENT, width=12),
        "rank": Column(
            heading=f"Services there now, if it carries the load, {money} a year",
            form=Form.TWO,
            width=14,
        ),
        "up": Column(heading=f"Highest less likely, {money} a year", form=Form.WHOLE, width=11),
        "down": Column(heading=f"Likely less lowest, {money} a year", form=Form.WHOLE, width=11),
    }
