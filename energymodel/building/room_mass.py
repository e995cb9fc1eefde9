"""Thermal mass of rooms by type, per square metre of floor."""

from __future__ import annotations

from dataclasses import dataclass
from difflib import get_close_matches

from energymodel.datafiles import read_table
from energymodel.errors import InputError


@dataclass(frozen=True, slots=True, kw_only=True)
class RoomMass:
    """Thermal mass of one type of room, per square metre of floor.

    Parameters
    ----------
    key, room
        Short name, and the type in words.
    air_j_per_m2_k, structure_j_per_m2_k
        Heat capacity of the two nodes, J/(m2 K).
    coupling_w_per_m2_k
        Conductance between them, W/(m2 K).
    loss_through_structure
        Share of the heat loss that passes through the structure, 0..1.
    source
        Where the numbers come from.
    """

    key: str
    room: str
    air_j_per_m2_k: float
    structure_j_per_m2_k: float
    coupling_w_per_m2_k: float
    loss_through_structure: float
    source: str


def room_masses() -> tuple[RoomMass, ...]:
    """Return all room types with their thermal mass.

    Returns
    -------
    tuple of RoomMass
        In the order of the table `data/room_mass.csv`, lightest first.
    """
    return tuple(
        RoomMass(
            key=row["key"],
            room=row["room"],
            air_j_per_m2_k=1000.0 * float(row["air_kj_per_m2_k"]),
            structure_j_per_m2_k=1000.0 * float(row["structure_kj_per_m2_k"]),
            coupling_w_per_m2_k=float(row["coupling_w_per_m2_k"]),
            loss_through_structure=float(row["loss_through_structure"]),
            source=row["source"],
        )
        for row in read_table("room_mass.csv")
    )


def room_mass(key: str) -> RoomMass:
    """Return the thermal mass of one type of room.

    Parameters
    ----------
    key
        Short name, such as "timber-frame".

    Returns
    -------
    RoomMass
        Its row of the table.

    Raises
    ------
    InputError
        If there is no such type.

    Examples
    --------
    >>> room_mass("masonry").structure_j_per_m2_k
    260000.0
    """
    masses = {mass.key: mass for mass in room_masses()}
    if key in masses:
        return masses[key]
    near = get_close_matches(key, masses, n=1)
    raise InputError(
        f"{key!r} is not a type of room",
        expected=", ".join(masses),
        remedy=f'did you mean "{near[0]}"?' if near else "",
    )
