"""Refrigerants: warming potentials and what leaks out of a unit over its life."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from difflib import get_close_matches
from enum import Enum

from energymodel.datafiles import read_table
from energymodel.errors import InputError

_WHOLE = 1e-6


class Assessment(Enum):
    """Assessment report that a warming potential is taken from; the value is its column."""

    AR4 = "ar4"
    AR5 = "ar5"
    AR6 = "ar6"


def refrigerant_gwp(name: str, *, assessment: Assessment = Assessment.AR5) -> float:
    """Warming potential of a refrigerant over 100 years, as listed.

    Parameters
    ----------
    name
        Such as "R-32".
    assessment
        Assessment report; the fifth unless named.

    Returns
    -------
    float
        kg CO2e per kg.

    Raises
    ------
    InputError
        If the refrigerant, or its value in that report, is not in the table.

    Examples
    --------
    >>> refrigerant_gwp("R-32")
    677.0
    """
    rows = {row["name"]: row for row in read_table("refrigerants.csv")}
    if name not in rows:
        near = get_close_matches(name, rows, n=1)
        raise InputError(
            f"the refrigerant {name!r} is not in the table",
            expected="one of " + ", ".join(rows),
            remedy=f'did you mean "{near[0]}"?' if near else "",
        )
    text = rows[name][assessment.value]
    if not text:
        raise InputError(
            f"no {assessment.name} warming potential of {name} is listed",
            remedy="name another assessment report",
        )
    return float(text)


def mixture_of(name: str) -> dict[str, float]:
    """Composition of a listed mixture.

    Parameters
    ----------
    name
        Such as "R-410A".

    Returns
    -------
    dict of float
        Share by mass of each part; the refrigerant itself where it is a single substance.
    """
    refrigerant_gwp(name, assessment=Assessment.AR4)
    row = next(row for row in read_table("refrigerants.csv") if row["name"] == name)
    if not row["mixture"]:
        return {name: 1.0}
    parts = (part.split(":") for part in row["mixture"].split(";"))
    return {part: float(share) for part, share in parts}


def mixture_gwp(
    parts_by_mass: Mapping[str, float], *, assessment: Assessment = Assessment.AR5
) -> float:
    """Warming potential of a mixture: the average by mass.

    Parameters
    ----------
    parts_by_mass
        Share by mass of each listed refrigerant; they add up to 1.
    assessment
        Assessment report; the fifth unless named.

    Returns
    -------
    float
        kg CO2e per kg.

    Raises
    ------
    InputError
        If the shares do not add up to 1.

    Examples
    --------
    >>> mixture_gwp(mixture_of("R-410A"))
    1923.5
    """
    total = sum(parts_by_mass.values())
    if abs(total - 1.0) > _WHOLE:
        raise InputError(f"the parts add up to {total:g}", expected="1 (shares by mass)")
    return sum(
        share * refrigerant_gwp(part, assessment=assessment)
        for part, share in parts_by_mass.items()
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class RefrigerantLoss:
    """What a unit loses of its charge; there are no default leaks.

    Parameters
    ----------
    refrigerant
        Such as "R-32".
    charge_kg
        Charge with the line set, kg.
    yearly_leak
        Share of the charge lost per year of use.
    life_years
        Years of use.
    end_of_life_loss
        Share of the charge at risk when the unit is taken down.
    recovery
        Share of that which is recovered.
    """

    refrigerant: str
    charge_kg: float
    yearly_leak: float
    life_years: float
    end_of_life_loss: float
    recovery: float

    def __post_init__(self) -> None:
        shares = (self.yearly_leak, self.end_of_life_loss, self.recovery)
        if not (self.charge_kg >= 0 and self.life_years > 0):
            raise InputError(
                f"a charge of {self.charge_kg:g} kg over {self.life_years:g} years",
                expected="0 kg or more over more than 0 years",
            )
        if not all(0 <= share <= 1 for share in shares):
            raise InputError(
                f"leak, end-of-life loss and recovery of {shares}", expected="shares from 0 to 1"
            )


def direct_co2e_kg_per_year(
    loss: RefrigerantLoss, *, assessment: Assessment = Assessment.AR5
) -> float:
    """Leaked refrigerant, spread evenly over the life.

    Parameters
    ----------
    loss
        Charge and leaks.
    assessment
        Assessment report; the fifth unless named.

    Returns
    -------
    float
        kg CO2e per year.

    Notes
    -----
    [charge x yearly leak x life + charge x end-of-life loss x (1 - recovery)] x GWP / life
    (common practice).

    Examples
    --------
    >>> unit = RefrigerantLoss(
    ...     refrigerant="R-32",
    ...     charge_kg=1.0,
    ...     yearly_leak=0.02,
    ...     life_years=15.0,
    ...     end_of_life_loss=0.30,
    ...     recovery=0.5,
    ... )
    >>> round(direct_co2e_kg_per_year(unit), 2)
    20.31
    """
    in_use = loss.charge_kg * loss.yearly_leak * loss.life_years
    at_end = loss.charge_kg * loss.end_of_life_loss * (1.0 - loss.recovery)
    gwp = refrigerant_gwp(loss.refrigerant, assessment=assessment)
    return (in_use + at_end) * gwp / loss.life_years
