"""A rough heating load from floor area, for a first look only."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from energymodel.datafiles import read_table
from energymodel.errors import InputError
from energymodel.notices import Notice
from energymodel.quantities import convert


class Insulation(Enum):
    """How a house is insulated, in the words of the trade shortcut; the value is its row."""

    POOR = "poor"
    MEDIUM = "medium"
    GOOD = "good"
    NEW = "new"


@dataclass(frozen=True, slots=True, kw_only=True)
class RoughLoad:
    """A design load that stands on nothing but the volume.

    Parameters
    ----------
    design_load_w
        W at some unnamed design temperature.
    notice
        Why not to rely on it.
    """

    design_load_w: float
    notice: Notice


def rough_design_load(
    *, floor_area_m2: float, ceiling_height_m: float, insulation: Insulation
) -> RoughLoad:
    """Rough start for a heating design load.

    Parameters
    ----------
    floor_area_m2
        Heated floor area, m2.
    ceiling_height_m
        Room height, m.
    insulation
        Class of the shortcut.

    Returns
    -------
    RoughLoad
        With a notice that must stand beside any result made from it.

    Raises
    ------
    InputError
        If area or height is not above zero.

    References
    ----------
    7 / 5 / 3.5 / 2.5 Btu/h per ft3: trade shortcut (quoted).

    Examples
    --------
    >>> rough = rough_design_load(
    ...     floor_area_m2=50.0, ceiling_height_m=2.4, insulation=Insulation.GOOD
    ... )
    >>> round(rough.design_load_w)
    4347
    """
    if not (floor_area_m2 > 0 and ceiling_height_m > 0):
        raise InputError(
            f"a floor of {floor_area_m2:g} m2 and a height of {ceiling_height_m:g} m",
            expected="above 0",
        )
    rows = {r["name"]: r for r in read_table("envelope.csv") if r["group"] == "rough_load"}
    row = rows[insulation.value]
    w_per_m3 = convert(float(row["value"]), row["unit"], "W/m^3")
    return RoughLoad(
        design_load_w=w_per_m3 * floor_area_m2 * ceiling_height_m,
        notice=Notice(
            topic="load",
            text="This load is a rule of thumb by volume, mostly too large (often twice a load "
            "calculation) and without a design temperature. Use it to start only; size and price "
            "with areas and U-values, a heat-loss sheet or the bills.",
        ),
    )
