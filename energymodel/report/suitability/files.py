"""Write a suitability study as one JSON or CSV file: every number and every reason."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from energymodel.new_file import write_new
from energymodel.report.comparison.tables import csv_text
from energymodel.report.suitability.answer import answer_lines
from energymodel.report.suitability.units import SiteUnits
from energymodel.report.suitability.words import reasons
from energymodel.study.suitability.capacity import ServiceFit, YearFit
from energymodel.study.suitability.hours import Shortfall
from energymodel.study.suitability.suitability import Suitability
from energymodel.study.suitability.verdict import UnitFit, criteria


def write_suitability(result: Suitability, path: Path, units: SiteUnits) -> None:
    """Write a study.

    Parameters
    ----------
    result
        All candidates.
    path
        Ends in .json or .csv; checked before by `check_new_file`.
    units
        Of the reasons in words; numbers are in SI units.
    """
    if path.suffix == ".csv":
        text = csv_text([unit_row(number, fit) for number, fit in enumerate(result.fits, 1)])
    else:
        text = json.dumps(suitability_record(result, units), indent=2, ensure_ascii=False) + "\n"
    write_new(path, text)


def suitability_record(result: Suitability, units: SiteUnits) -> dict[str, Any]:
    """Make a record of a study for JSON.

    Parameters
    ----------
    result
        All candidates.
    units
        Of the words.

    Returns
    -------
    dict
        Answer, criteria, site, units with their numbers and reasons.
    """
    return {
        "title": result.model.scenario.content.title,
        "place": result.model.weather.site.name,
        "years": [year.year_label for year in result.years.years],
        "answer": answer_lines(result, units),
        "order": [words for words, _ in criteria(result.asked)],
        "lowest_c": result.extremes.lowest_c,
        "highest_c": result.extremes.highest_c,
        "cooling_load_at_or_below": [
            {"limit_c": one.limit_c, "hours": one.hours, "load_kwh": one.energy_kwh}
            for one in result.cold_cooling
        ],
        "units": [
            {
                **unit_row(number, fit),
                "years": {
                    service.function.value: [_year(year) for year in service.years]
                    for service in (fit.heating, fit.cooling)
                    if service is not None
                },
                "reasons": [
                    {"topic": one.topic, "grade": one.grade.value, "text": one.text}
                    for one in reasons(fit, result, units)
                ],
            }
            for number, fit in enumerate(result.fits, 1)
        ],
        "notices": [str(note) for note in result.notices],
        "note": "estimate; no result approves an installation",
    }


def _year(year: YearFit) -> dict[str, Any]:
    spell = year.spell
    record: dict[str, Any] = {
        "year": year.label,
        "loaded_h": year.loaded_h,
        **_short("", year.short),
        "at_or_below_lowest_h": year.below_h,
        "above_highest_h": year.above_h,
        "extrapolated_h": year.extrapolated_h,
    }
    if spell is not None and year.spell_short is not None:
        record |= {
            "coldest_72_h_begin": spell.begins,
            "coldest_72_h_mean_c": spell.mean_c,
            **_short("coldest_72_h_", year.spell_short),
        }
    return record


def _short(prefix: str, short: Shortfall) -> dict[str, float]:
    return {
        f"{prefix}short_h": short.hours,
        f"{prefix}longest_run_h": short.longest_run_h,
        f"{prefix}short_kwh": short.energy_kwh,
        f"{prefix}load_kwh": short.load_kwh,
        f"{prefix}largest_gap_w": short.largest_w,
    }


def unit_row(number: int, fit: UnitFit) -> dict[str, Any]:
    """One candidate as a flat row; SI units.

    Parameters
    ----------
    number
        Its place in the list.
    fit
        The unit.

    Returns
    -------
    dict
        Same keys for every unit; None where something is not known.
    """
    pipes, area = fit.pipes, fit.room_area
    row: dict[str, Any] = {
        "rank": number,
        "unit": fit.candidate.key,
        "low_ambient_version": fit.candidate.low_ambient,
        "name": fit.candidate.name,
        "build": fit.candidate.form,
        "verdict": fit.verdict.value,
        "smaller_that_carries": fit.smaller,
        **_service_columns("heating", fit.heating),
        **_service_columns("cooling", fit.cooling),
        "supply": fit.supply.asked,
        "supply_missing": fit.supply.missing,
        "plate_ampacity_a": fit.supply.ampacity_a,
        "plate_breaker_a": fit.supply.breaker_a,
        "largest_input_w": fit.supply.input_w,
        "line_too_long": None if pipes is None else pipes.too_long,
        "line_too_high": None if pipes is None else pipes.too_high,
        "line_heating_factor": None if pipes is None else pipes.heating_factor,
        "line_cooling_factor": None if pipes is None else pipes.cooling_factor,
        "line_charge_kg": None if pipes is None else pipes.extra_charge_kg,
        "refrigerant": area.refrigerant,
        "charge_kg": area.charge_kg,
        "room_area_needed_m2": area.least_m2,
        "charge_above_room_limit": area.above,
        "cost_per_year": None if fit.cost is None else fit.cost.total,
    }
    return row


def _service_columns(name: str, service: ServiceFit | None) -> dict[str, Any]:
    if service is None:
        values: dict[str, Any] = dict.fromkeys(_COLUMNS)
    else:
        worst, cycling = service.worst, service.cycling
        numbers = (
            service.design_c,
            service.design_load_w,
            service.sheet_load_w,
            service.design_output_w,
            service.design_lowest_w,
            service.carries,
            worst.short.hours,
            worst.short.longest_run_h,
            worst.short.energy_kwh,
            worst.short.share,
            service.cover_w,
            service.lowest_c,
            service.below_h,
            service.highest_c,
            service.above_h,
            cycling.hours,
            cycling.loaded_h,
            cycling.per_hour,
        )
        values = dict(zip(_COLUMNS, numbers, strict=True))
    return {f"{name}_{column}": value for column, value in values.items()}


_COLUMNS = (
    "design_c",
    "design_load_w",
    "sheet_load_w",
    "design_output_w",
    "design_lowest_w",
    "carries",
    "short_h",
    "longest_run_h",
    "short_kwh",
    "short_share",
    "largest_gap_w",
    "lowest_c",
    "at_or_below_lowest_h",
    "highest_c",
    "above_highest_h",
    "below_lowest_output_h",
    "loaded_h",
    "starts_per_hour",
)
