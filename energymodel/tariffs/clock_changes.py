"""Hours that a clock change repeats or skips, of wall-clock stamps."""

from __future__ import annotations

from datetime import datetime, timedelta

import numpy as np

from energymodel.arrays import Mask
from energymodel.tariffs.calendar import zone_info
from energymodel.tariffs.dates import Dates


def repeated_and_skipped(stamps: Dates, zone: str) -> tuple[Mask, Mask]:
    """Find the stamps that a clock change repeats, and those that it skips.

    Parameters
    ----------
    stamps
        Wall-clock times, datetime64, shape (n,).
    zone
        Name of the time zone.

    Returns
    -------
    repeated
        True where the wall clock shows the time twice, shape (n,).
    skipped
        True where it never shows it, shape (n,).

    Raises
    ------
    InputError
        If the zone is not known.

    Notes
    -----
    Python's own rule (PEP 495): of a repeated time the first reading has the larger offset, of a
    skipped one the smaller.

    Examples
    --------
    >>> days = np.array(["2023-03-12T02:00", "2023-11-05T01:00"], dtype="datetime64[m]")
    >>> [mask.tolist() for mask in repeated_and_skipped(days, "America/New_York")]
    [[False, True], [True, False]]
    """
    info = zone_info(zone)

    def less(stamp: datetime) -> timedelta:
        first, second = (stamp.replace(tzinfo=info, fold=fold).utcoffset() for fold in (0, 1))
        return (second or timedelta()) - (first or timedelta())

    change = [less(stamp) for stamp in stamps.astype("datetime64[s]").tolist()]
    none = timedelta()
    return (
        np.array([one < none for one in change], dtype=np.bool_),
        np.array([one > none for one in change], dtype=np.bool_),
    )
