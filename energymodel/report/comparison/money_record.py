"""Money over the years as a record for other programs."""

from __future__ import annotations

from typing import Any

from energymodel.economics.discounted_payback import DiscountedPayback
from energymodel.economics.life_cycle import LifeCycleComparison, LifeCycleCost, Measure
from energymodel.report.comparison.money_table import money_defaults
from energymodel.study.comparison.money import AgainstPresent, OptionMoney, option_money
from energymodel.study.comparison.outcome import Comparison


def money_record(comparison: Comparison) -> dict[str, Any]:
    """Write the study and every option's life-cycle cost and measures.

    Parameters
    ----------
    comparison
        All options.

    Returns
    -------
    dict
        Money in the currency, not rounded; rates as fractions per year; flows out negative, of
        years 0 to N.
    """
    options = option_money(comparison)
    study = options[0].flow.study
    return {
        "study_years": study.years,
        "discount_rate": study.discount.per_year,
        "money": study.money.value,
        "inflation": study.inflation,
        "installed_on": study.starts.isoformat() if study.starts else None,
        "options": [_option(one) for one in options],
        "defaults": [
            {"name": entry.name, "value": entry.value, "source": entry.source}
            for entry in money_defaults(options)
        ],
    }


def _option(one: OptionMoney) -> dict[str, Any]:
    return {
        "name": one.name,
        "carries_the_load": one.carries,
        "life_cycle_cost": _cost(one.cost),
        "cash_flow": [
            {"kind": line.kind.value, "name": line.name, "by_year": line.by_year.tolist()}
            for line in one.flow.lines
        ],
        "against_present": _against(one.against_present) if one.against_present else None,
        "notices": [note.text for note in one.notices],
    }


def _cost(cost: LifeCycleCost) -> dict[str, Any]:
    parts = ("investment", "replacement", "energy", "upkeep", "residual", "incentives", "loan")
    return {
        "total": cost.total,
        **{part: getattr(cost, part) for part in parts},
        "equivalent_annual": cost.equivalent_annual_cost,
    }


def _against(against: AgainstPresent) -> dict[str, Any]:
    loan, whole = against.loan, against.with_added_comfort
    return {
        "services": list(against.services),
        "lost_services": list(against.lost_services),
        "extra_at_start": against.extra_at_start,
        "yearly_saving": against.yearly_saving,
        "payback_years": against.payback_years,
        **_measures(against.measures),
        "gain_by_year": against.gain.tolist(),
        "cumulative": against.cumulative.tolist(),
        "cumulative_discounted": against.cumulative_discounted.tolist(),
        "with_added_comfort": _measures(whole) if whole is not None else None,
        "loan": None
        if loan is None
        else {
            "monthly_payment": loan.monthly_payment,
            "monthly_saving": loan.monthly_saving,
            "years": loan.years,
            "gain_by_year_with_loan": against.gain_with_loan.tolist(),
        },
        "within_longest_payback": against.soon_enough,
    }


def _measures(found: LifeCycleComparison) -> dict[str, Any]:
    returned = found.rate_of_return
    return {
        "net_savings": found.net_savings,
        "saving_to_investment_ratio": _measure(found.saving_to_investment),
        "adjusted_rate_of_return": _measure(found.adjusted_return),
        "rate_of_return": {"rates": list(returned.rates), "words": returned.words},
        "simple_payback": _payback(found.simple_payback),
        "discounted_payback": _payback(found.discounted_payback),
    }


def _measure(measure: Measure) -> dict[str, Any]:
    return {"value": measure.value, "words": measure.words}


def _payback(payback: DiscountedPayback) -> dict[str, Any]:
    return {"years": payback.years, "in_year": payback.in_year, "words": payback.words}
