"""What kind of use a file holds, told by its content."""

from __future__ import annotations

import re
from enum import Enum
from pathlib import Path

from energymodel.meters.import_report import MeterError
from energymodel.meters.meter_text import MeterText, is_xml, read_meter_text
from energymodel.meters.stamps import looks_like_time, read_stamp

_CUT = re.compile(r"[,;\t]")
_MOST_READS = 120
_SAMPLE = 200
_ROWS_A_DAY = 2


class FileKind(Enum):
    """What a file holds."""

    FEED = "a Green Button file"
    MONTHS = "a table of months"
    READINGS = "a list of readings"
    INTERVALS = "a table of interval data"


def kind_of_file(path: Path | str) -> FileKind:
    """Tell what kind of use a file holds.

    Parameters
    ----------
    path
        File.

    Returns
    -------
    FileKind
        XML is a feed; a table whose first heading is "month" is one of months; a table with
        times of the day and several rows a day, or of more than 120 rows, is interval data.

    Raises
    ------
    MeterError
        If the file is missing, empty, too large, or no text.
    """
    if is_xml(path):
        return FileKind.FEED
    text = read_meter_text(path)
    lines = [line for line in text.lines if line.strip(" \t;,") and not line.startswith("#")]
    if not lines:
        raise MeterError("the file is empty", where=text.name, remedy="export it again")
    if _CUT.split(lines[0])[0].strip(' "').lower() == "month":
        return FileKind.MONTHS
    if len(lines) > _MOST_READS or _has_times(text):
        return FileKind.INTERVALS
    return FileKind.READINGS


def _has_times(text: MeterText) -> bool:
    days, rows, times = set(), 0, 0
    for line in text.lines[:_SAMPLE]:
        cells = [cell.strip(' "') for cell in _CUT.split(line)]
        stamps = [stamp for cell in cells if (stamp := read_stamp(cell)) is not None]
        if not stamps:
            continue
        rows += 1
        days.add(stamps[0].parts)
        times += bool(stamps[0].second) or any(map(looks_like_time, cells))
    return times > 0 and rows >= _ROWS_A_DAY * len(days)
