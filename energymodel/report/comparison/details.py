"""What stands behind a comparison: bill lines, defaults, notices, cautions and sources."""

from __future__ import annotations

from rich.console import Console
from rich.text import Text

from energymodel.report.cautions import cautions_for
from energymodel.study.comparison.outcome import Comparison


def _bill_differences(comparison: Comparison) -> list[str]:
    currency = comparison.model.scenario.content.currency
    return [
        f"{outcome.name}, {carrier}: "
        + ", ".join(
            f"{line.label} {float(line.amount.sum()):,.2f}"
            for line in billed.whole.lines
            if abs(float(line.amount.sum())) >= 0.005
        )
        + f"; in all {float(billed.whole.total):,.2f} {currency}"
        for outcome in comparison.outcomes
        for carrier, billed in outcome.bills.items()
    ]


def _sources(comparison: Comparison) -> list[str]:
    units = {
        built.unit.key: built.unit.table
        for outcome in comparison.outcomes
        for built in (outcome.planned.heating, outcome.planned.cooling)
        if built is not None and built.unit is not None
    }
    lines = [f"weather: {comparison.model.weather.source}"]
    factors = [
        f"CO2e of {factor.carrier}: {factor.co2e_kg_per_kwh:.3f} kg/kWh, {factor.basis}"
        f" ({factor.source})"
        for outcome in comparison.outcomes
        for factor in outcome.emissions.factors
    ]
    lines += list(dict.fromkeys(factors))
    for key, table in units.items():
        for part, text in table.sources.items():
            lines.append(f"{key}, {part}: {' '.join(text.split())}")
    return lines


def print_details(console: Console, comparison: Comparison) -> None:
    """Print what stands behind a comparison: bill lines, defaults, notices, cautions, sources.

    Parameters
    ----------
    console
        Where to print.
    comparison
        All options.
    """
    groups = (
        ("Bill with each option less bill without, a year", _bill_differences(comparison)),
        ("Defaults used", [str(entry) for entry in comparison.model.defaults]),
        ("Notices", [str(entry) for entry in comparison.notices]),
        ("Cautions", [caution.text for caution in cautions_for(comparison)]),
        ("Sources", _sources(comparison)),
    )
    for title, entries in groups:
        if not entries:
            continue
        console.print()
        console.print(Text(title, style="bold"))
        for entry in entries:
            console.print(Text(f"- {entry}"))
