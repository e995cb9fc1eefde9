"""The table [handout]: who the customer's page is for, its paper and its language."""

from __future__ import annotations

import re
from typing import Annotated, Literal

from pydantic import Field, field_validator

from energymodel.scenario.fields import Record, refuse, shown
from energymodel.scenario.money_schema import Day

LANGUAGE_CODE = re.compile(r"[a-z]{2,3}(?:-[a-z]{2,4})?")
LANGUAGE_WORDS = 'a code such as "en", or a file such as "my-words.toml"'

NAME_LENGTH, SENTENCE_LENGTH = 80, 200
Name = Annotated[
    str, Field(max_length=NAME_LENGTH, description=f"one line of at most {NAME_LENGTH} letters")
]
Sentence = Annotated[
    str,
    Field(max_length=SENTENCE_LENGTH, description=f"a text of at most {SENTENCE_LENGTH} letters"),
]


class HandoutTable(Record):
    """What the customer's page says beside the results."""

    prepared_for: Name = ""
    prepared_by: Name = ""
    date: Day | None = None
    question: Sentence = ""
    serves: Sentence = ""
    load_source: Sentence = ""
    paper: Literal["us-letter", "a4"] | None = None
    language: str = Field(default="en", min_length=1, description=LANGUAGE_WORDS)

    @field_validator("language")
    @classmethod
    def _code_or_file(cls, language: str) -> str:
        if not LANGUAGE_CODE.fullmatch(language) and not language.endswith(".toml"):
            raise refuse(f"{shown(language)} is no language", expected=LANGUAGE_WORDS)
        return language
