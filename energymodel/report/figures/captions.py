"""Small type under charts: what was run, and where the weather is from."""

from __future__ import annotations

from energymodel.study.comparison.outcome import Comparison


def weather_caption(comparison: Comparison) -> str:
    """Name place, year and source of the weather.

    Parameters
    ----------
    comparison
        What was run.

    Returns
    -------
    str
        One sentence; licence and way of reading, which stand in brackets, are left out.
    """
    weather = comparison.model.weather
    source = weather.source.partition(" (")[0]
    return f"Weather: {weather.site.name}, {weather.year_label}, hour by hour ({source})."


def scenario_caption(comparison: Comparison) -> str:
    """Name what was run.

    Parameters
    ----------
    comparison
        What was run.

    Returns
    -------
    str
        The scenario's title with a full stop and a space; empty where it has none.
    """
    title = comparison.model.scenario.content.title.strip().rstrip(".")
    return f"{title}. " if title else ""
