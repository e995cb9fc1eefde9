"""Energy, peaks and emissions of each option as a table, for the details."""

from __future__ import annotations

from rich import box
from rich.table import Table
from rich.text import Text

from energymodel.study.comparison.outcome import Comparison, Outcome


def energy_table(comparison: Comparison) -> Table:
    """Make the table of what each option uses and emits in the year.

    Parameters
    ----------
    comparison
        All options.

    Returns
    -------
    Table
        One row per option, in the order of the comparison.
    """
    table = Table(box=box.SIMPLE_HEAD, padding=(0, 1, 0, 0), show_edge=False, expand=False)
    table.add_column("Option", min_width=24, max_width=36)
    for head in (
        "Electricity\nkWh",
        "Fuel\n",
        "Largest\nhour, kW",
        "Running\npeak, kW",
        "Unmet\nkWh",
        "CO2e\nkg",
    ):
        table.add_column(head, justify="right", no_wrap=True)
    for outcome in comparison.outcomes:
        table.add_row(Text(outcome.name), *_cells(outcome, comparison))
    return table


def _cells(outcome: Outcome, comparison: Comparison) -> list[str]:
    heating = outcome.coverage.unmet_kwh if outcome.coverage is not None else 0.0
    return [
        f"{outcome.energy_kwh.get('electricity', 0.0):,.0f}",
        _fuel(outcome, comparison),
        f"{outcome.result.peak_hour_kw:.2f}",
        f"{outcome.result.peak_running_kw:.2f}",
        f"{heating + outcome.cooling_unmet_kwh:,.0f}",
        f"{outcome.emissions.co2e_kg:,.0f}",
    ]


def _fuel(outcome: Outcome, comparison: Comparison) -> str:
    lines = []
    for carrier, kwh in outcome.energy_kwh.items():
        if carrier == "electricity":
            continue
        price = comparison.model.prices[carrier]
        unit = {"gallon": "gal", "litre": "L"}.get(price.per, price.per)
        lines.append(f"{kwh / price.kwh_per_unit:,.0f} {unit} {carrier}")
    return "\n".join(lines)
