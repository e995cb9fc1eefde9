"""Charge of a mildly flammable refrigerant against the smallest room it may leak into.

A flag only: the unit's listing, the manual and the local code decide, and no result is an
approval.
"""

from __future__ import annotations

from dataclasses import dataclass

from energymodel.datafiles import read_table

LEAST_HEIGHT_M = 0.6
MOST_HEIGHT_M = 2.2
"""Heights of floor and ceiling units in the published tables; real ones are held between."""
_FREE = 6.0
_FACTOR = 2.5
_EXPONENT = 1.25


def lower_flammability_limit(refrigerant: str) -> float | None:
    """Lower flammability limit of a listed A2L refrigerant.

    Parameters
    ----------
    refrigerant
        Such as "R-32".

    Returns
    -------
    float or None
        kg/m3; None: not flammable, of another class, or not listed.
    """
    for row in read_table("room_area.csv"):
        if row["refrigerant"] == refrigerant and row["lfl_kg_per_m3"]:
            return float(row["lfl_kg_per_m3"])
    return None


def safety_class(refrigerant: str) -> str:
    """Safety class of a refrigerant.

    Parameters
    ----------
    refrigerant
        Such as "R-32".

    Returns
    -------
    str
        "A1", "A2L", "A3"; empty: not listed.
    """
    rows = {row["refrigerant"]: row["safety_class"] for row in read_table("room_area.csv")}
    return rows.get(refrigerant, "")


def free_charge_kg(lfl_kg_per_m3: float) -> float:
    """Charge up to which no room area is asked for.

    Parameters
    ----------
    lfl_kg_per_m3
        Lower flammability limit.

    Returns
    -------
    float
        m1 = 6 x LFL, kg.

    References
    ----------
    IEC/UL 60335-2-40 and ASHRAE 15.2, as printed in manufacturers' A2L manuals (published).

    Examples
    --------
    >>> round(free_charge_kg(0.307), 2)
    1.84
    """
    return _FREE * lfl_kg_per_m3


def area_by_formula_m2(charge_kg: float, *, lfl_kg_per_m3: float, height_m: float) -> float:
    """Room area of the formula, whatever the charge.

    Parameters
    ----------
    charge_kg
        Factory charge with what the line adds, kg.
    lfl_kg_per_m3
        Lower flammability limit.
    height_m
        Real mounting height; held at 0.6 m and 2.2 m outside that range.

    Returns
    -------
    float
        A = (m / (2.5 LFL^1.25 h0))^2, m2.

    References
    ----------
    As :func:`free_charge_kg`.

    Examples
    --------
    >>> round(area_by_formula_m2(2.0, lfl_kg_per_m3=0.307, height_m=0.6), 1)
    34.0
    """
    return (charge_kg / _per_root_area(lfl_kg_per_m3, height_m)) ** 2


def least_area_m2(charge_kg: float, *, lfl_kg_per_m3: float, height_m: float) -> float:
    """Smallest room for a charge.

    Parameters
    ----------
    charge_kg, lfl_kg_per_m3, height_m
        As in :func:`area_by_formula_m2`.

    Returns
    -------
    float
        m2; zero up to the free charge.
    """
    if charge_kg <= free_charge_kg(lfl_kg_per_m3):
        return 0.0
    return area_by_formula_m2(charge_kg, lfl_kg_per_m3=lfl_kg_per_m3, height_m=height_m)


def most_charge_kg(area_m2: float, *, lfl_kg_per_m3: float, height_m: float) -> float:
    """Largest charge for a room.

    Parameters
    ----------
    area_m2
        Of the smallest connected room, m2.
    lfl_kg_per_m3
        Lower flammability limit.
    height_m
        As in :func:`area_by_formula_m2`.

    Returns
    -------
    float
        2.5 LFL^1.25 h0 A^0.5, never below the free charge, kg.
    """
    formula = _per_root_area(lfl_kg_per_m3, height_m) * float(area_m2**0.5)
    return max(formula, free_charge_kg(lfl_kg_per_m3))


def _per_root_area(lfl_kg_per_m3: float, height_m: float) -> float:
    height = min(max(height_m, LEAST_HEIGHT_M), MOST_HEIGHT_M)
    return float(_FACTOR * lfl_kg_per_m3**_EXPONENT * height)


@dataclass(frozen=True, slots=True, kw_only=True)
class RoomAreaFit:
    """A unit's charge against the smallest room.

    Parameters
    ----------
    refrigerant, safety_class
        As printed; empty: not known.
    factory_kg, line_kg
        Charge from the factory and what the line adds, kg; None: not known.
    height_m
        Mounting height, m; None: not known.
    room_m2
        Smallest connected room; None: not known.
    free_kg, least_m2, most_kg
        Free charge, smallest room for this charge, largest charge for this room; None: not to
        be had.
    """

    refrigerant: str
    safety_class: str
    factory_kg: float | None
    line_kg: float | None
    height_m: float | None
    room_m2: float | None
    free_kg: float | None
    least_m2: float | None
    most_kg: float | None

    @property
    def charge_kg(self) -> float | None:
        """Factory charge with the line's; the factory charge alone where the line's is unknown."""
        return None if self.factory_kg is None else self.factory_kg + (self.line_kg or 0.0)

    @property
    def above(self) -> bool | None:
        """Whether the charge is above what the formula lets into the room; None: not known.

        A charge whose line part is not known can only be found to be too large, never small enough.
        """
        charge = self.charge_kg
        if charge is None or self.free_kg is None:
            return None
        too_much = self.most_kg is not None and charge > self.most_kg
        if too_much:
            return True
        if self.line_kg is None or (self.most_kg is None and charge > self.free_kg):
            return None
        return False


def room_area_fit(
    refrigerant: str,
    *,
    factory_kg: float | None,
    line_kg: float | None,
    height_m: float | None,
    room_m2: float | None,
) -> RoomAreaFit:
    """Hold a charge against a room.

    Parameters
    ----------
    refrigerant
        As printed; empty: not known.
    factory_kg, line_kg
        Charges, kg; None: not known.
    height_m
        Mounting height, m; None: not known.
    room_m2
        Smallest connected room; None: not known.

    Returns
    -------
    RoomAreaFit
        A flag, not an approval.
    """
    lfl = lower_flammability_limit(refrigerant)
    whole = None if factory_kg is None else factory_kg + (line_kg or 0.0)
    least = most = None
    if lfl is not None and height_m is not None:
        if whole is not None:
            least = least_area_m2(whole, lfl_kg_per_m3=lfl, height_m=height_m)
        if room_m2 is not None:
            most = most_charge_kg(room_m2, lfl_kg_per_m3=lfl, height_m=height_m)
    return RoomAreaFit(
        refrigerant=refrigerant,
        safety_class=safety_class(refrigerant),
        factory_kg=factory_kg,
        line_kg=line_kg,
        height_m=height_m,
        room_m2=room_m2,
        free_kg=None if lfl is None else free_charge_kg(lfl),
        least_m2=least,
        most_kg=most,
    )
