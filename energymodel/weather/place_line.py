"""The line of a weather file that says where it was taken.

City names may hold commas, quoted or not. The four numbers of the place are looked for as a group
that fits together, so an extra comma cannot shift them unseen.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from energymodel.errors import WeatherError
from energymodel.weather.filetext import FileText
from energymodel.weather.plausibility import site_faults
from energymodel.weather.year import Site

_NAME_PARTS = 2


def read_place(
    text: FileText,
    fields: Sequence[str],
    *,
    order: tuple[str, str, str, str],
    name_at: int,
    zone: str | None,
) -> Site:
    """Read the place from the first line of a file.

    Parameters
    ----------
    text
        File, for messages.
    fields
        Fields of its first line.
    order
        "latitude", "longitude", "utc" and "elevation" in the order of the format.
    name_at
        Index of the first field of the name; city and state follow each other.
    zone
        Time-zone name, or None.

    Returns
    -------
    Site
        The place.

    Raises
    ------
    WeatherError
        If there is no plausible group of four numbers, or more than one.
    """
    found = [
        (first, place)
        for first in range(name_at + 1, len(fields) - 3)
        if (place := _plausible(fields[first : first + 4], order)) is not None
    ]
    if len(found) != 1:
        ways = "cannot be read" if not found else "can be read in more than one way"
        raise WeatherError(
            f"the place {ways} from the line {','.join(fields)!r}",
            where=text.at(0),
            expected=f"the numbers {', '.join(order)} in this order, all of them plausible",
            remedy="put the city name in double quotes and check the numbers behind it",
        )
    first, place = found[0]
    parts = [part.strip() for part in fields[name_at:first] if part.strip(" -")]
    return replace(place, name=", ".join(parts[:_NAME_PARTS]) or text.name, zone=zone)


def _plausible(fields: Sequence[str], order: tuple[str, str, str, str]) -> Site | None:
    try:
        number = dict(zip(order, map(float, fields), strict=True))
    except ValueError:
        return None
    place = Site(
        name="",
        latitude_deg=number["latitude"],
        longitude_deg=number["longitude"],
        elevation_m=number["elevation"],
        utc_offset_h=number["utc"],
    )
    return None if site_faults(place) else place
