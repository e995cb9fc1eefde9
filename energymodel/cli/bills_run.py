"""Steps of `energymodel from-bills`: read, fit, print, answer, write."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

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
from energymodel.report.house.answers import (
    normal_lines,
    print_check,
    saving_lines,
    set_point_line,
)
from energymodel.report.house.lines import closing_lines
from energymodel.report.house.table import (
    console,
    display_of,
    print_house,
    print_lines,
    print_readings,
    print_sizes,
)
from energymodel.study.house.billed_house import (
    BilledHouse,
    billed_house,
    covered_by,
    heating_carrier,
)
from energymodel.study.house.design_sizes import SizeAtDesign, sizes_at_design, thumb_rules

if TYPE_CHECKING:
    from rich.console import Console

    from energymodel.meters.periods import MeterPeriods
    from energymodel.report.house.units import BillsDisplay
    from energymodel.study.house.after_check import CheckedPeriods
    from energymodel.study.house.from_bills import BillFit
    from energymodel.study.house.normal_year import Saving
    from energymodel.study.house.period_weather import DailyWeather


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


def run(
    paths: Sequence[Path],
    weather: Sequence[str],
    facts: ReadingFacts,
    given: Given,
    asked: Questions,
) -> None:
    """Answer the command."""
    screen = console()
    readings = _read(screen, paths, facts, given, asked)
    carrier = heating_carrier(readings, given.fuel)
    confirmed = _confirmed(readings.meters[carrier], given, asked)
    house = billed_house(
        readings, weather_years(weather), house_facts(given, carrier=carrier), fuel=carrier
    )
    house = replace(house, notices=(*house.notices, confirmed))
    show = display_of(house, us=asked.us)
    print_house(screen, house, show, details=asked.details)
    sizes = _sizes(screen, house, show, asked)
    _answers(screen, house, show, asked)
    checked = _check(screen, house, asked)
    written = _write(house, checked, sizes, weather, asked)
    print_lines(screen, closing_lines(house, written, details=asked.details, told=_told(readings)))


def _read(
    screen: Console,
    paths: Sequence[Path],
    facts: ReadingFacts,
    given: Given,
    asked: Questions,
) -> HouseReadings:
    """Read and report the files; then keep the days that are asked for."""
    readings = read_house_readings(paths, fuel=given.fuel, facts=facts)
    print_readings(screen, readings.reports, details=asked.details)
    if asked.since is None and asked.until is None:
        return readings
    meters = {
        carrier: meter.between(asked.since or date.min, asked.until or date.max)
        for carrier, meter in readings.meters.items()
    }
    return replace(readings, meters=meters)


def _told(readings: HouseReadings) -> frozenset[str]:
    """Sentences that the report of the readings holds already."""
    return frozenset(
        text for report in readings.reports for text in (*report.read_as, *report.repairs)
    )


def _confirmed(meter: MeterPeriods, given: Given, asked: Questions) -> Notice:
    """Hold the latest single bill against the energy that it prints."""
    from energymodel.economics.fuels import heat_content
    from energymodel.study.house.bill_line import check_bill_line

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
        f"The unit is confirmed: {latest.amount:g} {unit} of {latest.label} are {ratio:.1%} of the"
        f" {asked.bill_line} on the bill."
    )
    return Notice(topic="unit", text=text)


def _sizes(
    screen: Console, house: BilledHouse, show: BillsDisplay, asked: Questions
) -> tuple[SizeAtDesign, ...]:
    load = house.design_load_w
    if load is None or not load.likely > 0:
        return ()
    sizes = sizes_at_design(load, design_c=house.design_c, indoor_c=house.facts.indoor_c)
    floor = area_m2(asked.area)
    thumbs = () if floor is None else thumb_rules(load, floor_area_m2=floor)
    print_sizes(screen, house, show, sizes=sizes, thumbs=thumbs)
    return sizes


def _answers(screen: Console, house: BilledHouse, show: BillsDisplay, asked: Questions) -> None:
    if house.bills is None:
        wanted = {"--normal": asked.normal, "--after": asked.after}
        named = [name for name, value in wanted.items() if value]
        if named or asked.set_point_change:
            raise InputError(
                f"{' and '.join(named) or '--set-point-change'} and --heat-pump are both given",
                remedy="write a scenario with --out and compare years with it",
            )
        return
    years = _normal_years(house, asked)
    lines = _year_lines(house.bills, years, show, asked)
    if asked.after:
        lines += saving_lines(_saving(screen, house, house.bills, years[0], asked), show)
    if lines:
        screen.print()
    print_lines(screen, lines)


def _normal_years(house: BilledHouse, asked: Questions) -> list[DailyWeather]:
    from energymodel.study.house.period_weather import year_of_days

    named = weather_years(asked.normal, option="--normal") if asked.normal else house.years
    return [year_of_days(year) for year in named]


def _year_lines(
    bills: BillFit, years: Sequence[DailyWeather], show: BillsDisplay, asked: Questions
) -> list[str]:
    from energymodel.study.house.normal_year import normal_use, set_point_effect

    lines = normal_lines(normal_use(bills, years), show)
    if asked.set_point_change is not None:
        change_k = difference_k(asked.set_point_change)
        effect = set_point_effect(bills, years[0], change_k)
        lines.append(set_point_line(effect, change_k, years[0].label, show))
    return lines


def _later(
    screen: Console, house: BilledHouse, paths: Sequence[Path], *, fuel: str, details: bool
) -> MeterPeriods:
    """Read the later periods of one meter that the weather covers."""
    later = read_house_readings(paths, fuel=fuel)
    screen.print()
    print_readings(screen, later.reports, details=details)
    named = fuel if fuel in later.meters else None
    return covered_by(later.meters[heating_carrier(later, named)], house.weather)


def _saving(
    screen: Console, house: BilledHouse, before: BillFit, year: DailyWeather, asked: Questions
) -> Saving:
    from energymodel.study.house.from_bills import fit_readings
    from energymodel.study.house.normal_year import normalised_saving

    meter = _later(screen, house, asked.after, fuel=house.carrier, details=asked.details)
    fitted = fit_readings(meter, house.weather, given_heat_content=_content(house))
    return normalised_saving(before, fitted, year)


def _content(house: BilledHouse) -> str | None:
    return None if house.carrier == ELECTRICITY else house.facts.heat_content


def _check(screen: Console, house: BilledHouse, asked: Questions) -> CheckedPeriods | None:
    if not asked.check:
        return None
    if asked.scenario is None:
        checked = _unchanged(screen, house, asked)
    else:
        checked = _installed(screen, house, asked.scenario, asked)
    print_check(screen, checked, us=asked.us)
    return checked


def _unchanged(screen: Console, house: BilledHouse, asked: Questions) -> CheckedPeriods:
    from energymodel.study.house.after_check import check_unchanged

    if house.bills is None:
        raise InputError(
            "--check with --heat-pump needs to know what was installed",
            remedy="add --scenario FILE --option NAME",
        )
    after = _later(screen, house, asked.check, fuel=house.carrier, details=asked.details)
    return check_unchanged(house.bills, after, house.weather, given_heat_content=_content(house))


def _installed(
    screen: Console, house: BilledHouse, scenario: Path, asked: Questions
) -> CheckedPeriods:
    from energymodel.study.house.after_check import Installed, check_installed

    planned = planned_option(scenario, asked.option)
    if house.heating is None:
        raise InputError("these readings give no heating load to check an option with")
    after = _later(screen, house, asked.check, fuel=ELECTRICITY, details=asked.details)
    same_meter = after.meter.carrier == house.carrier
    installed = Installed(
        planned=planned,
        load=house.heating,
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
        from energymodel.report.house.scenario import ScenarioFacts, write_scenario

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
