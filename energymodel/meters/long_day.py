"""The hour that comes twice, where a file of a fixed number of rows a day has it once."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from energymodel.meters.import_report import ReportEntry
from energymodel.meters.repeats import Rows
from energymodel.meters.wall_clock import Seconds, ZoneClock, day_text, label_text


def divided(rows: Rows, clock: ZoneClock, step_s: int) -> tuple[Rows, tuple[ReportEntry, ...]]:
    """Divide the rows of a doubled hour that stands once over both its passes.

    Parameters
    ----------
    rows
        Rising and free of repeats, labelled by the wall clock.
    clock
        Clock of the place.
    step_s
        Length of the intervals, s.

    Returns
    -------
    tuple
        Rows, and what was done.

    Notes
    -----
    Each row gives half of its energy to the second pass, so that the total of the file stays. An
    hour that is part of a longer gap is left alone.
    """
    entries: list[ReportEntry] = []
    for change, jump in zip(clock.changes_utc_s, np.diff(clock.offsets_s), strict=True):
        length = -int(jump)
        if length <= 0 or length % step_s:
            continue
        once = _single_pass(rows, int(change), length, step_s)
        if once is None:
            continue
        label = int(rows.start_s[once[0]]) + int(clock.offset_s(rows.start_s[once[:1]])[0])
        entries.append(_entry(rows, once, label))
        rows = _with_second_pass(rows, once, length)
    return rows, tuple(entries)


def _single_pass(rows: Rows, change_s: int, length_s: int, step_s: int) -> Seconds | None:
    """Return the rows of a first pass that is whole, with the row behind a missing second one."""
    first = np.arange(change_s - length_s, change_s, step_s, dtype=np.int64)
    second = first + length_s
    if np.isin(second, rows.start_s).any() or change_s + length_s not in rows.start_s:
        return None
    places = np.flatnonzero(np.isin(rows.start_s, first))
    return places if places.size == first.size else None


def _with_second_pass(rows: Rows, once: Seconds, length_s: int) -> Rows:
    kwh = rows.kwh.copy()
    kwh[:, once] /= 2.0
    behind = int(once[-1]) + 1
    return replace(
        rows,
        lines=np.insert(rows.lines, behind, rows.lines[once]),
        start_s=np.insert(rows.start_s, behind, rows.start_s[once] + length_s),
        kwh=np.insert(kwh, [behind], kwh[:, once], axis=1),
    )


def _entry(rows: Rows, once: Seconds, label_s: int) -> ReportEntry:
    lines = rows.lines[once]
    first, last = int(lines.min()), int(lines.max())
    kwh = float(np.nansum(rows.kwh[:, once]))
    return ReportEntry(
        file=rows.file,
        row=f"{rows.noun} {first}" if first == last else f"{rows.noun} {first}-{last}",
        found=f"the hour that begins at {label_text(label_s)} stands once, though it comes twice",
        expected=f"25 hours on {day_text(label_s)}, on which the clock is put back",
        done=f"its {kwh:.3f} kWh were divided over both passes, half each; the total is unchanged",
    )
