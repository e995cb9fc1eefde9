"""The customer's page: two pages as PDF, made of a finished comparison."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import Any

from energymodel.errors import InputError
from energymodel.new_file import check_new_file, write_new
from energymodel.notices import Notice
from energymodel.report.handout.answer import answer, question
from energymodel.report.handout.buy import buy
from energymodel.report.handout.cold import cold
from energymodel.report.handout.costs import options, parts_table
from energymodel.report.handout.first import prices, range_sentences, room
from energymodel.report.handout.flips import flips
from energymodel.report.handout.glyphs import printable
from energymodel.report.handout.language import read_language
from energymodel.report.handout.notes import defaults, lists, notes, sources
from energymodel.report.handout.numbers import Figures
from energymodel.report.handout.ranges import ranges
from energymodel.report.handout.sheet import HandoutSettings, Sheet, one_line, shortened
from energymodel.report.handout.typst import page_as_pdf
from energymodel.scenario.handout_schema import NAME_LENGTH
from energymodel.study.comparison.money import option_money
from energymodel.study.comparison.outcome import Comparison

ENDINGS = (".pdf",)
PAPERS = ("us-letter", "a4")
_TITLE_LENGTH = 110
_RUNNING_LENGTH = 76


def write_handout(
    comparison: Comparison,
    path: str | Path,
    *,
    us: bool,
    replace: bool,
    settings: HandoutSettings | None = None,
) -> tuple[Notice, ...]:
    """Write the customer's page as PDF.

    Parameters
    ----------
    comparison
        All options.
    path
        File to write, ending in .pdf.
    us
        US units, or SI.
    replace
        Whether a file that exists may be replaced.
    settings
        What is set beside the scenario's table [handout].

    Returns
    -------
    tuple of Notice
        Characters that could not be printed, real winters that could not be used.

    Raises
    ------
    InputError
        If the file cannot be written, or the language or the paper is not known.
    EnergyModelError
        If a range or weather year of the scenario cannot be used, or the page cannot be set.
    """
    target = Path(path)
    check_new_file(target, endings=ENDINGS, replace=replace)
    sheet = make_sheet(comparison, us=us, settings=settings or HandoutSettings())
    data, found = printable(page_data(sheet))
    write_new(target, page_as_pdf(data))
    return (*found, *sheet.ranges.notices)


def make_sheet(comparison: Comparison, *, us: bool, settings: HandoutSettings) -> Sheet:
    """Gather what the page draws on.

    Parameters
    ----------
    comparison
        All options.
    us
        US units, or SI.
    settings
        What the caller set.

    Returns
    -------
    Sheet
        Results, words and figures.
    """
    scenario = comparison.model.scenario
    asked = settings.language
    folder = Path() if asked else scenario.path.parent
    words = read_language(asked or scenario.content.handout.language, folder)
    return Sheet(
        comparison=comparison,
        ranges=ranges(comparison),
        money={one.name: one for one in option_money(comparison)},
        words=words,
        figures=Figures(formats=words.formats, currency=scenario.content.currency, us=us),
        settings=settings,
    )


def page_data(sheet: Sheet) -> dict[str, Any]:
    """Return everything that the template prints.

    Parameters
    ----------
    sheet
        Results, words and figures.

    Returns
    -------
    dict
        Texts, and places as shares of plots.
    """
    words = sheet.words
    plain = ("head", "figures", "room", "options", "prices", "parts", "notes", "defaults", "flips")
    return {
        "lang": words.code,
        "paper": _paper(sheet),
        "day": [_day(sheet).year, _day(sheet).month, _day(sheet).day],
        "words": {name: dict(words.table[name]) for name in plain},
        "head": _head(sheet),
        "question": {"head": words.say("question.head"), "text": question(sheet)},
        "answer": {"head": words.say("answer.head")} | answer(sheet),
        "room": room(sheet),
        "options": options(sheet),
        "together": words.say("options.together", sign=sheet.figures.sign),
        "range": range_sentences(sheet),
        "prices": prices(sheet),
        "buy": {"head": words.say("buy.head")} | buy(sheet),
        "notes": notes(sheet),
        "parts": parts_table(sheet),
        "cold": cold(sheet),
        "flips": flips(sheet),
        "lists": lists(sheet),
        "defaults": defaults(sheet),
        "sources": sources(sheet),
    }


def _head(sheet: Sheet) -> dict[str, str]:
    words, table, settings = sheet.words, sheet.content.handout, sheet.settings
    given = {
        "for": table.prepared_for if settings.prepared_for is None else settings.prepared_for,
        "by": table.prepared_by if settings.prepared_by is None else settings.prepared_by,
    }
    names = {key: shortened(text, NAME_LENGTH) for key, text in given.items()}
    title = shortened(one_line(sheet.content.title), _TITLE_LENGTH)
    whom = shortened(given["for"], _RUNNING_LENGTH // 2)
    return {
        "title": title or words.say("head.untitled"),
        "running": shortened(title, _RUNNING_LENGTH) or words.say("head.untitled"),
        "running_right": " · ".join(part for part in (whom, words.day(_day(sheet))) if part),
        "date": words.day(_day(sheet)),
        "kind": words.say("head.kind"),
        "author": names["by"],
        "mark": words.say("head.default_mark"),
        **{key: words.say(f"head.{key}", name=name) if name else "" for key, name in names.items()},
    }


def _day(sheet: Sheet) -> date:
    return sheet.settings.day or sheet.content.handout.date or date.today()


def _paper(sheet: Sheet) -> str:
    usual = PAPERS[0] if sheet.figures.us else PAPERS[1]
    paper = sheet.settings.paper or sheet.content.handout.paper or usual
    if paper not in PAPERS:
        raise InputError(f'the paper "{paper}" is not known', expected=" or ".join(PAPERS))
    return paper
