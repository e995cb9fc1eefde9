"""The typesetter: one template, its own fonts, data as JSON, no network."""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Any, Final

from energymodel.datafiles import data_file
from energymodel.errors import EnergyModelError

FAMILY = "Libertinus Serif"
"""Text family; it comes inside the typesetter."""
STANDARD: Final = "ua-1"
"""PDF/UA-1: tagged, every chart with its alternative text, every character with a sign."""


def page_as_pdf(data: Mapping[str, Any]) -> bytes:
    """Set the hand-out.

    Parameters
    ----------
    data
        What the template prints: texts, and shares of plots. Its day stands in the file as the
        time of making, so that equal input gives an equal file.

    Returns
    -------
    bytes
        A PDF of two pages.

    Raises
    ------
    EnergyModelError
        If the template cannot set it.
    """
    import typst  # noqa: PLC0415 - only where a page is made

    template = data_file("handout", "handout.typ")
    try:
        made = typst.compile(
            str(template),
            root=str(template.parent),
            format="pdf",
            ignore_system_fonts=True,
            sys_inputs={"data": json.dumps(data, ensure_ascii=False)},
            pdf_standards=STANDARD,
        )
    except typst.TypstError as error:
        raise EnergyModelError(
            f"the page cannot be set: {error}",
            where="handout.typ",
            remedy="shorten the texts of the scenario and its table [handout]",
        ) from None
    return _only(made)


def _only(made: bytes | list[bytes] | None) -> bytes:
    if not isinstance(made, bytes):
        raise EnergyModelError("the typesetter gave no PDF", remedy="install typst again")
    return made


def pages_as_svg(source: bytes, data: str) -> list[str]:
    """Set a small document, each page as a drawing.

    Parameters
    ----------
    source
        Document.
    data
        JSON that it reads.

    Returns
    -------
    list of str
        One drawing per page.
    """
    import typst  # noqa: PLC0415 - only for rare characters

    made = typst.compile(source, format="svg", ignore_system_fonts=True, sys_inputs={"data": data})
    pages = made if isinstance(made, list) else [made or b""]
    return [page.decode() for page in pages]
