"""Numbers of the customer's page as its language writes them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

NO_BREAK = "\u00a0"
"""Space at which no line ends, so that a number and its unit stay together."""


@dataclass(frozen=True, slots=True, eq=False)
class Formats:
    """Formats of one language.

    Parameters
    ----------
    texts
        The table [format] of its file.
    """

    texts: Mapping[str, Any]

    def number(self, value: float, digits: int = 0) -> str:
        """Write a number.

        Parameters
        ----------
        value
            The number.
        digits
            Behind the decimal mark.

        Returns
        -------
        str
            With the marks of the language and a true minus.
        """
        text = f"{abs(value):,.{digits}f}"
        marks = {",": self.texts["thousands"], ".": self.texts["decimal"]}
        text = "".join(marks.get(letter, letter) for letter in text)
        below = value < 0 and any(letter in "123456789" for letter in text)
        return f"{self.texts['minus']}{text}" if below else text

    def filled(self, name: str, text: str) -> str:
        """Put a number into a format that has one place.

        Parameters
        ----------
        name
            "percent", "years", "energy", ...
        text
            The number as text.

        Returns
        -------
        str
            With its unit, which a line break never parts from it.
        """
        return str(self.texts[name]).replace(" ", NO_BREAK).format(number=text)

    def range(self, low: str, high: str) -> str:
        """Write a range.

        Parameters
        ----------
        low, high
            Its ends as text.

        Returns
        -------
        str
            One text where both read alike.
        """
        return low if low == high else str(self.texts["range"]).format(low=low, high=high)

    def percent(self, share: float, digits: int = 0) -> str:
        """Write a share.

        Parameters
        ----------
        share
            1 is the whole.
        digits
            Behind the decimal mark.

        Returns
        -------
        str
            In percent.
        """
        return self.filled("percent", self.number(100.0 * share, digits))

    def part(self, share: float, digits: int = 0) -> str:
        """Write a part of a whole: never all of it, nor nothing, by rounding.

        Parameters
        ----------
        share
            0..1.
        digits
            Behind the decimal mark.

        Returns
        -------
        str
            In percent; "more than 99 %" where a little is missing.
        """
        least = 10.0 ** -(digits + 2)
        if 0.0 < share < least / 2.0:
            return str(self.texts["less_than"]).format(text=self.percent(least, digits))
        if 1.0 - least / 2.0 <= share < 1.0:
            return str(self.texts["more_than"]).format(text=self.percent(1.0 - least, digits))
        return self.percent(share, digits)

    def years(self, years: float, digits: int = 1) -> str:
        """Write a number of years.

        Parameters
        ----------
        years
            How many.
        digits
            Behind the decimal mark.

        Returns
        -------
        str
            With the word.
        """
        return self.filled("years", self.number(years, digits))
