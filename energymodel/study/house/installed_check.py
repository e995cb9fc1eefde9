"""Check after installation: metered against expected, with the usual causes."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

import numpy as np

from energymodel.arrays import Array, Mask
from energymodel.building.fit_bands import Band
from energymodel.errors import InputError
from energymodel.study.house.predicted_use import PredictedUse

MARGIN_K = 2.0
"""A period belongs to the heating season this far below the balance temperature (our choice)."""
_CLEAR = 0.8
"""Share of resamples that must agree before a trend with the weather is spoken of (our choice)."""


class Verdict(Enum):
    """Where the reading lies."""

    INSIDE = "as expected"
    ABOVE = "above the expected band"
    BELOW = "below the expected band"


class Pattern(Enum):
    """How the difference goes with the weather."""

    EVEN = "no clearly larger share in cold or in mild weather"
    GROWS_WITH_COLD = "a larger share in cold weather"
    GROWS_WITH_MILD = "a larger share in mild weather"
    UNKNOWN = "too few heating periods to tell"


class Subject(Enum):
    """What the readings are of: it decides which causes are usual."""

    HEAT_PUMP = "a heat pump"
    HOUSE = "a house with a burner or resistance heat"


_PUMP_CAUSES: dict[tuple[Verdict, Pattern], tuple[str, ...]] = {
    (Verdict.ABOVE, Pattern.GROWS_WITH_COLD): (
        "low refrigerant charge or a leak: capacity and efficiency fall most in the cold; have a "
        "certified technician weigh the charge",
        "backup or auxiliary heat running when it should not; check its lock-out",
        "frost: outdoor coil blocked, defrost faulty, snow or ice around the unit",
        "the load in the cold is larger than the bills showed",
    ),
    (Verdict.ABOVE, Pattern.GROWS_WITH_MILD): (
        "a higher set-point, or rooms heated that were not before",
        "more hours in use: setback given up, windows open, the old system no longer helping",
        "idle power or short cycling at low load",
        "other electricity on the same meter (cooling, a new appliance)",
    ),
    (Verdict.ABOVE, Pattern.EVEN): (
        "dirty filters or coils, low airflow, a unit placed where air recirculates",
        "the unit serves more of the house than assumed",
        "a lower in-service efficiency than assumed; low charge shows most in the cold",
        "hot water or other use on the same meter",
    ),
    (Verdict.BELOW, Pattern.GROWS_WITH_COLD): (
        "another heater carries part of the cold days (stove, old system)",
        "the unit does not carry the load and rooms are colder: ask about comfort",
    ),
    (Verdict.BELOW, Pattern.GROWS_WITH_MILD): (
        "a lower set-point or longer setback",
        "less heated in spring and autumn than before",
    ),
    (Verdict.BELOW, Pattern.EVEN): (
        "fewer rooms heated, or the house was sealed or insulated",
        "another heater carries part of the load",
        "a better in-service efficiency than assumed",
    ),
}
_HOUSE_CAUSES: dict[tuple[Verdict, Pattern], tuple[str, ...]] = {
    (Verdict.ABOVE, Pattern.GROWS_WITH_COLD): (
        "more heat loss than before: a window or damper left open, insulation taken out, a room "
        "added",
        "the heating works worse than before: burner out of tune, ducts come apart",
        "another heater that helped before (stove, electric heaters) is no longer used",
    ),
    (Verdict.ABOVE, Pattern.GROWS_WITH_MILD): (
        "a higher set-point, or rooms heated that were not before",
        "more hours in use: setback given up, somebody at home all day",
        "more hot water or another appliance on the same meter",
    ),
    (Verdict.ABOVE, Pattern.EVEN): (
        "the heating works worse than before: burner out of tune, ducts come apart",
        "more of the house heated, or more hot water",
    ),
    (Verdict.BELOW, Pattern.GROWS_WITH_COLD): (
        "the house was sealed or insulated",
        "another heater carries part of the cold days (stove, electric heaters)",
    ),
    (Verdict.BELOW, Pattern.GROWS_WITH_MILD): (
        "a lower set-point or longer setback",
        "less hot water, or an appliance that left the meter",
    ),
    (Verdict.BELOW, Pattern.EVEN): (
        "fewer rooms heated, or the house was sealed or insulated",
        "the heating works better than before, or another heater carries part of the load",
    ),
}
_CAUSES = {Subject.HEAT_PUMP: _PUMP_CAUSES, Subject.HOUSE: _HOUSE_CAUSES}
_ALWAYS = "read dates, unit or an estimated read: check these first"


@dataclass(frozen=True, slots=True, kw_only=True)
class InstalledCheck:
    """Result of the check.

    Parameters
    ----------
    verdict
        Where the sum of the readings lies.
    metered_kwh
        Sum of the readings.
    expected_kwh
        Band of the sum.
    periods
        Verdict of each period by itself.
    pattern
        How the difference goes with the weather; None inside the band.
    causes
        Usual causes, the one that fits the pattern best first; empty inside the band.
    """

    verdict: Verdict
    metered_kwh: float
    expected_kwh: Band
    periods: tuple[Verdict, ...]
    pattern: Pattern | None
    causes: tuple[str, ...]

    def __str__(self) -> str:
        band = self.expected_kwh
        head = (
            f"Metered {self.metered_kwh:.0f} kWh, expected {band.likely:.0f} "
            f"({band.low:.0f} to {band.high:.0f}): {self.verdict.value}."
        )
        if self.pattern is None:
            return head
        first = f"{head} The difference is {self.pattern.value}. Usual causes, none of them proven:"
        return "\n".join([first, *(f"- {cause}" for cause in self.causes)])


def check_after_installation(
    metered_kwh: Array,
    predicted: PredictedUse,
    *,
    mean_c: Array,
    balance_c: float,
    subject: Subject = Subject.HEAT_PUMP,
) -> InstalledCheck:
    """Compare metered periods with what was expected in their real weather.

    Parameters
    ----------
    metered_kwh
        Readings, shape (periods,).
    predicted
        Expected use of the same periods.
    mean_c
        Mean outdoor temperature of each period, degC, shape (periods,).
    balance_c
        Outdoor temperature at which the load is zero, degC.
    subject
        What the readings are of.

    Returns
    -------
    InstalledCheck
        Inside, above or below the band of the sum, with the usual causes.

    Raises
    ------
    InputError
        If readings and predictions are not of the same periods.
    """
    if not metered_kwh.shape == predicted.likely_kwh.shape == mean_c.shape:
        raise InputError(
            f"{metered_kwh.size} readings for {predicted.likely_kwh.size} predicted periods",
            expected="one reading per period",
        )
    total = predicted.total_kwh
    metered = float(metered_kwh.sum())
    verdict = _verdict(metered, total)
    pattern = None
    causes: tuple[str, ...] = ()
    if verdict is not Verdict.INSIDE:
        season = mean_c < balance_c - MARGIN_K
        pattern = _pattern(metered_kwh, predicted, mean_c, season)
        causes = _causes(subject, verdict, pattern)
    return InstalledCheck(
        verdict=verdict,
        metered_kwh=metered,
        expected_kwh=total,
        periods=tuple(
            _verdict(float(value), band)
            for value, band in zip(metered_kwh, predicted.periods_kwh, strict=True)
        ),
        pattern=pattern,
        causes=causes,
    )


def _verdict(value: float, band: Band) -> Verdict:
    if band.holds(value):
        return Verdict.INSIDE
    return Verdict.ABOVE if value > band.high else Verdict.BELOW


def _pattern(metered: Array, predicted: PredictedUse, mean_c: Array, season: Mask) -> Pattern:
    """Compare the share of difference in the colder with that in the milder half.

    The comparison is repeated for each resample, so that an unsure load line is not taken for a
    trend with the weather.
    """
    at = np.flatnonzero(season)
    if at.size < 4:
        return Pattern.UNKNOWN
    ordered = at[np.argsort(mean_c[at])]
    half = at.size // 2
    cold, mild = (
        metered[rows].sum() / predicted.resampled_kwh[:, rows].sum(axis=1) - 1.0
        for rows in (ordered[:half], ordered[at.size - half :])
    )
    rises = float(np.mean(cold > mild))
    if max(rises, 1.0 - rises) < _CLEAR:
        return Pattern.EVEN
    above = metered[at].sum() > predicted.likely_kwh[at].sum()
    return Pattern.GROWS_WITH_COLD if (rises > 0.5) == above else Pattern.GROWS_WITH_MILD


def _causes(subject: Subject, verdict: Verdict, pattern: Pattern) -> tuple[str, ...]:
    patterns = list(Pattern)[:3] if pattern is Pattern.UNKNOWN else [pattern]
    found = [cause for one in patterns for cause in _CAUSES[subject][verdict, one]]
    return (*found, _ALWAYS)
