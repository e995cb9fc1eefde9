"""What a run did on its own: repairs it made and defaults it used."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Notice:
    """One thing the reader of a result should know.

    Parameters
    ----------
    topic
        A noun of the trade: "weather", "load", "capacity", ...
    text
        One or two sentences: what it is, what it changes, what to do.
    """

    topic: str
    text: str

    def __str__(self) -> str:
        return f"{self.topic}: {self.text}"


@dataclass(frozen=True, slots=True, kw_only=True)
class UsedDefault:
    """A value that the user did not give and the run needed.

    Parameters
    ----------
    name
        What it is, in words.
    value
        The value with its unit, as text.
    source
        Document and place, "common practice" or "our choice".
    """

    name: str
    value: str
    source: str

    def __str__(self) -> str:
        return f"{self.name}: {self.value} ({self.source})"
