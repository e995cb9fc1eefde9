"""Pieces of formulas that carry their value along, so that the two cannot differ."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from energymodel.report.numbers import money
from energymodel.report.workbook.cells import Formula, Value
from energymodel.study.comparison.amounts import SIGNS

_NOTHING = 1e-9
_DIGITS = 15


@dataclass(frozen=True, slots=True, kw_only=True)
class Term:
    """A number in a formula.

    Parameters
    ----------
    text
        Cell, or a formula without "=".
    value
        What it gives.
    """

    text: str
    value: float

    def formula(self) -> Formula:
        """Make it the content of a cell.

        Returns
        -------
        Formula
            Live.
        """
        return Formula(text=f"={self.text}", value=self.value)


def added(terms: Sequence[Term], value: float) -> Term | None:
    """Add terms up to the model's number.

    Parameters
    ----------
    terms
        What follows the inputs.
    value
        The model's number: what the terms leave of it is a result that follows nothing, such as a
        bill under a tariff, and is added as it stands.

    Returns
    -------
    Term or None
        None without terms.
    """
    if not terms:
        return None
    text = "+".join(term.text for term in terms)
    rest = value - sum(term.value for term in terms)
    if abs(rest) > _NOTHING * max(1.0, abs(value)):
        text += f"{rest:+.{_DIGITS}g}"
    return Term(text=text, value=value)


def sum_cell(terms: Sequence[Term], value: float) -> Value:
    """Write a sum as the content of a cell.

    Parameters
    ----------
    terms, value
        As of :func:`added`.

    Returns
    -------
    Formula or float
        The number alone where nothing in it follows the inputs.
    """
    found = added(terms, value)
    return value if found is None else found.formula()


def whole(text: str) -> str:
    """Write a number as words, whole, with separators of thousands.

    Parameters
    ----------
    text
        Cell or formula without "=".

    Returns
    -------
    str
        Formula; it names no pattern, because patterns differ with the language of the program.
    """
    return f"FIXED({text},0)"


def money_words(text: str, currency: str) -> str:
    """Write an amount as words.

    Parameters
    ----------
    text
        Cell or formula without "=".
    currency
        Code.

    Returns
    -------
    str
        Formula of a text such as "$1,234", as :func:`energymodel.report.numbers.money` has it.
    """
    minus = f'IF({text}<-0.5,"-","")&'
    if currency in SIGNS:
        return f"{minus}{quoted(SIGNS[currency])}&{whole(f'ABS({text})')}"
    return f"{minus}{whole(f'ABS({text})')}&{quoted(f' {currency}')}"


def tens(value: float, currency: str) -> str:
    """Round an amount to tens, without its sign, as :func:`tens_words` does.

    Parameters
    ----------
    value
        Money.
    currency
        Code.

    Returns
    -------
    str
        Such as "$590".
    """
    return money(round(abs(value), -1), currency)


def tens_words(text: str, currency: str) -> str:
    """Write an amount as words, rounded to tens, without its sign.

    Parameters
    ----------
    text
        Cell or formula without "=".
    currency
        Code.

    Returns
    -------
    str
        Formula of a text.
    """
    return money_words(f"ROUND(ABS({text}),-1)", currency)


def quoted(text: str) -> str:
    """Write words inside a formula.

    Parameters
    ----------
    text
        Anything.

    Returns
    -------
    str
        In quotes, those inside doubled; a formula holds no more than 255 letters in one text.
    """
    parts = [text[start : start + 200] for start in range(0, len(text), 200)] or [""]
    return "&".join('"' + part.replace('"', '""') + '"' for part in parts)
