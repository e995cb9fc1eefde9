"""A comparison as one record for other programs: inputs, options, costs, defaults, sources."""

from __future__ import annotations

import dataclasses
import json
import math
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

from energymodel import __version__
from energymodel.equipment.curves import Function
from energymodel.report.cautions import cautions_for
from energymodel.report.comparison.money_record import money_record
from energymodel.scenario.fields import plain_record
from energymodel.season.result import COOLING, HEATING
from energymodel.study.comparison.capacity_curve import CapacityCurve, capacity_curve
from energymodel.study.comparison.cost_parts import cost_parts
from energymodel.study.comparison.outcome import Comparison, Outcome

if TYPE_CHECKING:
    from energymodel.study.comparison.bill_costs import BilledOption

UNITS = {
    "temperature": "degC",
    "heat flow and power": "W",
    "energy": "kWh; fuels by higher heating value",
    "heat-loss coefficient": "W/K",
    "length and area": "m, m2",
    "emissions": "kg CO2e",
    "money": "in the currency, not rounded",
    "time": "start of the hour, local standard time",
}


def result_text(comparison: Comparison, slugs: Sequence[str]) -> str:
    """Write a comparison as JSON.

    Parameters
    ----------
    comparison
        All options.
    slugs
        Short name of each option, as in the names of its files.

    Returns
    -------
    str
        Strictly valid: null where a number is not known or not finite.
    """
    record = _plain(_record(comparison, slugs))
    return json.dumps(record, indent=2, ensure_ascii=False, allow_nan=False) + "\n"


def _plain(value: Any) -> Any:
    if isinstance(value, Mapping):
        return {str(key): _plain(item) for key, item in value.items()}
    if isinstance(value, list | tuple):
        return [_plain(item) for item in value]
    if isinstance(value, float):
        return float(value) if math.isfinite(value) else None
    return value


def _record(comparison: Comparison, slugs: Sequence[str]) -> dict[str, Any]:
    model = comparison.model
    content = model.scenario.content
    return {
        "program": {"name": "energymodel", "version": __version__},
        "title": content.title,
        "scenario_file": model.scenario.path.name,
        "kind": "estimate, not a quotation or guarantee",
        "units": UNITS,
        "currency": content.currency,
        "weather": _weather(comparison),
        "inputs": plain_record(content),
        "catalogue_units": _catalogue_units(comparison),
        "prices": [
            {
                "carrier": price.carrier,
                "as_given": price.text,
                "per_kwh": price.per_kwh,
                "kwh_per_unit_of_sale": price.kwh_per_unit,
                "fixed_per_year": price.fixed_per_year,
                "account_stays_open": price.other_uses,
            }
            for price in model.prices.values()
        ],
        "options": [
            _option(outcome, comparison, slug)
            for outcome, slug in zip(comparison.outcomes, slugs, strict=True)
        ],
        "money": money_record(comparison),
        "defaults": [
            {"name": entry.name, "value": entry.value, "source": entry.source}
            for entry in model.defaults
        ],
        "notices": [{"topic": note.topic, "text": note.text} for note in comparison.notices],
        "cautions": [caution.text for caution in cautions_for(comparison)],
        "sources": _sources(comparison),
    }


def _weather(comparison: Comparison) -> dict[str, Any]:
    weather = comparison.model.weather
    site = weather.site
    return {
        "place": site.name,
        "latitude_deg": site.latitude_deg,
        "longitude_deg": site.longitude_deg,
        "elevation_m": site.elevation_m,
        "utc_offset_h": site.utc_offset_h,
        "zone": site.zone,
        "kind": weather.kind,
        "year": weather.year_label,
        "hours": len(weather.table),
        "coldest_c": float(weather.outdoor_c.min()),
        "mean_c": float(weather.outdoor_c.mean()),
        "hottest_c": float(weather.outdoor_c.max()),
        "source": weather.source,
    }


def _catalogue_units(comparison: Comparison) -> dict[str, Any]:
    units = {}
    for planned in comparison.model.options:
        for built in (planned.heating, planned.cooling):
            if built is not None and built.unit is not None:
                units[built.unit.key] = plain_record(built.unit.table)
    return units


def _sources(comparison: Comparison) -> list[str]:
    factors = [
        factor.factor.source
        for outcome in comparison.outcomes
        for factor in outcome.emissions.by_carrier.values()
    ]
    entries = [comparison.model.weather.source, *factors]
    entries += [entry.source for entry in comparison.model.defaults]
    return list(dict.fromkeys(entries))


