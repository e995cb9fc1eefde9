"""What the open US utility rate database leaves undefined, as named choices."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum

from energymodel.tariffs.charges import BlockCount
from energymodel.tariffs.holiday import HolidayRule
from energymodel.tariffs.tariff import Rounding


class RatchetIn(StrEnum):
    """How ratchet percentages are written."""

    FRACTION = "fraction"
    PERCENT = "percent"


class MissingRate(StrEnum):
    """What a tier without a rate means: the format names no default."""

    REFUSE = "refuse"
    ZERO = "zero"
    """Nothing but its adjustment, if it has one."""


def how_to_choose(choice: str, *, file: str = "FILE") -> str:
    """Say how a user takes a choice.

    Parameters
    ----------
    choice
        Name and value, such as "ratchet=percent".
    file
        Of the record.

    Returns
    -------
    str
        For the remedy of an error.
    """
    return (
        f"energymodel tariff {file} --choose {choice} --out rate.toml writes it as a tariff file"
        " with that choice"
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class RateChoices:
    """Choices of the reader of a record.

    Parameters
    ----------
    holidays
        The database has no list; holidays take the weekend's schedule. None: none.
    count
        How tiers fill up over several periods.
    look_back
        Bills that a ratchet looks back on.
    ratchet_in
        How its percentages are written.
    missing_rate
        What a tier without a rate means; taken on reading.
    demand_window_min
        Where the record gives none, minutes.
    power_factor
        Turns kVA into kW.
    zone
        Time zone of the utility, for the dates; None: the date in UTC, right for the Americas.
    season_first_days
        By month: the day on which a season that begins in that month begins, where the tariff
        sheet breaks seasons inside a month.
    currency
        Three-letter code.
    rounding
        Of a printed bill.
    """

    holidays: HolidayRule | None = None
    count: BlockCount = BlockCount.MONTH_TOTAL
    look_back: int = 11
    ratchet_in: RatchetIn = RatchetIn.FRACTION
    missing_rate: MissingRate = MissingRate.REFUSE
    demand_window_min: int = 15
    power_factor: float = 1.0
    zone: str | None = None
    season_first_days: Mapping[int, int] = field(default_factory=dict)
    currency: str = "USD"
    rounding: Rounding = field(default_factory=Rounding)
