"""A load that no house has: the unit of the readings, or a decimal point, is wrong."""

from __future__ import annotations

from collections.abc import Mapping

from energymodel.notices import Notice
from energymodel.study.house.bill_load import BillLoad
from energymodel.units import BTU_PER_WH, KELVIN_PER_DEGF

SLIP = "slip"
"""Topic of a load that cannot be."""
LEAST_W_PER_K = 15.0
MOST_W_PER_K = 3000.0
"""Heat loss of a well insulated small flat, and of a large block: beyond them no house lies (our
choice)."""
_USUAL_W_PER_K = (50.0, 1000.0)
FACTORS: Mapping[float, str] = {
    1000.0: "Wh, kWh and MWh, or cubic feet and Mcf, or a thousands mark read as a decimal point",
    100.0: "cubic feet and ccf, or cents and whole units",
    29.3: "therm and kWh",
    11.0: "cubic metres of gas and kWh",
    10.0: "ccf and Mcf, therm and MMBtu, or a slipped decimal point",
    2.83: "ccf and cubic metres",
}
"""Confusions of units and the factor of each, largest first."""


def slip_notices(heating: BillLoad | None) -> list[Notice]:
    """Look at a load that cannot be.

    Parameters
    ----------
    heating
        Load line; None: no heating.

    Returns
    -------
    list of Notice
        Empty, or one that names the factor by which units are confused.
    """
    if heating is None:
        return []
    slope = heating.line.slope_w_per_k
    if LEAST_W_PER_K <= slope <= MOST_W_PER_K:
        return []
    return [Notice(topic=SLIP, text=slip_words(slope))]


def slip_words(slope_w_per_k: float) -> str:
    """Say that a heat loss cannot be, and which confusions would explain it.

    Parameters
    ----------
    slope_w_per_k
        Heat loss, W/K.

    Returns
    -------
    str
        Two sentences.
    """
    low, high = _USUAL_W_PER_K
    small = slope_w_per_k < low
    fitting = [
        f"{factor:g} ({words})"
        for factor, words in FACTORS.items()
        if low <= (slope_w_per_k * factor if small else slope_w_per_k / factor) <= high
    ]
    british = slope_w_per_k * BTU_PER_WH * KELVIN_PER_DEGF
    way = "too small" if small else "too large"
    factors = f" by a factor such as {'; '.join(fitting)}" if fitting else ""
    loss, in_btu = (f"{float(f'{value:.3g}'):,g}" for value in (slope_w_per_k, british))
    return (
        f"Check this first. A heat loss of {loss} W/K ({in_btu} Btu/(h degF)) is no house's: the"
        f" readings are {way}{factors}. Hold the unit against a bill: --bill-line '72 therm'."
    )
