"""Simple payback of an option at both ends of its saving."""

from __future__ import annotations

from dataclasses import dataclass

from energymodel.report.handout.sheet import Sheet
from energymodel.study.comparison.money import AgainstPresent
from energymodel.study.comparison.outcome import Outcome


@dataclass(frozen=True, slots=True, kw_only=True)
class PaybackRange:
    """Years of simple payback over the range of the saving.

    Parameters
    ----------
    extra
        Paid more at the start than for what is there now, money.
    savings
        Lowest, likely and highest saving, energy and upkeep, money per year.
    """

    extra: float
    savings: tuple[float, float, float]

    @property
    def at_once(self) -> bool:
        """Whether it costs no more to buy and no more to run."""
        return self.extra <= 0 and self.savings[0] >= 0

    @property
    def dearer_to_run(self) -> bool:
        """Whether it is cheaper to buy and may cost more to run."""
        return self.extra <= 0 and not self.at_once

    @property
    def years(self) -> tuple[float | None, float | None, float | None]:
        """Soonest, likely and latest, years; None: never."""
        low, likely, high = (self._years(saving) for saving in self.savings)
        return high, likely, low

    def _years(self, saving: float) -> float | None:
        if self.extra <= 0:
            return 0.0 if saving >= 0 else None
        return self.extra / saving if saving > 0 else None


def payback_range(sheet: Sheet, outcome: Outcome) -> PaybackRange | None:
    """Find the payback of an option over the range of its saving.

    Parameters
    ----------
    sheet
        The page.
    outcome
        One option.

    Returns
    -------
    PaybackRange or None
        None for what is there now, without it, or where a service is missing or the load is not
        carried.
    """
    against, span = comparable(sheet, outcome), sheet.span(outcome)
    low, likely, high = span.saving_low, span.saving_likely, span.saving_high
    if against is None or low is None or likely is None or high is None:
        return None
    upkeep = against.yearly_saving - likely
    return PaybackRange(
        extra=against.extra_at_start, savings=(low + upkeep, likely + upkeep, high + upkeep)
    )


def comparable(sheet: Sheet, outcome: Outcome) -> AgainstPresent | None:
    """Return the money of an option that can be held against what is there now.

    Parameters
    ----------
    sheet
        The page.
    outcome
        One option.

    Returns
    -------
    AgainstPresent or None
        None where it cannot.
    """
    return sheet.money[outcome.name].against_present if outcome.carries else None