def _option(outcome: Outcome, comparison: Comparison, slug: str) -> dict[str, Any]:
    result = outcome.result
    return {
        "name": outcome.name,
        "slug": slug,
        "present": outcome.present,
        "cheapest_that_carries_the_load": outcome is comparison.cheapest,
        "carries_the_load": outcome.carries,
        "missing_services": list(outcome.missing_services),
        "installed_cost": outcome.planned.table.installed_cost,
        "cost": _cost(outcome, comparison),
        "first_cost": outcome.first_cost,
        "bill_with_less_bill_without": {
            carrier: _bill_lines(billed) for carrier, billed in outcome.bills.items()
        },
        "closed_accounts": [
            {
                "carrier": account.carrier,
                "one_off_cost": account.one_off_cost,
                "yearly_saving": account.yearly_saving,
            }
            for account in outcome.closed_accounts
        ],
        "less_comfort": _less_comfort(outcome),
        "against_present": _against_present(outcome),
        "energy_kwh": dict(outcome.energy_kwh),
        "seasonal_cop": {
            service: {
                "unit": result.cop_unit(service),
                "system": result.cop_system(service),
                "season": result.cop_season(service),
            }
            for service in (HEATING, COOLING)
        },
        "emissions": {
            "co2e_kg": outcome.emissions.co2e_kg,
            "by_carrier": {
                carrier: {"co2e_kg": part.co2e_kg, "basis": part.factor.basis}
                for carrier, part in outcome.emissions.by_carrier.items()
            },
        },
        "coverage": _coverage(outcome),
        "cooling_unmet_kwh": outcome.cooling_unmet_kwh,
        "capacity": {
            function.value: _capacity(
                capacity_curve(outcome.planned.option, comparison.model.weather, function)
            )
            for function in Function
        },
        "if_the_heat_pump_fails": _failure(outcome),
        "peak_hour_kw": result.peak_hour_kw,
        "peak_running_kw": result.peak_running_kw,
        "distinct_states": len(result.states),
        "totals": {name: result.total(name) for name in result.columns},
    }


def _cost(outcome: Outcome, comparison: Comparison) -> dict[str, Any]:
    return {
        "yearly": outcome.yearly_cost,
        "by_service": outcome.service_cost,
        "standing_charges": dict(outcome.standing_charges),
        "other_use": dict(outcome.other_use_cost),
        "by_part": {
            part.value: float(values.sum())
            for part, values in cost_parts(outcome, comparison.model.prices).items()
        },
        "energy_by_month": {
            service: values.tolist() for service, values in outcome.cost_by_month.items()
        },
        "yearly_for_compared_services": outcome.like_cost,
        "per_million_btu_of_heat": outcome.cost_per_mmbtu(),
    }


def _less_comfort(outcome: Outcome) -> dict[str, Any] | None:
    forgone = outcome.less_comfort
    return None if forgone is None else dataclasses.asdict(forgone)


def _bill_lines(billed: BilledOption) -> dict[str, Any]:
    whole = billed.whole
    return {
        "lines": [
            {
                "line": line.label,
                "kind": line.kind.value,
                "unit": line.unit,
                "quantity": float(line.quantity.sum()),
                "amount": float(line.amount.sum()),
            }
            for line in whole.lines
        ],
        "total": float(whole.total),
        "price_of_the_added_kwh": float(whole.marginal_price_per_kwh),
        "average_price_of_the_whole_bill": float(whole.average_price_per_kwh),
        "whole_bill": billed.whole_bill,
    }


def _against_present(outcome: Outcome) -> dict[str, Any] | None:
    like = outcome.against_present
    if like is None:
        return None
    both = like.with_added_comfort
    return {
        "extra_cost": like.payback.extra_cost,
        "yearly_saving": like.payback.yearly_saving,
        "simple_payback_years": like.payback.years,
        "simple_payback": like.payback.words,
        "added_comfort": dict(like.added_comfort),
        "with_added_comfort": None if both is None else both.words,
        "lost_services": list(like.lost_services),
    }


def _finite(output_w: float) -> float | None:
    """Of a heater without a size JSON has no number to say how much it gives."""
    return output_w if math.isfinite(output_w) else None


def _coverage(outcome: Outcome) -> dict[str, Any] | None:
    coverage = outcome.coverage
    if coverage is None:
        return None
    return {
        "design_c": coverage.design_c,
        "design_load_w": coverage.design_load_w,
        "design_output_w": _finite(coverage.design_output_w),
        "design_heat_pump_w": coverage.design_pump_w,
        "coldest_c": coverage.coldest_c,
        "coldest_load_w": coverage.coldest_load_w,
        "coldest_output_w": _finite(coverage.coldest_output_w),
        "coldest_heat_pump_w": coverage.coldest_pump_w,
        "unmet_kwh": coverage.unmet_kwh,
        "unmet_share": coverage.unmet_share,
        "cover_cost": coverage.cover_cost,
    }


def _capacity(curve: CapacityCurve | None) -> dict[str, Any] | None:
    if curve is None:
        return None
    return {
        "balance_temperature_c": curve.balance_c,
        "capacity_balance_c": list(curve.capacity_balances_c),
        "hours_beyond_output": int(curve.short_c.size),
        "frost_drawn_at_humidity_pct": curve.humidity_pct,
    }


def _failure(outcome: Outcome) -> dict[str, Any] | None:
    failure = outcome.failure
    if failure is None:
        return None
    return {
        "month": failure.month,
        "heating_cost_on_backup": failure.cost,
        "normal_heating_cost": failure.normal_cost,
        "borrowed_heaters": failure.borrowed,
    }
