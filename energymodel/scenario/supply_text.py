"""Electrical supplies as they are written on plates: "115 V or 208/230 V, single phase"."""

from __future__ import annotations

import re
from dataclasses import dataclass

from energymodel.datafiles import read_table

NEAR = 0.10
"""A supply fits a plate within 10 % of its voltage (common practice)."""
_VOLTS = re.compile(r"(\d{2,3}(?:\s*/\s*\d{2,3})*)\s*(?:V|volts?)(?![A-Za-z])", re.IGNORECASE)
_THREE = re.compile(r"\b(?:three|3)[\s-]*(?:phase|ph)\b", re.IGNORECASE)
_PARTS = re.compile(r"\s+or\s+|;|,(?=\s*\d)", re.IGNORECASE)


@dataclass(frozen=True, slots=True, kw_only=True)
class Supply:
    """One supply: at a site, or on a plate.

    Parameters
    ----------
    volts
        Voltages that it names, V; "208/230 V" names two.
    three_phase
        Whether it has three live wires.
    text
        As written, without what stands behind the voltage.
    """

    volts: tuple[float, ...]
    three_phase: bool
    text: str

    def common(self, other: Supply) -> float | None:
        """Return the voltage of this supply at which the other one can run.

        Parameters
        ----------
        other
            What a plate asks for.

        Returns
        -------
        float or None
            V; None if no voltage lies within 10 % of one of the other's.
        """
        if self.three_phase != other.three_phase:
            return None
        near = [
            (abs(own / asked - 1.0), own)
            for own in self.volts
            for asked in other.volts
            if abs(own / asked - 1.0) <= NEAR
        ]
        return min(near)[1] if near else None


def read_supplies(text: str) -> tuple[Supply, ...]:
    """Read the supplies that a text names.

    Parameters
    ----------
    text
        Such as "115 V or 208/230 V, single phase".

    Returns
    -------
    tuple of Supply
        Empty where no voltage can be read.

    Examples
    --------
    >>> [one.volts for one in read_supplies("115 V or 208/230 V, single phase")]
    [(115.0,), (208.0, 230.0)]
    >>> read_supplies("400 V, three phase")[0].three_phase
    True
    """
    found = []
    for part in _PARTS.split(text):
        match = _VOLTS.search(part)
        if match is None:
            continue
        volts = tuple(float(one) for one in match.group(1).split("/"))
        three = _THREE.search(part) is not None
        label = f"{match.group(1).replace(' ', '')} V" + (", three phase" if three else "")
        found.append(Supply(volts=volts, three_phase=three, text=label))
    return tuple(found)


def country_codes() -> tuple[str, ...]:
    """Return the countries whose supplies are listed.

    Returns
    -------
    tuple of str
        Two-letter codes.
    """
    return tuple(row["country"] for row in read_table("supplies.csv"))


def country_supplies(code: str) -> tuple[Supply, ...]:
    """Return the nominal supplies of a country.

    Parameters
    ----------
    code
        One of :func:`country_codes`.

    Returns
    -------
    tuple of Supply
        From the table `data/supplies.csv`.

    Examples
    --------
    >>> [one.text for one in country_supplies("JP")]
    ['100 V', '200 V']
    """
    row = next(row for row in read_table("supplies.csv") if row["country"] == code)
    return read_supplies(row["supplies"])
