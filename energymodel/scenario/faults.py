"""Turn the findings of a strict schema into messages that name path, expectation and remedy."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from difflib import get_close_matches
from typing import Any, TypeVar

from pydantic import BaseModel, ValidationError
from pydantic_core import ErrorDetails

from energymodel.errors import EnergyModelError, InputError, ManyFaultsError
from energymodel.scenario import shape
from energymodel.scenario.fields import shown

Model = TypeVar("Model", bound=BaseModel)
_BARE_KEY = re.compile(r"[A-Za-z0-9_-]+")
_PERCENT = re.compile(r"\s*(\d+(?:\.\d+)?)\s*%\s*")
_NUMBER = re.compile(r"\s*[+-]?\d+(?:\.\d+)?\s*")
_BOUNDS = {
    "greater_than": "above {gt:g}",
    "greater_than_equal": "{ge:g} or more",
    "less_than": "below {lt:g}",
    "less_than_equal": "at most {le:g}",
    "finite_number": "a finite number",
}


def validated(model: type[Model], content: Mapping[str, Any], *, where: str) -> Model:
    """Check a parsed file against its schema and report every fault at once.

    Parameters
    ----------
    model
        Schema.
    content
        Parsed file.
    where
        Name of the file, for messages.

    Returns
    -------
    Model
        The checked records.

    Raises
    ------
    ManyFaultsError
        With one entry per fault.
    """
    try:
        return model.model_validate(content)
    except ValidationError as error:
        found = [_found(model, content, detail) for detail in error.errors(include_url=False)]
    # A key that is missing because it is misspelt is one fault, not two.
    meant = {(one.table, one.near) for one in found}
    told = [one for one in found if not (one.missing and (one.table, one.key) in meant)]
    raise ManyFaultsError([_fault(one) for one in told], where=where)


def placed(error: EnergyModelError, prefix: str) -> list[EnergyModelError]:
    """Put the place of a fault before it, and take several faults apart.

    Parameters
    ----------
    error
        One fault or several.
    prefix
        Place with what joins it to a place inside: "room.", "place.weather: ".

    Returns
    -------
    list of EnergyModelError
        Single faults.
    """
    if isinstance(error, ManyFaultsError):
        inner = f"{prefix}{error.where}: " if error.where else prefix
        return [one for fault in error.faults for one in placed(fault, inner)]
    where = f"{prefix}{error.where}" if error.where else prefix.rstrip(".: ")
    return [InputError(error.what, where=where, expected=error.expected, remedy=error.remedy)]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Found:
    """One finding of the schema at its place in the file.

    `table` is the path of the table around it, `key` the last step, `record` the schema of that
    table, `annotation` what is allowed at the place, `value` what stands there.
    """

    schema: type[BaseModel]
    detail: ErrorDetails
    table: str
    path: str
    key: str
    record: type[BaseModel] | None
    annotation: Any
    value: object

    @property
    def kind(self) -> str:
        return self.detail["type"]

    @property
    def missing(self) -> bool:
        return self.kind == "missing"

    @property
    def near(self) -> str:
        """The known key that a misspelt one is close to; empty: none."""
        if self.kind != "extra_forbidden" or self.record is None:
            return ""
        written = self.key.lower().replace("-", "_")
        near = get_close_matches(written, list(shape.fields(self.record)), n=1, cutoff=0.55)
        return near[0] if near else ""

    @property
    def wanted(self) -> str:
        """What the place may hold."""
        field = shape.fields(self.record).get(self.key) if self.record else None
        described = field.description if field is not None else None
        return described or shape.noun(self.annotation, self.path)


def _found(model: type[BaseModel], content: object, detail: ErrorDetails) -> _Found:
    """Walk to the place of a finding: through the schema, and through the file beside it."""
    here: Any = model
    record: type[BaseModel] | None = None
    value, table, path, key = content, "", "", ""
    for step in detail["loc"]:
        tagged = shape.of_kind(here, step)
        if tagged is not None:
            here = tagged
            continue
        table, key, record = path, str(step), shape.only_record(here)
        if isinstance(step, int):
            value = value[step] if isinstance(value, list) else None
            path += f"[{step + 1}]{_named(value)}"
        else:
            value = value.get(step) if isinstance(value, dict) else None
            path = _joined(path, step)
        here = shape.inside(here, step)
    return _Found(
        schema=model,
        detail=detail,
        table=table,
        path=path,
        key=key,
        record=record,
        annotation=here,
        value=value,
    )


def _joined(path: str, key: str) -> str:
    text = key if _BARE_KEY.fullmatch(key) else shown(key)
    return f"{path}.{text}" if path else text


def _named(value: object) -> str:
    name = value.get("name") if isinstance(value, dict) else None
    return f" ({shown(name)})" if isinstance(name, str) and name else ""


def _fault(found: _Found) -> InputError:
    if found.kind == "energymodel":
        texts = found.detail["ctx"]
        return InputError(
            texts["what"],
            where=found.path,
            expected=texts["expected"],
            remedy=texts["remedy"],
        )
    if found.kind == "extra_forbidden":
        return _unknown_key(found)
    if found.missing:
        return InputError("this is missing", where=found.path, expected=found.wanted)
    if found.kind in {"literal_error", "union_tag_invalid", "union_tag_not_found"}:
        return _unknown_choice(found)
    bound = _BOUNDS.get(found.kind, "")
    return InputError(
        f"{shown(found.value)} cannot be used",
        where=found.path,
        expected=bound.format(**found.detail["ctx"]) if "{" in bound else bound or found.wanted,
        remedy=_remedy(found),
    )


def _unknown_key(found: _Found) -> InputError:
    remedy = f'did you mean "{found.near}"?' if found.near else ""
    homes = list(dict.fromkeys(shape.homes(found.schema, found.key)))
    if not found.near and 1 <= len(homes) <= 3:
        tables = " or ".join(f"into {home}" if home else _TOP for home in homes)
        remedy = f"this key belongs {tables}"
    return InputError(
        f"the key {shown(found.key)} is not known here",
        where=found.path,
        expected="one of " + ", ".join(shape.fields(found.record)) if found.record else "",
        remedy=remedy,
    )


_TOP = "at the top of the file, above the first [table]"


def _unknown_choice(found: _Found) -> InputError:
    choices = shape.choices(found.annotation)
    expected = "one of " + ", ".join(shown(choice) for choice in choices)
    value, where = found.value, found.path
    if isinstance(value, dict):
        value, where = value.get("kind"), _joined(where, "kind")
    if value is None:
        return InputError("this is missing", where=where, expected=expected)
    words = [choice for choice in choices if isinstance(choice, str)]
    near = get_close_matches(str(value).lower(), words, n=1, cutoff=0.4)
    return InputError(
        f"{shown(value)} is not one of the choices",
        where=where,
        expected=expected,
        remedy=f'did you mean "{near[0]}"?' if near else "",
    )


def _remedy(found: _Found) -> str:
    value, limits = found.value, found.detail.get("ctx", {})
    if found.kind == "float_type" and isinstance(value, str):
        return _number_in_quotes(value)
    if found.kind == "list_type" and isinstance(value, dict):
        return f"write [[{found.path}]], with two brackets, once for each"
    if isinstance(value, list) and value and isinstance(value[0], dict):
        return f"write [{found.path}], with one bracket, once"
    top = limits.get("le", limits.get("lt", 0.0))
    if isinstance(value, int | float) and 0 < top < 2 < value <= 100:
        return f"write {value:g} % as {value / 100.0:g}"
    return ""


def _number_in_quotes(text: str) -> str:
    percent = _PERCENT.fullmatch(text)
    if percent is not None:
        return f"write {percent[1]} % as {float(percent[1]) / 100.0:g}, without quotes"
    return "leave the quotes out" if _NUMBER.fullmatch(text) else ""
