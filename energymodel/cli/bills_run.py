"""Steps of `energymodel from-bills`: read, fit, print, answer, write."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

from energymodel.cli.bills_checks import check_given, check_questions
from energymodel.cli.bills_inputs import (
    Given,
    area_m2,
    difference_k,
    house_facts,
    planned_option,
    scenario_weather,
    weather_years,
)
from energymodel.errors import InputError
from energymodel.meters.reading_files import (
    ELECTRICITY,
    HouseReadings,
    read_house_readings,
)
from energymodel.meters.reading_rows import ReadingFacts
from energymodel.notices import Notice
from energymodel.report.console import console
from energymodel.report.house.answers import (
    normal_lines,
    print_check,
    saving_lines,
    set_point_line,
)
from energymodel.report.house.lines import closing_lines
from energymodel.report.house.sizes import print_sizes
from energymodel.report.house.table import display_of, print_house, print_lines, print_readings
from energymodel.study.house.billed_house import BilledHouse, billed_house
from energymodel.study.house.design_sizes import SizeAtDesign, sizes_at_design, thumb_rules
from energymodel.study.house.house_meters import covered_by, fit_heating_meter, heating_carrier

if TYPE_CHECKING:
    from rich.console import Console

    from energymodel.meters.periods import MeterPeriods
    from energymodel.report.house.units import BillsDisplay
    from energymodel.scenario.assemble import PlannedOption
    from energymodel.study.house.after_check import CheckedPeriods
    from energymodel.study.house.from_bills import BillFit
    from energymodel.study.house.normal_year import Saving
    from energymodel.study.house.period_weather import DailyWeather
    from energymodel.weather.year import WeatherYear


@dataclass(frozen=True, slots=True, kw_only=True)
class Questions:
    """What is asked beside the load, and how the answer is given."""

    since: date | None
    until: date | None
    bill_line: str | None
    area: str | None
    normal: tuple[str, ...]
    set_point_change: str | None
    after: tuple[Path, ...]
    check: tuple[Path, ...]
    scenario: Path | None
    option: str | None
    out: Path | None
    prices: tuple[float | None, float | None]
    chart: Path | None
    replace: bool
    us: bool
    details: bool


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Asked:
    """What is asked, turned into records before anything is printed."""

    years: tuple[WeatherYear, ...]
    normal: tuple[WeatherYear, ...]
    floor_m2: float | None
    change_k: float | None
    planned: PlannedOption | None
    after: HouseReadings | None
    check: HouseReadings | None


def run(
    paths: Sequence[Path],
    weather: Sequence[str],
    facts: ReadingFacts,
    given: Given,
    asked: Questions,
) -> None:
    """Answer the command: check all inputs, read all files, then fit, then print."""
    screen = console()
    check_given(given)
    check_questions(given, asked)
    readings = _read(paths, facts, given, asked)
    carrier = heating_carrier(readings, given.fuel)
    _check_content(readings.meters[carrier], given)
    confirmed = _confirmed(readings.meters[carrier], given, asked)
    known = house_facts(given, carrier=carrier)
    wanted = _wanted(weather, facts, carrier, asked)
    print_readings(screen, readings.reports, details=asked.details)
    house = billed_house(readings, wanted.years, known, fuel=carrier)
    house = replace(house, notices=(*house.notices, confirmed))
    show = display_of(house, us=asked.us)
    lines = _answers(house, wanted, show)
    checked = _check(house, wanted)
    print_house(screen, house, show, details=asked.details)
    sizes = _sizes(screen, house, show, wanted.floor_m2)
    _print_later(screen, wanted.after, asked)
    if lines:
        screen.print()
    print_lines(screen, lines)
    _print_later(screen, wanted.check, asked)
    if checked is not None:
        print_check(screen, checked, us=asked.us)
    written = _write(house, checked, sizes, weather, asked)
    told = _told(readings)
    print_lines(screen, closing_lines(house, written, show, details=asked.details, told=told))


def _wanted(weather: Sequence[str], facts: ReadingFacts, carrier: str, asked: Questions) -> _Asked:
    """Read everything that is named beside the readings."""
    planned = None
    if asked.scenario is not None:
        planned = planned_option(asked.scenario, asked.option)
    later = carrier if planned is None else ELECTRICITY
    return _Asked(
        years=tuple(weather_years(weather)),
        normal=tuple(weather_years(asked.normal, option="--normal")),
        floor_m2=area_m2(asked.area),
        change_k=None if asked.set_point_change is None else difference_k(asked.set_point_change),
        planned=planned,
        after=_later_readings(asked.after, facts, carrier, carrier),
        check=_later_readings(asked.check, facts, carrier, later),
    )


def _later_readings(
    paths: Sequence[Path], facts: ReadingFacts, carrier: str, fuel: str
) -> HouseReadings | None:
    """Read later files; what is known of the first meter holds for the same carrier only."""
    if not paths:
        return None
    if fuel != carrier:
        facts = replace(facts, unit=None, dials=None, value_column=None)
    return read_house_readings(paths, fuel=fuel, facts=facts)


def _print_later(screen: Console, later: HouseReadings | None, asked: Questions) -> None:
    if later is not None:
        screen.print()
        print_readings(screen, later.reports, details=asked.details)


def _read(
    paths: Sequence[Path], facts: ReadingFacts, given: Given, asked: Questions
) -> HouseReadings:
    """Read the files; then keep the days that are asked for."""
    try:
        readings = read_house_readings(paths, fuel=given.fuel, facts=facts)
    except InputError as fault:
        raise _placed(fault, paths) from None
    if asked.since is None and asked.until is None:
        return readings
    since, until = asked.since or date.min, asked.until or date.max
    meters = {}
    for carrier, meter in readings.meters.items():
        _check_days(meter, asked)
        meters[carrier] = meter.between(since, until)
    return replace(readings, meters=meters)


def _placed(fault: InputError, paths: Sequence[Path]) -> InputError:
    """Name the files of a fault that names none, and what to do where it does not say."""
    estimates = (
        "mark reads that were actual so in the column that says how they were read; else ask for"
        " actual ones, or read the meter for some months"
    )
    return InputError(
        fault.what,
        where=fault.where or ", ".join(path.name or str(path) for path in paths),
        expected=fault.expected,
        remedy=fault.remedy or (estimates if "actual" in fault.expected else ""),
    )


def _check_days(meter: MeterPeriods, asked: Questions) -> None:
    """Refuse --since and --until that leave no period, by the ends that were given."""
    first, end = meter.periods[0].first_day, meter.periods[-1].end_day
    ends = [
        f"{option} {day}"
        for option, day in (("--since", asked.since), ("--until", asked.until))
        if day is not None
    ]
    since, until = asked.since or date.min, asked.until or date.max
    if not any(one.first_day >= since and one.end_day <= until for one in meter.periods):
        raise InputError(
            f"{' and '.join(ends)}: no whole period of {meter.meter.carrier} is left",
            expected=f"days between {first} and {end}",
        )


def _told(readings: HouseReadings) -> frozenset[str]:
    """Sentences that the report of the readings holds already."""
    return frozenset(
        text for report in readings.reports for text in (*report.read_as, *report.repairs)
    )


def _check_content(meter: MeterPeriods, given: Given) -> None:
    """Refuse a heat content that does not go with the meter, by the name of the option."""
    from energymodel.economics.fuels import heat_content

    carrier = meter.meter.carrier
    if given.heat_content is None or carrier == ELECTRICITY:
        return
    try:
        heat_content(carrier, meter.meter.unit, given=given.heat_content)
    except InputError as fault:
        raise InputError(
            fault.what, where="--heat-content", expected=fault.expected, remedy=fault.remedy
        ) from None


def _confirmed(meter: MeterPeriods, given: Given, asked: Questions) -> Notice:
    """Hold the latest single bill against the energy that it prints."""
    from energymodel.economics.fuels import heat_content
    from energymodel.study.house.bill_line import check_bill_line
    from energymodel.study.house.period_weather import read_to_read

    carrier, unit = meter.meter.carrier, meter.meter.unit
    if asked.bill_line is None:
        text = (
            f"That the {carrier} is counted in {unit} is not confirmed: --bill-line holds it"
            " against the energy printed on the latest bill."
        )
        return Notice(topic="unit", text=text)
    content = heat_content(
        carrier, unit, given=None if carrier == ELECTRICITY else given.heat_content
    )
    latest = [period for period in meter.periods if not period.merged][-1]
    ratio = check_bill_line(latest.amount, content, asked.bill_line).ratio
    text = (
        f"The unit is confirmed: {latest.amount:g} {unit} of {read_to_read(latest)} are"
        f" {ratio:.1%} of the {asked.bill_line} on the bill."
    )
    return Notice(topic="unit", text=text)


def _sizes(
    screen: Console, house: BilledHouse, show: BillsDisplay, floor_m2: float | None
) -> tuple[SizeAtDesign, ...]:
    load = house.design_load_w
    if load is None or not load.likely > 0:
        return ()
    sizes = sizes_at_design(
        load,
        design_c=house.design_c,
        indoor_c=house.facts.indoor_c,
        duct_efficiency=house.facts.duct_efficiency,
    )
    thumbs = () if floor_m2 is None else thumb_rules(load, floor_area_m2=floor_m2)
    print_sizes(screen, house, show, sizes=sizes, thumbs=thumbs)
    return sizes


def _answers(house: BilledHouse, wanted: _Asked, show: BillsDisplay) -> list[str]:
    """Sentences of a normal year, another set-point and a saving."""
    if house.bills is None:
        return []
    from energymodel.study.house.normal_year import normal_use, set_point_effect
    from energymodel.study.house.period_weather import year_of_days

    years = [year_of_days(year) for year in wanted.normal or house.years]
    lines = normal_lines(normal_use(house.bills, years), show)
    if wanted.change_k is not None:
        effect = set_point_effect(house.bills, years[0], wanted.change_k)
        lines.append(set_point_line(effect, wanted.change_k, years[0].label, show))
    if wanted.after is not None:
        lines += saving_lines(_saving(house, house.bills, years[0], wanted.after), show)
    return lines


def _later_meter(house: BilledHouse, later: HouseReadings, fuel: str) -> MeterPeriods:
    """Take the periods of one meter that the weather covers."""
    named = fuel if fuel in later.meters else None
    return covered_by(later.meters[heating_carrier(later, named)], house.weather)


def _saving(
    house: BilledHouse, before: BillFit, year: DailyWeather, later: HouseReadings
) -> Saving:
    from energymodel.study.house.normal_year import normalised_saving

    meter = _later_meter(house, later, house.carrier)
    fitted = fit_heating_meter(meter, house.weather, house.facts)
    return normalised_saving(before, fitted, year)


def _check(house: BilledHouse, wanted: _Asked) -> CheckedPeriods | None:
    if wanted.check is None:
        return None
    from energymodel.study.house.after_check import Installed, check_installed, check_unchanged

    if wanted.planned is None:
        after = _later_meter(house, wanted.check, house.carrier)
        content = None if house.carrier == ELECTRICITY else house.facts.heat_content
        # without --scenario a heat pump was refused before
        return (
            check_unchanged(house.bills, after, house.weather, given_heat_content=content)
            if house.bills is not None
            else None
        )
    if house.heating_by_hour is None:
        raise InputError("these readings give no heating load to check an option with")
    after = _later_meter(house, wanted.check, ELECTRICITY)
    same_meter = after.meter.carrier == house.carrier
    installed = Installed(
        planned=wanted.planned,
        load=house.heating_by_hour,
        scatter=house.scatter,
        rest=house.bills if same_meter else house.rest,
        indoor_c=house.facts.indoor_c,
    )
    return check_installed(
        installed, after, house.weather, given_heat_content=house.facts.heat_content
    )


def _write(
    house: BilledHouse,
    checked: CheckedPeriods | None,
    sizes: tuple[SizeAtDesign, ...],
    weather: Sequence[str],
    asked: Questions,
) -> list[Path]:
    written: list[Path] = []
    if asked.out is not None:
        from energymodel.report.house.scenario import write_scenario
        from energymodel.report.house.scenario_options import ScenarioFacts

        named = asked.normal[0] if asked.normal else weather[-1]
        facts = ScenarioFacts(
            title=f"House from its bills ({house.years[0].site.name})",
            weather=scenario_weather(named, asked.out.parent),
            readings_weather=house.weather.label,
            us=asked.us,
            sizes=sizes,
            fuel_price=asked.prices[0],
            electricity_price=asked.prices[1],
        )
        written.append(write_scenario(house, facts, asked.out, replace=asked.replace))
    if asked.chart is not None:
        from energymodel.report.figures.bills_chart import write_bills_chart

        write_bills_chart(house, asked.chart, checked=checked, us=asked.us, replace=asked.replace)
        written.append(asked.chart)
    return written
