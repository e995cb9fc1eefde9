"""Files of the open US utility rate database: JSON answers and the flat CSV export."""

from __future__ import annotations

import io
import json
import re
from collections.abc import Mapping
from pathlib import Path

from energymodel.csv_lines import csv_rows
from energymodel.errors import InputError
from energymodel.tariffs.rate_choices import MissingRate
from energymodel.tariffs.rate_record import RateRecord, read_record
from energymodel.tariffs.text_file import read_text

_LARGEST_BYTES = 200_000_000
_TIER = re.compile(
    r"^(energyratestructure|flatdemandstructure|demandratestructure|coincidentratestructure)"
    r"/period(\d+)/tier(\d+)(max|rate|adj|sell|unit)$"
)
_MONTHLY = re.compile(
    r"^(flatdemandmonth|fueladjustmentsmonthly|demandratchetpercentage)/?(?:month)?(\d+)$"
)
_MONTHLY_FIELDS = {"flatdemandmonth": "flatdemandmonths"}
_LISTS = ("schedule", "flatdemandmonths", "fueladjustmentsmonthly", "demandratchetpercentage")
_TEXT_FIELDS = ("label", "name", "eiaid", "startdate", "enddate")


def read_rate_file(
    path: str | Path, *, missing_rate: MissingRate = MissingRate.REFUSE
) -> tuple[RateRecord, ...]:
    """Read all records of a file.

    Parameters
    ----------
    path
        JSON: an answer with `items`, a list of records or one record. CSV: the flat export.
    missing_rate
        What a tier without a rate means.

    Returns
    -------
    tuple of RateRecord
        In the order of the file.

    Raises
    ------
    InputError
        If the file is missing, is neither, or holds no record.
    ManyFaultsError
        With every field of a record that has the wrong type or shape.
    """
    file = Path(path)
    text = read_text(file, largest=_LARGEST_BYTES, expected="records of the rate database")
    contents = (
        _from_json(text, file.name)
        if text.lstrip()[:1] in ("{", "[")
        else _from_csv(text, file.name)
    )
    if not contents:
        raise InputError("no record in it", where=file.name, expected='"items" with a record')
    return tuple(
        read_record(
            content,
            where=_where(file.name, number, len(contents)),
            missing_rate=missing_rate,
        )
        for number, content in enumerate(contents, start=1)
    )


def _where(name: str, number: int, count: int) -> str:
    return name if count == 1 else f"{name}, record {number}"


def _from_json(text: str, where: str) -> list[Mapping[str, object]]:
    try:
        parsed = json.loads(text)
    except json.JSONDecodeError as error:
        raise InputError(
            f"not valid JSON: {error.msg} (line {error.lineno}, column {error.colno})", where=where
        ) from None
    except RecursionError:
        raise InputError(
            "lists or objects are nested too deeply",
            where=where,
            expected='"items": [{...}], or one record',
        ) from None
    except ValueError:  # Python's own limit of digits, which the parser passes on
        raise InputError("a number has too many digits", where=where) from None
    if isinstance(parsed, dict):
        parsed = parsed.get("items", [parsed])
    if not isinstance(parsed, list) or not all(isinstance(one, dict) for one in parsed):
        raise InputError("no list of records in it", where=where, expected='"items": [{...}]')
    return parsed


def _from_csv(text: str, where: str) -> list[Mapping[str, object]]:
    rows = csv_rows(io.StringIO(text, newline=""), where=where)
    heads = next(rows, [])
    return [_unflattened(dict(zip(heads, row, strict=False))) for row in rows if row]


def _unflattened(row: Mapping[str, str | None]) -> dict[str, object]:
    """Put the columns of one row together to the fields of the JSON form."""
    content: dict[str, object] = {}
    tiers: dict[str, dict[int, dict[int, dict[str, object]]]] = {}
    monthly: dict[str, dict[int, float]] = {}
    for key, written in row.items():
        if written is None or not written.strip():
            continue
        tier, month = _TIER.match(key), _MONTHLY.match(key)
        if tier is not None:
            field, period, place, part = tier.groups()
            value = written if part == "unit" else _number(key, written)
            places = tiers.setdefault(field, {}).setdefault(int(period), {})
            places.setdefault(int(place), {})[part] = value
        elif month is not None:
            name = _MONTHLY_FIELDS.get(month.group(1), month.group(1))
            monthly.setdefault(name, {})[int(month.group(2))] = _number(key, written)
        else:
            content[key] = _value(key, written)
    for field, periods in tiers.items():
        content[field] = [
            [periods[period][place] for place in sorted(periods[period])]
            for period in sorted(periods)
        ]
    for name, values in monthly.items():
        whole = [values[number] for number in sorted(values)]
        content[name] = [int(v) for v in whole] if name == "flatdemandmonths" else whole
    return content


def _number(key: str, written: str) -> float:
    try:
        return float(written)
    except ValueError:
        raise InputError(f"{written!r} is not a number", where=key) from None


def _value(key: str, written: str) -> object:
    if key.endswith(_LISTS):
        try:
            return json.loads(written)
        except json.JSONDecodeError:
            raise InputError(f"{written[:40]!r} is not a list", where=key) from None
    if key in _TEXT_FIELDS:
        return written
    if written.lower() in ("true", "false"):
        return written.lower() == "true"
    try:
        return float(written)
    except ValueError:
        return written
