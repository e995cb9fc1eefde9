"""Parts of an envelope: walls, windows and roofs with their U-values, slab edges, usual values."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from energymodel.datafiles import read_table
from energymodel.errors import InputError
from energymodel.notices import UsedDefault
from energymodel.quantities import convert


@dataclass(frozen=True, slots=True, kw_only=True)
class Surface:
    """A part of the envelope with an area.

    Parameters
    ----------
    name
        Such as "north wall".
    area_m2
        Area without the openings in it, m2.
    u_w_per_m2_k
        U-value, W/(m2 K).
    used_default
        Where the U-value came from the table.
    """

    name: str
    area_m2: float
    u_w_per_m2_k: float
    used_default: UsedDefault | None = None

    def __post_init__(self) -> None:
        if not (self.area_m2 >= 0 and 0 < self.u_w_per_m2_k <= 20):
            raise InputError(
                f"{self.name}: {self.area_m2:g} m2 of {self.u_w_per_m2_k:g} W/(m2 K)",
                expected="an area of 0 or more and a U-value between 0.05 and 7 W/(m2 K)",
            )

    @property
    def ua_w_per_k(self) -> float:
        """Area x U, W/K."""
        return self.area_m2 * self.u_w_per_m2_k


@dataclass(frozen=True, slots=True, kw_only=True)
class SlabEdge:
    """The exposed edge of a floor slab.

    Parameters
    ----------
    name
        Such as "slab edge".
    perimeter_m
        Exposed length, m.
    f_w_per_m_k
        F-factor, W/(m K).
    used_default
        Where the F-factor came from the table.
    """

    name: str
    perimeter_m: float
    f_w_per_m_k: float
    used_default: UsedDefault | None = None

    def __post_init__(self) -> None:
        if not (self.perimeter_m >= 0 and 0 < self.f_w_per_m_k <= 10):
            raise InputError(
                f"{self.name}: {self.perimeter_m:g} m with an F-factor of {self.f_w_per_m_k:g} "
                "W/(m K)",
                expected="a length of 0 or more and an F-factor between 0.2 and 3 W/(m K)",
            )

    @property
    def ua_w_per_k(self) -> float:
        """Perimeter x F, W/K."""
        return self.perimeter_m * self.f_w_per_m_k


def surface_from_r_value(*, name: str, area_m2: float, r_m2_k_per_w: float) -> Surface:
    """Surface with U = 1/R.

    Parameters
    ----------
    name
        Such as "north wall".
    area_m2
        Area, m2.
    r_m2_k_per_w
        Thermal resistance of the whole assembly with its air films, m2 K/W.

    Returns
    -------
    Surface
        With U = 1/R.

    Raises
    ------
    InputError
        If the resistance is not above zero.
    """
    if not r_m2_k_per_w > 0:
        raise InputError(f"{name}: an R-value of {r_m2_k_per_w:g} m2 K/W", expected="above 0")
    return Surface(name=name, area_m2=area_m2, u_w_per_m2_k=1.0 / r_m2_k_per_w)


def _listed(group: str, name: str) -> dict[str, str]:
    rows = {row["name"]: row for row in read_table("envelope.csv") if row["group"] == group}
    if name not in rows:
        raise InputError(f"{name!r} is not in the table", expected="one of: " + "; ".join(rows))
    return rows[name]


def _as_default(row: Mapping[str, str], noun: str) -> UsedDefault:
    spread = f" (usual {row['low']} to {row['high']})" if row["low"] and row["high"] else ""
    return UsedDefault(
        name=f"{noun} of {row['name']}",
        value=f"{row['value']} {row['unit']}{spread}",
        source=row["source"],
    )


def listed_surface(*, name: str, area_m2: float, assembly: str) -> Surface:
    """Surface with a U-value from the shipped table.

    Parameters
    ----------
    name
        Such as "north wall".
    area_m2
        Area, m2.
    assembly
        Row of the table, such as "wall R-13 to R-15".

    Returns
    -------
    Surface
        With the default that it uses.

    Raises
    ------
    InputError
        If the assembly is not in the table.

    Examples
    --------
    >>> glass = listed_surface(name="window", area_m2=2.0, assembly="double glass low-e")
    >>> round(glass.ua_w_per_k, 3)
    3.634
    """
    row = _listed("u_value", assembly)
    u = convert(float(row["value"]), _per_degree(row["unit"]), "W/(m^2 K)")
    return Surface(
        name=name, area_m2=area_m2, u_w_per_m2_k=u, used_default=_as_default(row, "U-value")
    )


def listed_slab_edge(*, name: str, perimeter_m: float, assembly: str) -> SlabEdge:
    """Slab edge with an F-factor from the shipped table.

    Parameters
    ----------
    name
        Such as "slab edge".
    perimeter_m
        Exposed length, m.
    assembly
        Row of the table, such as "slab edge uninsulated".

    Returns
    -------
    SlabEdge
        With the default that it uses.

    Raises
    ------
    InputError
        If the assembly is not in the table.
    """
    row = _listed("f_factor", assembly)
    f = convert(float(row["value"]), _per_degree(row["unit"]), "W/(m K)")
    return SlabEdge(
        name=name, perimeter_m=perimeter_m, f_w_per_m_k=f, used_default=_as_default(row, "F-factor")
    )


def _per_degree(unit: str) -> str:
    return unit.replace("degF", "delta_degree_Fahrenheit")


def listed_ach50(name: str) -> tuple[float, UsedDefault]:
    """Air changes at 50 Pa of a kind of house.

    Parameters
    ----------
    name
        Row of the table, such as "house to recent code".

    Returns
    -------
    ach50 : float
        1/h.
    default : UsedDefault
        With the usual range.

    Raises
    ------
    InputError
        If the kind is not in the table.
    """
    row = _listed("ach50", name)
    return float(row["value"]), _as_default(row, "ACH50")


def four_walls_m2(*, length_m: float, width_m: float, height_m: float) -> float:
    """Area of the four walls of a rectangular room, openings included.

    Parameters
    ----------
    length_m, width_m, height_m
        Inside measures, m.

    Returns
    -------
    float
        m2.

    Examples
    --------
    >>> four_walls_m2(length_m=5.0, width_m=4.0, height_m=2.5)
    45.0
    """
    return 2.0 * (length_m + width_m) * height_m
