"""Money and measures of the customer's page, rounded as an estimate deserves."""

from __future__ import annotations

import math
from dataclasses import dataclass

from energymodel.report.comparison.range_words import rounded_ends
from energymodel.report.handout.formats import NO_BREAK, Formats
from energymodel.report.numbers import Display
from energymodel.study.comparison.amounts import SIGNS
from energymodel.units import KWH_PER_MMBTU, METRE_PER_FOOT

_SMALL_PRICE = 1.0


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Figures:
    """Money and measures of one page.

    Parameters
    ----------
    formats
        Of its language.
    currency
        Code or short text.
    us
        Fahrenheit and Btu/h, or Celsius and kW.
    """

    formats: Formats
    currency: str
    us: bool

    @property
    def show(self) -> Display:
        """Numbers in the units of the page, before its language writes them."""
        return Display(us=self.us)

    @property
    def sign(self) -> str:
        """Sign of the currency, else its code."""
        return SIGNS.get(self.currency, self.currency)

    def money(self, amount: float, digits: int = 0) -> str:
        """Write money.

        Parameters
        ----------
        amount
            Money.
        digits
            Behind the decimal mark.

        Returns
        -------
        str
            With sign or code.
        """
        return self._signed(self.formats.number(abs(amount), digits), below=amount < 0)

    def _signed(self, number: str, *, below: bool) -> str:
        if not any(letter in "123456789" for letter in number):
            below = False
        minus = self.formats.texts["minus"] if below else ""
        if self.currency in SIGNS:
            text = str(self.formats.texts["money"]).format(sign=self.sign, number=number)
        else:
            form = str(self.formats.texts["money_by_code"]).replace(" ", NO_BREAK)
            text = form.format(code=self.currency, number=number)
        return minus + text

    def about(self, amount: float) -> str:
        """Write money to the figures that an estimate deserves.

        Parameters
        ----------
        amount
            Money.

        Returns
        -------
        str
            To tens from 50, hundreds from 10,000, else to whole units.
        """
        return self.money(rounded(amount))

    def alike(self, first: float, second: float) -> tuple[str, str]:
        """Write two amounts that stand side by side, both to the same figures.

        Parameters
        ----------
        first, second
            Money.

        Returns
        -------
        tuple of str
            Rounded as the larger deserves; finer where the smaller would be lost by it.
        """
        sizes = sorted((abs(first), abs(second)))
        step = step_of(sizes[1])
        step = step if sizes[0] >= step else step_of(sizes[0])
        return self.money(round(first / step) * step), self.money(round(second / step) * step)

    def bare(self, amount: float) -> str:
        """Write money as :meth:`about` does, without its sign: for columns that name it.

        Parameters
        ----------
        amount
            Money.

        Returns
        -------
        str
            Number.
        """
        return self.formats.number(rounded(amount))

    def ends(self, low: float, high: float) -> tuple[str, str]:
        """Write both ends of a range, rounded outwards.

        Parameters
        ----------
        low, high
            Money.

        Returns
        -------
        tuple of str
            Low and high.
        """
        ends = rounded_ends(low, high)
        return self.money(ends[0]), self.money(ends[1])

    def price(self, amount: float) -> str:
        """Write a price: to cents, finer where that is less than a unit of money.

        Parameters
        ----------
        amount
            Money per unit of sale.

        Returns
        -------
        str
            Two decimals, three where they carry something.
        """
        fine = amount < _SMALL_PRICE and abs(amount - round(amount, 2)) > 5e-4
        return self.money(amount, 3 if fine else 2)

    def temperature(self, temperature_c: float) -> str:
        """Write an outdoor or indoor temperature.

        Parameters
        ----------
        temperature_c
            degC.

        Returns
        -------
        str
            Whole degF, or tenths of degC.
        """
        if self.us:
            return self.formats.filled(
                "temperature_us", self.formats.number(self.show.temperature_value(temperature_c))
            )
        return self.formats.filled("temperature_si", self.formats.number(temperature_c, 1))

    def heat(self, heat_w: float) -> str:
        """Write a heat flow.

        Parameters
        ----------
        heat_w
            W.

        Returns
        -------
        str
            kBtu/h or kW with one decimal.
        """
        name = "heat_us" if self.us else "heat_si"
        return self.formats.filled(name, self.formats.number(self.show.heat_value(heat_w), 1))

    def area(self, area_m2: float) -> str:
        """Write an area.

        Parameters
        ----------
        area_m2
            m2.

        Returns
        -------
        str
            ft2 or m2, whole.
        """
        if self.us:
            return self.formats.filled("area_us", self.formats.number(area_m2 / METRE_PER_FOOT**2))
        return self.formats.filled("area_si", self.formats.number(area_m2))

    def energy(self, energy_kwh: float) -> str:
        """Write an amount of energy to three figures.

        Parameters
        ----------
        energy_kwh
            kWh.

        Returns
        -------
        str
            kWh.
        """
        size = math.floor(math.log10(abs(energy_kwh))) if energy_kwh else 0
        step = 10.0 ** max(size - 2, 0)
        return self.formats.filled("energy", self.formats.number(round(energy_kwh / step) * step))

    def heat_price_money(self, per_mmbtu: float) -> str:
        """Write the price of delivered heat with the sign of the currency.

        Parameters
        ----------
        per_mmbtu
            Money per million Btu.

        Returns
        -------
        str
            Whole money per million Btu, or per kWh with three decimals.
        """
        if self.us:
            return self.money(per_mmbtu)
        return self.money(per_mmbtu / KWH_PER_MMBTU, 3)

    def heat_price(self, per_mmbtu: float) -> str:
        """Write the price of delivered heat.

        Parameters
        ----------
        per_mmbtu
            Money per million Btu.

        Returns
        -------
        str
            Per million Btu with one decimal, or per kWh with three; without its sign.
        """
        if self.us:
            return self.formats.number(per_mmbtu, 1)
        return self.formats.number(per_mmbtu / KWH_PER_MMBTU, 3)


SAME = 0.005
"""Ends this near to each other, as a share, count as one value."""


def rounded_range(low: float, likely: float, high: float) -> tuple[float, float, float]:
    """Round a range of costs: the ends outwards, the likely value to the same step.

    Parameters
    ----------
    low, likely, high
        Money.

    Returns
    -------
    tuple of float
        Three times the likely value where nothing varies.

    Examples
    --------
    >>> rounded_range(193.2, 214.1, 240.3), rounded_range(521.6, 521.6, 521.6)
    ((190, 210, 250), (520, 520, 520))
    """
    if high - low <= SAME * max(abs(low), abs(high)):
        return (rounded(likely),) * 3
    first, last = rounded_ends(low, high)
    largest = max(abs(low), abs(high))
    step = 1 if largest < 100 else 10 if largest < 10_000 else 100
    return first, round(likely / step) * step, last


def rounded(amount: float) -> float:
    """Round money to the figures that an estimate deserves.

    Parameters
    ----------
    amount
        Money.

    Returns
    -------
    float
        To whole units below 50, to tens below 10,000, else to hundreds.

    Examples
    --------
    >>> rounded(214.1), rounded(48.6), rounded(-12345.0)
    (210, 49, -12300)
    """
    return round(amount / step_of(amount)) * step_of(amount)


def step_of(amount: float) -> int:
    """Step to which an amount of an estimate is rounded.

    Parameters
    ----------
    amount
        Money.

    Returns
    -------
    int
        1 below 50, 10 below 10,000, else 100.
    """
    return 1 if abs(amount) < 50 else 10 if abs(amount) < 10_000 else 100
