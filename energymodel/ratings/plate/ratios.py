"""What a plate leaves open: ratios between rating points with their spread and source.

The ratios lie in `data/ratings/plate_ratios.csv`. The relations below give a first value from the
label or from the rated cooling capacity.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import Enum
from functools import cache

from energymodel.datafiles import read_table

STATE_RULES = "a state's compliance rules (quoted)"
NATIONAL_STANDARD = (
    "a national calculation standard for room air conditioners (Japan), chapter 4 section 3"
    " (published)"
)
LARGEST_ROOM_UNIT_W = 5600.0
"""The national standard's relations are for room units up to this rated cooling capacity."""
LARGEST_COP47 = 4.6
"""The relation between COP at 47 F and HSPF overshoots from HSPF 10 on, because HSPF credits part
load (our choice)."""
SHARE_OF_SPREAD = 0.5
"""The low and the high set go half of the way to the ends of the spreads (our choice): about ten
guesses, which do not all lie at their ends at once."""


class Case(Enum):
    """Which end of the spread of what was guessed."""

    LOW = "low"
    LIKELY = "likely"
    HIGH = "high"


@dataclass(frozen=True, slots=True, kw_only=True)
class Spread:
    """A guessed ratio.

    Parameters
    ----------
    low, likely, high
        Values; low is the unfavourable end.
    source
        Document and place, "common practice" or "our choice".
    """

    low: float
    likely: float
    high: float
    source: str

    def of(self, case: Case) -> float:
        """Return the value of one case.

        Parameters
        ----------
        case
            Low, likely or high.

        Returns
        -------
        float
            The ratio; low and high lie half-way between the likely value and the end.
        """
        end = {Case.LOW: self.low, Case.LIKELY: self.likely, Case.HIGH: self.high}[case]
        return self.likely + SHARE_OF_SPREAD * (end - self.likely)


@dataclass(frozen=True, slots=True, kw_only=True)
class Ratios:
    """The ratios of one kind of unit.

    Parameters
    ----------
    by_name
        Spread of each ratio.
    """

    by_name: Mapping[str, Spread]

    def __getitem__(self, name: str) -> Spread:
        return self.by_name[name]


@cache
def ratios_of(kind: str) -> Ratios:
    """Return the ratios of a kind of unit.

    Parameters
    ----------
    kind
        As in the file: "single speed", "two-stage", "inverter" or "inverter cold-climate".

    Returns
    -------
    Ratios
        By name.

    Examples
    --------
    >>> ratios_of("single speed")["q17_per_q47"].likely
    0.62
    """
    rows = [row for row in read_table("ratings", "plate_ratios.csv") if row["kind"] == kind]
    return Ratios(
        by_name={
            row["name"]: Spread(
                low=float(row["low"]),
                likely=float(row["likely"]),
                high=float(row["high"]),
                source=row["source"],
            )
            for row in rows
        }
    )


def capacity_ratio_17(hspf: float) -> float:
    """Capacity at 17 F over that at 47 F of a central heat pump, from its HSPF.

    Parameters
    ----------
    hspf
        HSPF of Appendix M, Btu/Wh.

    Returns
    -------
    float
        Ratio.

    References
    ----------
    A state's compliance rules (California), as carried by a public text (quoted).

    Examples
    --------
    >>> [round(capacity_ratio_17(h), 2) for h in (7.7, 8.2, 8.8, 9.5, 10.0, 12.0)]
    [0.61, 0.62, 0.63, 0.64, 0.69, 0.76]
    """
    for limit, slope, constant in (
        (7.5, 0.1113, -0.22269),
        (9.5567, 0.017, 0.4804),
        (10.408, 0.0982, -0.2956),
    ):
        if hspf < limit:
            return slope * hspf + constant
    return 0.0232 * hspf + 0.485


def cop_47(hspf: float) -> float:
    """Net COP at 47 F, from the HSPF.

    Parameters
    ----------
    hspf
        HSPF of Appendix M, Btu/Wh.

    Returns
    -------
    float
        0.3225 HSPF + 0.9099, at most 4.6.

    References
    ----------
    A state's compliance rules (California), as carried by a public text (quoted).

    Examples
    --------
    >>> [round(cop_47(h), 2) for h in (7.7, 8.2, 8.8, 10.0, 13.0)]
    [3.39, 3.55, 3.75, 4.13, 4.6]
    """
    return min(0.3225 * hspf + 0.9099, LARGEST_COP47)


def cop_17(hspf: float) -> float:
    """First guess of the COP at 17 F of a central heat pump, from its HSPF.

    Parameters
    ----------
    hspf
        HSPF of Appendix M, Btu/Wh.

    Returns
    -------
    float
        0.2186 HSPF + 0.6734; the rules then scale it until the rating is met.

    References
    ----------
    A state's compliance rules (California), as carried by a public text (quoted).

    Examples
    --------
    >>> [round(cop_17(h), 2) for h in (7.7, 8.2, 8.8, 10.0)]
    [2.36, 2.47, 2.6, 2.86]
    """
    return 0.2186 * hspf + 0.6734


def eer_95(seer: float) -> float:
    """EER at 95 F, from the SEER.

    Parameters
    ----------
    seer
        SEER of Appendix M, Btu/Wh.

    Returns
    -------
    float
        EER, Btu/Wh.

    References
    ----------
    A state's compliance rules (California), as carried by a public text (quoted).

    Examples
    --------
    >>> [round(eer_95(s), 2) for s in (10.0, 14.0, 20.0)]
    [8.74, 11.87, 13.0]
    """
    if seer < 13.0:
        return 10.0 + 0.84 * (seer - 11.5)
    return 11.3 + 0.57 * (seer - 13.0) if seer < 16.0 else 13.0


def room_unit_heating_w(cooling_w: float) -> float:
    """Rated heating capacity of a room unit, from its rated cooling capacity.

    Parameters
    ----------
    cooling_w
        Rated cooling capacity, W.

    Returns
    -------
    float
        1.2090 qC - 85.1, W; above 5.6 kW the ratio found there is kept (our choice).

    References
    ----------
    A national calculation standard for room air conditioners (Japan), chapter 4 section 3
    (published).

    Examples
    --------
    >>> round(room_unit_heating_w(3500.0))
    4146
    """
    held = min(cooling_w, LARGEST_ROOM_UNIT_W)
    return (1.2090 * held - 85.1) * cooling_w / held


def room_unit_maximum_cooling_w(cooling_w: float) -> float:
    """Maximum cooling capacity of a room unit, from its rated cooling capacity.

    Parameters
    ----------
    cooling_w
        Rated cooling capacity, W.

    Returns
    -------
    float
        max(qC, 0.8462 qC + 1205.9), W.

    References
    ----------
    As :func:`room_unit_heating_w`.
    """
    return max(cooling_w, 0.8462 * cooling_w + 1205.9)


def room_unit_maximum_heating_w(cooling_w: float) -> float:
    """Maximum heating capacity of a room unit at 7 degC, from its rated cooling capacity.

    Parameters
    ----------
    cooling_w
        Rated cooling capacity, W.

    Returns
    -------
    float
        max(qH, 1.7597 mC - 413.7), W.

    References
    ----------
    As :func:`room_unit_heating_w`.

    Examples
    --------
    >>> round(room_unit_maximum_heating_w(3500.0))
    6920
    """
    maximum = 1.7597 * room_unit_maximum_cooling_w(cooling_w) - 413.7
    return max(room_unit_heating_w(cooling_w), maximum)
