"""Characters that the page's fonts cannot print: found, marked and told."""

from __future__ import annotations

import json
import unicodedata
from collections.abc import Mapping
from typing import Any

from energymodel.notices import Notice
from energymodel.report.handout.typst import FAMILY, pages_as_svg

REPLACEMENT = "\ufffd"
"""What stands where a character cannot be printed."""
_LAST_PLAIN = "\u017f"
"""Latin letters to here are in the family; tests hold it to that."""
_NEVER = "\U0010fffe"
"""A code that is no character: no font has it."""
_BREAK = "\n"
"""Only the words of a language hold it: names and texts of a scenario are put on one line."""
_HIDDEN = frozenset({"Cc", "Cf", "Cs", "Co", "Cn"})
_PROBE = """#set page(width: auto, height: auto, margin: 2pt)
#set text(font: "{family}")
#for one in json(bytes(sys.inputs.data)) {{ page(text(one)) }}"""


def printable(data: Mapping[str, Any]) -> tuple[dict[str, Any], tuple[Notice, ...]]:
    """Put a mark in the place of every character that cannot be printed.

    Parameters
    ----------
    data
        Texts in lists and tables.

    Returns
    -------
    data : dict
        The same with the marks.
    notices : tuple of Notice
        One that names the characters; none where all can be printed.
    """
    composed = _mapped(data, {}, compose=True)
    missing = missing_characters(_characters(composed))
    if not missing:
        return composed, ()
    names = ", ".join(_named(one) for one in missing[:5])
    more = f" and {len(missing) - 5} more" if len(missing) > 5 else ""
    text = (
        f"The page's fonts have no sign for {names}{more}; {REPLACEMENT} stands in the place."
        " Write the name or text with other letters."
    )
    marks = {ord(one): REPLACEMENT for one in missing}
    return _mapped(composed, marks), (Notice(topic="characters", text=text),)


def _named(character: str) -> str:
    code = f"U+{ord(character):04X}"
    name = unicodedata.name(character, "")
    return f"{code} ({name.lower()})" if name else code


def _mapped(value: Any, marks: Mapping[int, str], *, compose: bool = False) -> Any:
    if isinstance(value, str):
        return unicodedata.normalize("NFC", value) if compose else value.translate(marks)
    if isinstance(value, Mapping):
        return {key: _mapped(item, marks, compose=compose) for key, item in value.items()}
    if isinstance(value, list | tuple):
        return [_mapped(item, marks, compose=compose) for item in value]
    return value


def _characters(value: Any) -> set[str]:
    if isinstance(value, str):
        return set(value)
    items = value.values() if isinstance(value, Mapping) else value
    if not isinstance(value, Mapping | list | tuple):
        return set()
    return set().union(*(_characters(item) for item in items))


def missing_characters(characters: set[str]) -> list[str]:
    """Find the characters that no font of the page has.

    Parameters
    ----------
    characters
        Any.

    Returns
    -------
    list of str
        In the order of their codes; control and format characters are among them.

    Notes
    -----
    Rare characters are set, each on its own, and compared with a code that no font has: what looks
    the same, or leaves nothing, cannot be printed.
    """
    hidden = {one for one in characters if unicodedata.category(one) in _HIDDEN} - {_BREAK}
    rare = sorted(one for one in characters - hidden if one > _LAST_PLAIN)
    if not rare:
        return sorted(hidden)
    source = _PROBE.format(family=FAMILY).encode()
    asked = json.dumps([_NEVER, *rare])
    nothing, *found = [_drawing(page) for page in pages_as_svg(source, asked)]
    lost = {one for one, drawn in zip(rare, found, strict=True) if drawn in (nothing, "")}
    spaces = {one for one in lost if unicodedata.category(one) == "Zs"}
    return sorted(hidden | (lost - spaces))


def _drawing(page: str) -> str:
    """Return the outlines of a page's glyphs; empty where nothing is drawn."""
    _, found, rest = page.partition("<symbol")
    return rest.partition(">")[2].partition("</symbol")[0] if found else ""
