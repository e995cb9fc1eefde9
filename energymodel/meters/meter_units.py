"""Units in which meters count, and what each is in kWh."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Literal

from energymodel.meters.import_report import MeterError
from energymodel.units import BTU_PER_KWH, KWH_PER_MMBTU, KWH_PER_THERM, METRE_PER_FOOT

M3_PER_FT3 = METRE_PER_FOOT**3
KWH_PER_MJ = 1.0 / 3.6
TYPICAL_HEAT_KWH_PER_M3 = 10.9
"""Higher heating value of pipeline gas, used only to recognise mixed-up units (common practice)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class MeterUnit:
    """One unit of a meter.

    Parameters
    ----------
    name
        Spelling in messages.
    kind
        "energy", "power" or "volume".
    factor
        kWh, kW or m3 per unit.
    """

    name: str
    kind: Literal["energy", "power", "volume"]
    factor: float


def _units(kind: Literal["energy", "power", "volume"], **factors: float) -> tuple[MeterUnit, ...]:
    return tuple(MeterUnit(name=name, kind=kind, factor=factor) for name, factor in factors.items())


_UNITS = (
    *_units("energy", Wh=1e-3, kWh=1.0, MWh=1e3, therm=KWH_PER_THERM, MMBtu=KWH_PER_MMBTU),
    *_units("energy", Btu=1.0 / BTU_PER_KWH, kBtu=1e3 / BTU_PER_KWH),
    *_units("energy", MJ=KWH_PER_MJ, GJ=1e3 * KWH_PER_MJ),
    *_units("power", W=1e-3, kW=1.0, MW=1e3),
    *_units("volume", m3=1.0, ft3=M3_PER_FT3, ccf=100.0 * M3_PER_FT3, Mcf=1000.0 * M3_PER_FT3),
)
_BY_NAME = {unit.name.lower(): unit for unit in _UNITS}
_SPELLINGS = {
    "therms": "therm",
    "thm": "therm",
    "kilowatt hours": "kwh",
    "kilowatt hour": "kwh",
    "kilowatt-hours": "kwh",
    "kilowatt-hour": "kwh",
    "kilowattstunden": "kwh",
    "kw h": "kwh",
    "watt hours": "wh",
    "watt hour": "wh",
    "kilowatts": "kw",
    "kilowatt": "kw",
    "watts": "w",
    "watt": "w",
    "m³": "m3",
    "m^3": "m3",
    "cubic meters": "m3",
    "cubic metres": "m3",
    "ft³": "ft3",
    "ft^3": "ft3",
    "cubic feet": "ft3",
    "cf": "ft3",
}
_FIND = re.compile(
    r"(?<![^\W\d_])("
    + "|".join(re.escape(word) for word in sorted([*_BY_NAME, *_SPELLINGS], key=len, reverse=True))
    + r")(?![^\W_])",
    re.IGNORECASE,
)


def find_unit(text: str) -> MeterUnit | None:
    """Find the unit that is named in a header cell or a unit cell.

    Parameters
    ----------
    text
        Text of the cell.

    Returns
    -------
    MeterUnit or None
        The first unit named, None if there is none. A bare "w" counts only as a capital.

    Examples
    --------
    >>> find_unit("Usage (kWh)").name
    'kWh'
    >>> find_unit("Usage") is None
    True
    """
    for match in _FIND.finditer(text):
        word = match.group(1)
        if word != "w":
            return _BY_NAME[_SPELLINGS.get(word.lower(), word.lower())]
    return None


def known_unit(name: str, *, where: str = "") -> MeterUnit:
    """Return the unit that the user named.

    Parameters
    ----------
    name
        For example "kWh".
    where
        Place for an error.

    Returns
    -------
    MeterUnit
        The unit.

    Raises
    ------
    MeterError
        If there is no such unit.
    """
    word = name.strip().lower()
    unit = _BY_NAME.get(_SPELLINGS.get(word, word))
    if unit is None:
        raise MeterError(
            f"the unit {name!r} is not known",
            where=where,
            expected="one of " + ", ".join(unit.name for unit in _UNITS),
        )
    return unit


def kwh_per_unit(
    unit: MeterUnit, *, hours: float = 1.0, heat_kwh_per_m3: float | None = None, where: str = ""
) -> float:
    """Return the energy of one unit.

    Parameters
    ----------
    unit
        Unit of the meter.
    hours
        Length of the interval over which a power is the average, h.
    heat_kwh_per_m3
        Higher heating value of the gas as billed, kWh/m3; needed for volumes.
    where
        Place for an error.

    Returns
    -------
    float
        kWh per unit.

    Raises
    ------
    MeterError
        If the unit is a volume and the heat content is not given.
    """
    if unit.kind == "power":
        return unit.factor * hours
    if unit.kind == "energy":
        return unit.factor
    if heat_kwh_per_m3 is None:
        raise MeterError(
            f"the values are volumes ({unit.name}), and the heat content of the gas is not given",
            where=where,
            expected="the heat content or billing factor of the gas bill, usually 9.3 to 11.9 "
            "kWh/m3 (0.9 to 1.15 therm per ccf)",
            remedy="say --heat-content '1.03 therm/ccf', for example (from Python: "
            "heat_kwh_per_m3, for which heat_from_therm_per_ccf converts the factor)",
        )
    return unit.factor * heat_kwh_per_m3


def heat_from_therm_per_ccf(factor: float) -> float:
    """Return the heat content for a billing factor.

    Parameters
    ----------
    factor
        Therms per 100 cubic feet as printed on the bill.

    Returns
    -------
    float
        Heat content, kWh/m3.

    Examples
    --------
    >>> round(heat_from_therm_per_ccf(1.037), 3)
    10.733
    """
    return factor * KWH_PER_THERM / (100.0 * M3_PER_FT3)
