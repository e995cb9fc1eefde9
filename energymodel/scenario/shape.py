"""What a schema of records allows at a place: keys, choices, words for a message."""

from __future__ import annotations

from collections.abc import Iterator
from types import NoneType, UnionType
from typing import Annotated, Any, Literal, Union, get_args, get_origin

from pydantic import BaseModel
from pydantic.fields import FieldInfo

from energymodel.scenario.later import Later


def fields(record: type[BaseModel]) -> dict[str, FieldInfo]:
    """Return the keys of a record as users write them.

    Parameters
    ----------
    record
        Schema of one table.

    Returns
    -------
    dict of FieldInfo
        By key.
    """
    return {field.alias or name: field for name, field in record.model_fields.items()}


def parts(annotation: Any) -> list[Any]:
    """List what an annotation allows apart from None: records, lists, dicts, plain types.

    Parameters
    ----------
    annotation
        Type of a field.

    Returns
    -------
    list
        The members of unions, one by one.
    """
    origin = get_origin(annotation)
    if origin is Annotated:
        inner, *marks = get_args(annotation)
        record = next((mark.record for mark in marks if isinstance(mark, Later)), None)
        return [record] if record is not None else parts(inner)
    if origin in (Union, UnionType):
        return [part for each in get_args(annotation) for part in parts(each)]
    return [] if annotation is NoneType else [annotation]


def records(annotation: Any) -> list[type[BaseModel]]:
    """List the records that an annotation allows.

    Parameters
    ----------
    annotation
        Type of a field.

    Returns
    -------
    list
        One for a table, several where a table is told by its kind, none for anything else.
    """
    found = parts(annotation)
    return [part for part in found if isinstance(part, type) and issubclass(part, BaseModel)]


def only_record(annotation: Any) -> type[BaseModel] | None:
    """Return the record of a table that has one shape only.

    Parameters
    ----------
    annotation
        Type of a field.

    Returns
    -------
    type or None
        None for everything else.
    """
    found = records(annotation)
    return found[0] if len(found) == 1 else None


def of_kind(annotation: Any, kind: int | str) -> type[BaseModel] | None:
    """Return the record of one kind among several.

    Parameters
    ----------
    annotation
        Type of a field.
    kind
        As written in the file.

    Returns
    -------
    type or None
        None where the table has one shape only, or the kind is not among its kinds.
    """
    found = records(annotation)
    return next((one for one in found if len(found) > 1 and kind in kinds(one)), None)


def inside(annotation: Any, step: int | str) -> Any:
    """Return what stands one step further in: at a key, or in an entry of a list.

    Parameters
    ----------
    annotation
        Type of a field.
    step
        Key or index.

    Returns
    -------
    type or None
        None where the schema knows nothing there.
    """
    record = only_record(annotation)
    if record is not None:
        field = fields(record).get(str(step))
        return None if field is None else field.annotation
    repeated = [part for part in parts(annotation) if get_origin(part) in (list, dict)]
    return get_args(repeated[0])[-1] if repeated else None


def choices(annotation: Any) -> list[Any]:
    """List the words among which a place chooses.

    Parameters
    ----------
    annotation
        Type of a field.

    Returns
    -------
    list
        Kinds of a table, or literal values.
    """
    told = [kind for record in records(annotation) for kind in kinds(record)]
    return told or _literals(annotation)


def kinds(record: type[BaseModel]) -> list[Any]:
    """List the words in `kind` that tell a record from others.

    Parameters
    ----------
    record
        Schema of one table.

    Returns
    -------
    list
        Empty for a record without a kind.
    """
    kind = record.model_fields.get("kind")
    return _literals(kind.annotation) if kind is not None else []


def _literals(annotation: Any) -> list[Any]:
    literals = [part for part in parts(annotation) if get_origin(part) is Literal]
    return [value for part in literals for value in get_args(part)]


def noun(annotation: Any, path: str) -> str:
    """Say what a place may hold.

    Parameters
    ----------
    annotation
        Type of a field.
    path
        Where it stands, for the heads of repeated tables.

    Returns
    -------
    str
        With an article.
    """
    found, possible = records(annotation), parts(annotation)
    origin = get_origin(possible[0]) if possible else None
    if len(found) > 1:
        return "a table with kind = " + " or ".join(f'"{kind}"' for kind in choices(annotation))
    if found:
        return f"a table with {', '.join(_needed(found[0]) or fields(found[0]))}"
    if origin is Literal:
        return "one of " + ", ".join(f'"{choice}"' for choice in choices(annotation))
    if origin is list:
        return f"one or more tables [[{path}]]" if records(get_args(possible[0])[0]) else "a list"
    if origin is dict:
        return f"a table [{path}]"
    words: dict[Any, str] = {
        str: 'text in quotes, such as "..."',
        bool: "true or false, without quotes",
        float: "a plain number such as 0.95, without quotes",
        int: "a whole number, without quotes",
    }
    return words.get(possible[0] if possible else None, "")


def _needed(record: type[BaseModel]) -> list[str]:
    return [name for name, field in fields(record).items() if field.is_required()]


def homes(schema: type[BaseModel], key: str, path: str = "") -> Iterator[str]:
    """Find the tables in which a key is known.

    Parameters
    ----------
    schema
        Schema of a whole file.
    key
        As written in the file.
    path
        Table to start from; empty: the top of the file.

    Yields
    ------
    str
        Path of a table; empty: the top of the file.
    """
    for name, field in fields(schema).items():
        if name == key:
            yield path
        for part in parts(field.annotation):
            repeated = get_origin(part) in (list, dict)
            for record in records(get_args(part)[-1] if repeated else part):
                yield from homes(record, key, f"{path}.{name}" if path else name)
