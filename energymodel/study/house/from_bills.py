"""The house from its bills: readings and weather -> regression with bands."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from energymodel.building.change_point import ChangePointFit, FormChoice, choose_form
from energymodel.building.change_point_forms import ALL_FORMS, HEATING_FORMS, Form
from energymodel.building.fit_bands import FitBands, bootstrap_bands
from energymodel.building.fit_statistics import guideline_criteria
from energymodel.building.given_balance import (
    FEWEST_PERIODS as FEWEST_FROM_A_BALANCE,
)
from energymodel.building.given_balance import (
    GivenBalance,
    given_balance_bands,
)
from energymodel.building.period_use import PeriodUse
from energymodel.economics.fuels import HeatContent, heat_content
from energymodel.errors import InputError
from energymodel.meters.periods import MeterPeriods
from energymodel.notices import Notice, UsedDefault
from energymodel.scenario.fields import temperature_text
from energymodel.study.house.odd_periods import odd_notice
from energymodel.study.house.period_weather import DailyWeather, temperatures_of_days
from energymodel.units import KELVIN_PER_DEGF

FEWEST_PERIODS = 6
"""Actual periods below which no house is read off its bills: three on each side (our choice)."""
WHOLE_YEAR_DAYS = 330
"""Days below which a season is missing (our choice)."""
FROM_A_BALANCE = "balance"
"""Topic of why the balance temperature is given."""
_ELECTRICITY = "electricity"
_FAILED = 0.05
_MORE_READS = "ask for actual reads, or read the meter for some months"
_OR_A_BALANCE = (
    f"; with {FEWEST_FROM_A_BALANCE} or more, --balance '60 degF' gives a load with a wider band"
)
_USUAL_RISE_K = 10.0 * KELVIN_PER_DEGF


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class BillFit:
    """What the readings of one meter say.

    Parameters
    ----------
    readings
        Periods, in the meter's unit.
    content
        Energy of one unit.
    choice
        Forms tried, the one taken and why; use in kWh per day.
    bands
        Bands of the form taken.
    used_defaults
        Heat content taken from the table, where one was.
    notices
        What the reader should know.
    """

    readings: MeterPeriods
    content: HeatContent
    choice: FormChoice
    bands: FitBands
    used_defaults: tuple[UsedDefault, ...]
    notices: tuple[Notice, ...]

    @property
    def fit(self) -> ChangePointFit:
        """The form taken."""
        return self.choice.chosen


def bill_regression(
    readings: MeterPeriods,
    weather: DailyWeather,
    content: HeatContent,
    *,
    fewest: int = FEWEST_PERIODS,
) -> PeriodUse:
    """Join periods and daily weather into the inputs of a regression.

    Parameters
    ----------
    readings
        Periods of a meter.
    weather
        Days that cover them.
    content
        Energy of one unit.
    fewest
        Actual periods that are needed.

    Returns
    -------
    PeriodUse
        Use in kWh per day, days, and the temperature of each day.

    Raises
    ------
    InputError
        If too few actual periods are left, or the weather does not cover a period.
    """
    if len(readings) < fewest:
        merged = f" after merging {readings.merged} estimated ones" if readings.merged else ""
        raise InputError(
            f"{len(readings)} actual periods of {readings.meter.carrier}{merged} are too few",
            expected=f"at least {fewest}, better twelve over a whole year",
            remedy=_MORE_READS if fewest < FEWEST_PERIODS else _MORE_READS + _OR_A_BALANCE,
        )
    return PeriodUse(
        use_per_day=readings.per_day * content.kwh_per_unit,
        days=readings.days,
        temperatures=temperatures_of_days(readings, weather),
    )


def fit_readings(
    readings: MeterPeriods,
    weather: DailyWeather,
    *,
    given_heat_content: str | None = None,
    forms: Sequence[Form] | None = None,
) -> BillFit:
    """Fit the use of a meter to the weather of exactly its days.

    Parameters
    ----------
    readings
        Periods of a meter.
    weather
        Days that cover them.
    given_heat_content
        Heat content or billing factor with its unit, such as "1.037 therm/ccf"; None: from the
        table where the unit is a volume or mass, listed as a default.
    forms
        Forms to try; None: all for electricity, those that heat for a fuel.

    Returns
    -------
    BillFit
        Form taken with reasons, bands and notices.

    Raises
    ------
    InputError
        If too few actual periods are left, the weather does not cover them, the unit is not one
        of the carrier, or no form fits.
    """
    carrier = readings.meter.carrier
    content = heat_content(carrier, readings.meter.unit, given=given_heat_content)
    data = bill_regression(readings, weather, content)
    if forms is None:
        forms = ALL_FORMS if carrier == _ELECTRICITY else HEATING_FORMS
    choice = choose_form(data, forms)
    found = _bill_fit(readings, content, choice, bootstrap_bands(choice.chosen))
    odd = odd_notice(readings, content, choice.chosen)
    return found if odd is None else replace(found, notices=(odd, *found.notices))


def usual_balance(indoor_c: float) -> GivenBalance:
    """Balance temperature to start from where nothing tells it.

    Parameters
    ----------
    indoor_c
        Set-point, degC.

    Returns
    -------
    GivenBalance
        10 degF below the set-point, give or take 3 K (our choice): gains of people, sun and
        appliances carry a house that far.
    """
    return GivenBalance(balance_c=indoor_c - _USUAL_RISE_K)


def fit_from_balance(
    readings: MeterPeriods,
    weather: DailyWeather,
    given: GivenBalance,
    *,
    why: str,
    given_heat_content: str | None = None,
) -> BillFit:
    """Fit use per degree-day below a given balance temperature.

    Parameters
    ----------
    readings
        Periods of a meter, or between fills of a tank.
    weather
        Days that cover them.
    given
        Balance temperature with its range; the base in the meter's unit per day.
    why
        Why it is not fitted, as a sentence, for the reader.
    given_heat_content
        As in :func:`fit_readings`.

    Returns
    -------
    BillFit
        Its band holds the range of the balance temperature.

    Raises
    ------
    InputError
        If fewer than four periods are left, or the use does not rise in the cold.
    """
    content = heat_content(readings.meter.carrier, readings.meter.unit, given=given_heat_content)
    data = bill_regression(readings, weather, content, fewest=FEWEST_FROM_A_BALANCE)
    base = given.base_per_day
    in_kwh = None if base is None else base * content.kwh_per_unit
    bands = given_balance_bands(data, replace(given, base_per_day=in_kwh))
    choice = FormChoice(
        chosen=bands.fit,
        fits=(bands.fit,),
        refused=(),
        reasons=(_balance_reason(bands, given, readings.meter.unit, why),),
    )
    found = _bill_fit(readings, content, choice, bands)
    reason = Notice(topic=FROM_A_BALANCE, text=choice.reasons[0])
    return replace(found, notices=(reason, *found.notices))


def _balance_reason(bands: FitBands, given: GivenBalance, unit: str, why: str) -> str:
    form = bands.fit.form
    base = (
        "the base use is fitted"
        if form.parameters > 1
        else "the base use is taken as none: if the same fuel heats water, the load is less and"
        " --base gives that use"
        if not given.base_per_day
        else f"the base use is the given {given.base_per_day:g} {unit} a day"
    )
    return (
        f"{why} Use per degree-day below {temperature_text(given.balance_c)}, give or take"
        f" {given.range_k / KELVIN_PER_DEGF:.1f} degF ({given.range_k:g} K), is taken; {base}. The"
        " band is wide for that."
    )


def _bill_fit(
    readings: MeterPeriods, content: HeatContent, choice: FormChoice, bands: FitBands
) -> BillFit:
    default = content.used_default
    return BillFit(
        readings=readings,
        content=content,
        choice=choice,
        bands=bands,
        used_defaults=() if default is None else (default,),
        notices=(*readings.notices, *content.notices, *_notices(readings, content, bands)),
    )


def _notices(readings: MeterPeriods, content: HeatContent, bands: FitBands) -> list[Notice]:
    texts = []
    if content.used_default is not None:
        texts.append(
            f"The heat content of a {content.unit.name} is a table value "
            f"({content.used_default.value}); ask the supplier for the billing factor."
        )
    days = float(readings.days.sum())
    if days < WHOLE_YEAR_DAYS:
        texts.append(f"The periods cover {days:.0f} days: a season is missing.")
    if bands.failed_share > _FAILED:
        texts.append(
            f"{bands.failed_share:.0%} of the resamples could not be fitted: the change point is "
            "poorly determined."
        )
    return [Notice(topic="bills", text=text) for text in [*texts, *_of_the_fit(bands)]]


def _of_the_fit(bands: FitBands) -> list[str]:
    texts = []
    fit = bands.fit
    if fit.form.change_points and bands.base_per_day.high < 0:
        texts.append(
            f"The base use comes out below zero ({bands.base_per_day.likely:.1f} kWh a day): "
            "something besides the weather changed with the season."
        )
    broken = [str(one) for one in guideline_criteria(fit.statistics) if not one.kept]
    if broken:
        texts.append(
            "; ".join(broken) + ". Months near zero use raise CV(RMSE) through the mean; "
            "do not delete them."
        )
    return texts
