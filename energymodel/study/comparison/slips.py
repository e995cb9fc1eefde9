"""Which slip of units or decimals would make an implausible value plausible."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from energymodel.units import BTU_PER_WH, KWH_PER_THERM

Band = tuple[float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class Slip:
    """A mistake that multiplies a value.

    Parameters
    ----------
    factor
        What the value is too large by; below 1: too small.
    words
        What was taken for what, as it reads after "if".
    """

    factor: float
    words: str

    def meant(self, value: float) -> float:
        """Value without the slip.

        Parameters
        ----------
        value
            As found.

        Returns
        -------
        float
            In the same unit.
        """
        return value / self.factor


CENTS = Slip(factor=100.0, words="it is in hundredths (cents)")
PER_THOUSAND = Slip(factor=1000.0, words="it is a price per 1,000 units, such as per MWh or Mcf")
TWICE_DIVIDED = Slip(factor=0.01, words="it was divided by 100 once too often")
PER_THOUSANDTH = Slip(factor=0.001, words="it was divided by 1,000, as a price per Wh")
PRICES = (CENTS, PER_THOUSAND, TWICE_DIVIDED, PER_THOUSANDTH)
FUEL_PRICES = (
    *PRICES,
    Slip(factor=10.0, words="it is a price of 10 units: per MMBtu, not per therm"),
    Slip(factor=KWH_PER_THERM, words="it is the price of a therm, not of a kWh"),
    Slip(factor=BTU_PER_WH, words="kWh and kBtu were exchanged"),
)
LOADS = (
    Slip(factor=12.0, words="the number is in kBtu/h and was entered as tons (12 kBtu/h each)"),
    Slip(
        factor=1.0 / 12.0, words="the number is in tons (12 kBtu/h each) and was entered as kBtu/h"
    ),
    Slip(factor=BTU_PER_WH, words="the number is in kBtu/h and was entered as kW"),
    Slip(factor=1.0 / BTU_PER_WH, words="the number is in kW and was entered as kBtu/h"),
    Slip(factor=1000.0, words="the number is in Btu/h or W and was entered as kBtu/h or kW"),
    Slip(factor=0.001, words="the number is in kBtu/h or kW and was entered as Btu/h or W"),
)
EFFICIENCIES = (
    Slip(factor=BTU_PER_WH, words="a figure in Btu per Wh (EER, SEER, HSPF) was entered as COP"),
    Slip(factor=1.0 / BTU_PER_WH, words="an output in kW was entered as kBtu/h"),
)
BILLS = (
    Slip(factor=12.0, words="the bill is that of one month"),
    Slip(factor=4.0, words="the bill is that of one quarter"),
    Slip(factor=1.0 / 12.0, words="a year's bill was entered as a month's"),
    Slip(factor=BTU_PER_WH, words="a load in kBtu/h was entered as kW"),
    Slip(factor=1.0 / BTU_PER_WH, words="a load in kW was entered as kBtu/h"),
    Slip(factor=100.0, words="the price is in hundredths (cents)"),
    Slip(factor=1000.0, words="the price or the load is 1,000 times too large"),
)
PAYBACKS = (
    Slip(factor=1.0 / 12.0, words="an amount per year was entered per month, or kBtu/h as tons"),
    Slip(factor=0.01, words="a price is in hundredths (cents)"),
    Slip(factor=0.001, words="the installed cost is in thousands"),
    Slip(factor=1.0 / BTU_PER_WH, words="a load in kBtu/h was entered as kW"),
)


def likely_slips(value: float, band: Band, slips: Sequence[Slip]) -> tuple[Slip, ...]:
    """Find the slips that would explain a value outside its band.

    Parameters
    ----------
    value
        As found.
    band
        Lowest and highest plausible value.
    slips
        Those that happen with such a value, the commonest first.

    Returns
    -------
    tuple of Slip
        Each alone brings the value into the band; empty where it lies in it already.

    Examples
    --------
    >>> [slip.factor for slip in likely_slips(14.0, (0.02, 1.0), PRICES)]
    [100.0]
    """
    low, high = band
    if low <= value <= high:
        return ()
    return tuple(slip for slip in slips if low <= slip.meant(value) <= high)


def factor_words(slip: Slip) -> str:
    """Write the factor of a slip.

    Parameters
    ----------
    slip
        The slip.

    Returns
    -------
    str
        At least 1, four figures.

    Examples
    --------
    >>> factor_words(CENTS), factor_words(TWICE_DIVIDED), factor_words(EFFICIENCIES[0])
    ('100', '100', '3.412')
    """
    factor = slip.factor if slip.factor >= 1.0 else 1.0 / slip.factor
    return f"{factor:,.4g}"


def slip_words(slips: Sequence[Slip], corrected: Sequence[str]) -> str:
    """Name slips and what undoing each would give.

    Parameters
    ----------
    slips
        Those that would explain a value.
    corrected
        The value without each of them, as text.

    Returns
    -------
    str
        A sentence with a space before it; empty without slips.

    Examples
    --------
    >>> slip_words([CENTS], ["$0.14"])
    ' A factor of 100 would explain it: if it is in hundredths (cents), it is $0.14.'
    """
    parts = [
        f"{factor_words(slip)} would explain it: if {slip.words}, it is {text}"
        for slip, text in zip(slips, corrected, strict=True)
    ]
    return f" A factor of {'; '.join(parts)}." if parts else ""
