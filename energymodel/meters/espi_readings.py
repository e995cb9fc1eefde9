"""The interval readings of one ESPI series as arrays, energy and cost each under its own scale."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from energymodel.arrays import Array
from energymodel.meters.decimal_marks import is_whole
from energymodel.meters.espi_entries import ESPI
from energymodel.meters.espi_feed import MeterReading
from energymodel.meters.import_report import MeterError, ReportEntry, place
from energymodel.meters.meter_units import MeterUnit, known_unit
from energymodel.meters.wall_clock import Seconds

if TYPE_CHECKING:
    from xml.etree.ElementTree import Element

COST_SCALE = 1e-5
"""Cost is in hundred-thousandths of the currency, whatever the multiplier of the energy is."""
_UNITS = {"72": "Wh", "38": "W", "42": "m3", "119": "ft3", "132": "Btu", "169": "therm"}
# ISO 4217 numeric codes (from memory)
_CURRENCIES = {
    "840": "USD", "124": "CAD", "978": "EUR", "826": "GBP", "36": "AUD", "554": "NZD",
    "756": "CHF", "484": "MXN", "392": "JPY", "752": "SEK", "578": "NOK", "208": "DKK",
}  # fmt: skip
_QUALITIES = {
    "0": "valid",
    "7": "manually edited",
    "8": "estimated",
    "9": "estimated",
}
_LATEST_S = 7_258_118_400
_SMALLEST_MULTIPLIER, _LARGEST_MULTIPLIER = -12, 9


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ReadingArrays:
    """One series.

    Parameters
    ----------
    file
        File name.
    number
        Number of the series in its usage point.
    start_s, length_s
        Start (UTC) and length of each reading, s, shape (readings,).
    value
        Value in `unit`, nan where missing, shape (readings,).
    unit
        Unit of the values.
    cost
        Cost in `currency`, nan where missing, shape (readings,); None if none is usable.
    currency
        ISO 4217 letters; empty without cost.
    quality
        Number of readings by quality.
    entries
        What was left out.
    """

    file: str
    number: int
    start_s: Seconds
    length_s: Seconds
    value: Array
    unit: MeterUnit
    cost: Array | None
    currency: str
    quality: Mapping[str, int]
    entries: tuple[ReportEntry, ...]


def unit_of(series: MeterReading) -> MeterUnit | None:
    """Return the unit of a series.

    Parameters
    ----------
    series
        Series.

    Returns
    -------
    MeterUnit or None
        None for what is neither energy, active power nor gas volume.
    """
    name = _UNITS.get(series.reading_type.get("uom", ""))
    return None if name is None else known_unit(name)


def reading_arrays(file: str, series: MeterReading, unit: MeterUnit) -> ReadingArrays:
    """Turn the readings of a series into arrays.

    Parameters
    ----------
    file
        File name.
    series
        Series.
    unit
        Its unit.

    Returns
    -------
    ReadingArrays
        Values under the series' own multiplier; cost under the standard's scale.

    Raises
    ------
    MeterError
        If a start, a length, a value or the multiplier cannot be read.
    """
    kind = series.reading_type
    scale = 10.0 ** _multiplier(file, kind.get("powerOfTenMultiplier", ""))
    usual = kind.get("intervalLength", "")
    rows = [
        _moment(file, number, reading, usual)
        for number, reading in enumerate(series.readings, start=1)
    ]
    starts, lengths, values = (np.array(column) for column in zip(*rows, strict=True))
    cost, currency, entries = _costs(file, series)
    return ReadingArrays(
        file=file,
        number=series.number,
        start_s=starts.astype(np.int64),
        length_s=lengths.astype(np.int64),
        value=values * scale,
        unit=unit,
        cost=cost,
        currency=currency,
        quality=_qualities(series),
        entries=entries,
    )


def _multiplier(file: str, text: str) -> int:
    if not text:
        return 0
    if not is_whole(text) or not _SMALLEST_MULTIPLIER <= int(text) <= _LARGEST_MULTIPLIER:
        raise MeterError(
            "powerOfTenMultiplier cannot be read",
            where=file,
            expected=f"a whole number from {_SMALLEST_MULTIPLIER} to {_LARGEST_MULTIPLIER}",
        )
    return int(text)


def _moment(file: str, number: int, reading: Element, usual: str) -> tuple[int, int, float]:
    where = place(file, number, noun="reading")
    start = reading.findtext(f"{ESPI}timePeriod/{ESPI}start", "").strip()
    if not is_whole(start) or not 0 <= int(start) <= _LATEST_S:
        raise MeterError(
            "the start of a reading is missing or no time",
            where=where,
            expected="whole seconds since 1970-01-01 00:00 UTC",
        )
    length = reading.findtext(f"{ESPI}timePeriod/{ESPI}duration", "").strip() or usual
    if not is_whole(length) or not 0 < int(length) < _LATEST_S:
        raise MeterError(
            "the duration of a reading is missing, without which a sample is no energy",
            where=where,
            expected="duration, or intervalLength in the reading type, in seconds",
        )
    return int(start), int(length), _number(reading.findtext(f"{ESPI}value", ""), where)


def _number(text: str, where: str) -> float:
    text = text.strip()
    if not text:
        return float("nan")
    if len(text) > 24 or not set(text) <= set("+-.0123456789"):
        raise _no_number(where)
    try:
        return float(text)
    except ValueError:
        raise _no_number(where) from None


def _no_number(where: str) -> MeterError:
    return MeterError("the value of a reading is no number", where=where, expected="a whole number")


def _costs(file: str, series: MeterReading) -> tuple[Array | None, str, tuple[ReportEntry, ...]]:
    texts = [reading.findtext(f"{ESPI}cost", "").strip() for reading in series.readings]
    if not any(texts):
        return None, "", ()
    code = series.reading_type.get("currency", "").strip().lstrip("0")
    currency = _CURRENCIES.get(code)
    whole = all(is_whole(text) for text in texts if text)
    if currency is not None and whole:
        cost = np.array([float(text) if text else np.nan for text in texts]) * COST_SCALE
        return cost, currency, ()
    entry = ReportEntry(
        file=file,
        row="",
        found="costs that are not whole numbers, so that their scale is not known"
        if currency is not None
        else "costs without a known currency",
        expected="whole hundred-thousandths of a currency that the reading type names (ISO 4217)",
        done="the costs were refused, the energy was kept",
    )
    return None, "", (entry,)


def _qualities(series: MeterReading) -> Mapping[str, int]:
    usual = series.reading_type.get("defaultQuality", "")
    counts: Counter[str] = Counter()
    for reading in series.readings:
        codes = {
            (code.text or "").strip()
            for code in reading.iterfind(f"{ESPI}ReadingQuality/{ESPI}quality")
        } or {usual}
        counts.update({_quality(code) for code in codes})
    return dict(counts)


def _quality(code: str) -> str:
    if not code:
        return "not stated"
    return _QUALITIES.get(code, f"code {code}" if is_whole(code) and len(code) < 4 else "other")
