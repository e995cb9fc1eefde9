"""The house from its bills: readings and weather -> regression with bands."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from energymodel.building.change_point import ChangePointFit, FormChoice, choose_form
from energymodel.building.change_point_forms import ALL_FORMS, HEATING_FORMS, Form
from energymodel.building.fit_bands import FitBands, bootstrap_bands
from energymodel.building.fit_statistics import guideline_criteria
from energymodel.building.period_use import PeriodUse
from energymodel.economics.fuels import HeatContent, heat_content
from energymodel.errors import InputError
from energymodel.meters.periods import MeterPeriods
from energymodel.notices import Notice, UsedDefault
from energymodel.study.house.period_weather import DailyWeather, temperatures_of_days

FEWEST_PERIODS = 6
"""Actual periods below which no house is read off its bills: three on each side (our choice)."""
WHOLE_YEAR_DAYS = 330
"""Days below which a season is missing (our choice)."""
_ELECTRICITY = "electricity"
_FAILED = 0.05


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
    readings: MeterPeriods, weather: DailyWeather, content: HeatContent
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

    Returns
    -------
    PeriodUse
        Use in kWh per day, days, and the temperature of each day.

    Raises
    ------
    InputError
        If too few actual periods are left, or the weather does not cover a period.
    """
    if len(readings) < FEWEST_PERIODS:
        merged = f" after merging {readings.merged} estimated ones" if readings.merged else ""
        raise InputError(
            f"{len(readings)} actual periods of {readings.meter.carrier}{merged} are too few",
            expected=f"at least {FEWEST_PERIODS}, better twelve over a whole year",
            remedy="ask for actual reads, or read the meter for some months",
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
    bands = bootstrap_bands(choice.chosen)
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
