"""Headlines of the pages, as formulas: they follow when prices and costs are changed."""

from __future__ import annotations

import calendar

import numpy as np

from energymodel.report.numbers import money
from energymodel.report.workbook.cells import Formula, Value
from energymodel.report.workbook.live import money_words, quoted, tens, tens_words
from energymodel.report.workbook.months import BLOCK, Months
from energymodel.report.workbook.options import OptionsPage
from energymodel.study.comparison.outcome import Comparison, Outcome

_NONE = "No option gives every service and carries the load"


def _best(options: OptionsPage) -> str:
    """Place of the option that costs least, counted from 1."""
    ranked = options.block("rank")
    return f"MATCH(MIN({ranked}),{ranked},0)"


def _currency(comparison: Comparison) -> str:
    return comparison.model.scenario.content.currency


def yearly_headline(options: OptionsPage) -> Value:
    """Say which option costs least in the year.

    Parameters
    ----------
    options
        The page.

    Returns
    -------
    Formula or str
        One sentence; plain words where no option can be named whatever the prices are.
    """
    comparison, currency = options.comparison, _currency(options.comparison)
    best, present = comparison.cheapest, comparison.present
    if best is None:
        return _NONE
    name = f"INDEX({options.block('name')},{_best(options)})"
    cost = f"INDEX({options.block('cost')},{_best(options)})"
    least = f'{name}&" costs least: "&{money_words(cost, currency)}&" a year"'
    value = f"{best.name} costs least: {money(best.yearly_cost, currency)} a year"
    if present is None:
        return Formula(text=f"={least}", value=value)
    saving = f"INDEX({options.block('saving')},{_best(options)})"
    words = (
        f'{name}&": about "&{tens_words(saving, currency)}&" a year "&IF({saving}<0,"more","less")'
        f"&{quoted(f' than {present.name} for the same services')}"
    )
    if best.against_present is not None:
        saved = best.against_present.payback.yearly_saving
        value = (
            f"{best.name}: about {tens(saved, currency)} a year {'less' if saved >= 0 else 'more'}"
            f" than {present.name} for the same services"
        )
    there = f"{name}={quoted(present.name)}"
    return Formula(text=f"=IF({there},{least},{words})", value=value)


def monthly_headline(months: Months, options: OptionsPage) -> Formula:
    """Say what the dearest month costs, now and with the option that costs least.

    Parameters
    ----------
    months
        The page.
    options
        For which option costs least.

    Returns
    -------
    Formula
        One sentence.
    """
    comparison, currency = months.comparison, _currency(months.comparison)
    there = comparison.present or comparison.outcomes[0]
    place, best = comparison.outcomes.index(there), comparison.cheapest
    costs = months.costs
    own = months.block_of(there.name)
    names = months.month_block(there.name)
    dearest = f"MATCH(MAX({own}),{own},0)"
    text = (
        f"INDEX({names},{dearest})&{quoted(': ')}&{money_words(f'MAX({own})', currency)}"
        f"&{quoted(f' with {there.name}')}"
    )
    by_month = _by_month(there)
    month = int(by_month.argmax())
    value = (
        f"{calendar.month_abbr[month + 1]}: {money(float(by_month[month]), currency)}"
        f" with {there.name}"
    )
    if best is not None:
        other = f"INDEX({costs},({_best(options)}-1)*{BLOCK}+{dearest})"
        least = f"INDEX({options.block('name')},{_best(options)})"
        more = f'", "&{money_words(other, currency)}&" with "&{least}'
        text += f'&IF({_best(options)}={place + 1},"",{more})'
        if best is not there:
            cost = float(_by_month(best)[month])
            value += f", {money(cost, currency)} with {best.name}"
    return Formula(text=f"={text}", value=f"{value}")


def _by_month(outcome: Outcome) -> np.ndarray[tuple[int], np.dtype[np.float64]]:
    return sum(outcome.cost_by_month.values(), np.zeros(12))
