"""What each option costs to buy, and when that comes back."""

from __future__ import annotations

from typing import Any

from energymodel.report.handout.answer import LATEST_YEARS, saving_ends
from energymodel.report.handout.costs import short_text
from energymodel.report.handout.payback import PaybackRange, comparable, payback_range
from energymodel.report.handout.sheet import (
    MARK,
    NAME_LENGTH,
    TEXT_LENGTH,
    Sheet,
    short_names,
    shortened,
)
from energymodel.scenario.option_money_schema import IncentiveEntry, PlannedEntry
from energymodel.study.comparison.outcome import ClosedAccount, Outcome

Part = dict[str, Any]
_HEADS = ("option", "installed", "extra", "saved", "simple", "discounted")
_EXTRA = 2
_WHOLE_YEARS = 20.0
"""From here a payback is given in whole years."""


def buy(sheet: Sheet) -> Part:
    """Return the table of prices and paybacks.

    Parameters
    ----------
    sheet
        The page.

    Returns
    -------
    dict
        Heads, rows of text, the sentence under it and notes.
    """
    words = sheet.words
    names = short_names(sheet.shown, NAME_LENGTH)
    heads = [words.say(f"buy.{key}") for key in _HEADS]
    rows = [_row(sheet, outcome, names[outcome.name]) for outcome in sheet.shown]
    same = all(row[_EXTRA] in ("", row[_EXTRA - 1]) for row in rows)
    kept = [k for k in range(len(heads)) if k != _EXTRA or not same]
    return {
        "heads": [heads[k] for k in kept],
        "rows": [[row[k] for k in kept] for row in rows],
        "best": [outcome is sheet.best for outcome in sheet.shown],
        "words": _words(sheet),
        "notes": [note for one in sheet.shown for note in _notes(sheet, one, names[one.name])],
        "incentives": words.say(
            "buy.some_incentive" if _has_incentive(sheet) else "buy.no_incentive"
        ),
    }


def _has_incentive(sheet: Sheet) -> bool:
    return any(outcome.planned.table.incentives for outcome in sheet.comparison.outcomes)


def _words(sheet: Sheet) -> str:
    if sheet.present is None:
        return sheet.words.say("buy.no_present")
    table = sheet.content.money
    return sheet.words.say(
        "buy.words",
        services=sheet.words.services(list(sheet.present.service_cost)),
        rate=sheet.figures.formats.percent(table.discount_rate, 1),
        years=sheet.figures.formats.years(table.study_years, 0),
        mark="" if {"study_years", "discount_rate"} <= table.model_fields_set else MARK,
    )


def _row(sheet: Sheet, outcome: Outcome, name: str) -> list[str]:
    words, table = sheet.words, outcome.planned.table
    installed = sheet.figures.money(table.installed_cost)
    if "installed_cost" not in table.model_fields_set:
        installed = words.say("buy.now" if outcome.present else "buy.no_price")
    if outcome.present:
        return [name, installed, "", "", "", ""]
    if outcome.missing_services:
        services = words.services(list(outcome.missing_services))
        return [name, installed, "", words.say("buy.missing", services=services), "", ""]
    if not outcome.carries:
        return [name, installed, "", short_text(sheet, outcome), "", ""]
    if not outcome.cost_given:
        return [name, installed, "", _saved(sheet, outcome), words.say("buy.unknown"), ""]
    found = payback_range(sheet, outcome)
    if found is None:
        return [name, installed, "", "", "", ""]
    return [
        name,
        installed,
        sheet.figures.money(found.extra),
        _saved(sheet, outcome),
        _simple(sheet, found),
        _discounted(sheet, outcome, found),
    ]


def _saved(sheet: Sheet, outcome: Outcome) -> str:
    ends = saving_ends(sheet.span(outcome))
    if ends is None:
        return ""
    low, _, high = (sheet.figures.formats.number(value) for value in ends)
    return sheet.figures.formats.range(low, high)


def _simple(sheet: Sheet, found: PaybackRange) -> str:
    words, formats = sheet.words, sheet.figures.formats
    if found.at_once:
        return words.say("buy.at_once")
    soonest, _, latest = found.years
    if found.dearer_to_run or soonest is None or soonest > LATEST_YEARS:
        return words.say("buy.never")
    digits = 0 if soonest >= _WHOLE_YEARS else 1
    if latest is None or latest > LATEST_YEARS:
        return words.say("buy.years_or_never", years=formats.years(soonest, digits))
    first, last = (formats.number(years, digits) for years in (soonest, latest))
    return formats.filled("years", formats.range(first, last))


def _discounted(sheet: Sheet, outcome: Outcome, found: PaybackRange) -> str:
    against = comparable(sheet, outcome)
    if against is None or found.extra <= 0:
        return ""
    years = against.measures.discounted_payback.years
    if years is not None:
        return sheet.figures.formats.years(years, 0 if years >= _WHOLE_YEARS else 1)
    if found.savings[1] <= 0:
        return sheet.words.say("buy.never")
    study = sheet.figures.formats.years(against.flow.study.years, 0)
    return sheet.words.say("buy.beyond", years=study)


def _notes(sheet: Sheet, outcome: Outcome, name: str) -> list[str]:
    table = outcome.planned.table
    notes = [_incentive(sheet, entry, name) for entry in table.incentives]
    if table.replaced_anyway is not None:
        notes.append(_anyway(sheet, table.replaced_anyway, name))
    if table.note:
        notes.append(f"{name}: {shortened(table.note, TEXT_LENGTH)}")
    return notes + [_closes(sheet, account, name) for account in outcome.closed_accounts]


def _incentive(sheet: Sheet, entry: IncentiveEntry, name: str) -> str:
    words = sheet.words
    ends = words.say("buy.incentive_open")
    if entry.ends is not None:
        ends = words.say("buy.incentive_ends", date=words.day(entry.ends))
    return words.say(
        "buy.incentive",
        option=name,
        name=shortened(entry.name, 40),
        amount=sheet.figures.money(entry.amount),
        source=shortened(entry.source, 60),
        date=words.day(entry.as_of),
        ends=ends,
    )


def _anyway(sheet: Sheet, entry: PlannedEntry, name: str) -> str:
    words = sheet.words
    when = words.say("buy.anyway_now")
    if entry.year:
        when = words.say("buy.anyway_year", year=str(entry.year))
    return words.say(
        "buy.anyway",
        option=name,
        name=shortened(entry.name, 40),
        amount=sheet.figures.money(entry.cost),
        when=when,
    )


def _closes(sheet: Sheet, account: ClosedAccount, name: str) -> str:
    words, once = sheet.words, account.one_off_cost
    return words.say(
        "buy.closes",
        option=name,
        carrier=words.carrier(account.carrier),
        charges=sheet.figures.about(account.charges_per_year),
        moved=words.say("buy.closes_moved") if account.appliances else "",
        once=words.say("buy.closes_once", amount=sheet.figures.about(once)) if once else "",
    )
