"""Meters of the options' own, and the hours in which a tariff cuts electric heat and cold."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from energymodel.arrays import Mask
from energymodel.equipment.flows import Source
from energymodel.equipment.interruptible import household_uses, runs_on_electricity
from energymodel.errors import EnergyModelError, InputError, ManyFaultsError
from energymodel.notices import UsedDefault
from energymodel.scenario.faults import placed
from energymodel.scenario.fields import shown
from energymodel.scenario.heat_pump_kind import CompressorRecord
from energymodel.scenario.heater_kinds import BurnerRecord
from energymodel.scenario.ledger import Ledger
from energymodel.scenario.prices import (
    ELECTRICITY,
    CarrierPrice,
    HouseTariff,
    OwnMeter,
    check_unit,
)
from energymodel.scenario.schema import OptionTable
from energymodel.season.option import ALWAYS_SUPPLIED, Option, Supply
from energymodel.tariffs.calendar import WallClock, year_clock
from energymodel.tariffs.charges import Block, EnergyCharge, EnergyPeriod, FixedCharge, Per
from energymodel.tariffs.files import read_tariff_file
from energymodel.tariffs.in_force import billing_year
from energymodel.tariffs.interruption import interrupted
from energymodel.tariffs.tariff import Tariff
from energymodel.weather.year import WeatherYear

FUNCTIONS = ("heating", "cooling")


def weather_clock(
    tariff: Tariff, weather: WeatherYear
) -> tuple[WallClock, tuple[UsedDefault, ...]]:
    """Wall-clock time of the hours of a weather year.

    Parameters
    ----------
    tariff
        Its first year in force is that of a typical year.
    weather
        A complete year; an observed one keeps its own calendar.

    Returns
    -------
    clock : WallClock
        Of the hours.
    defaults : tuple of UsedDefault
        The calendar year, where it had to be chosen.

    Raises
    ------
    InputError
        If the zone of the place does not fit.
    """
    defaults: tuple[UsedDefault, ...] = ()
    if weather.kind == "observed":
        year = int(weather.year_label)
    else:
        year, default = billing_year(tariff)
        defaults = (default,)
    clock = year_clock(
        year,
        zone=weather.site.zone,
        rows=weather.starts.size,
        utc_offset_h=weather.site.utc_offset_h,
    )
    return clock, defaults


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ControlledHours:
    """Hours in which a tariff cuts the supply, by clock and outdoor temperature.

    Parameters
    ----------
    tariff
        With interruption rules.
    year_of
        Tariff of the house: its calendar year is the one that both are billed on.
    """

    tariff: Tariff
    year_of: Tariff

    def hours(self, weather: WeatherYear) -> Mask:
        """Hours of a year without supply.

        Parameters
        ----------
        weather
            A complete year.

        Returns
        -------
        Mask
            Shape (hours,).

        Raises
        ------
        InputError
            If the zone is needed and not known.
        """
        return interrupted(self.tariff, self._clock(weather), weather.outdoor_c)

    def possible_at(self, outdoor_c: float, weather: WeatherYear) -> bool:
        """Whether the supply may be cut in cold weather of a given temperature.

        Parameters
        ----------
        outdoor_c
            Outdoor temperature, degC.
        weather
            A complete year.

        Returns
        -------
        bool
            True where the rules cut any hour of the months that get so cold, at that temperature;
            where no month does, of the coldest one.
        """
        lowest_c = np.array([weather.outdoor_c[weather.month == m].min() for m in range(1, 13)])
        reach = np.flatnonzero(lowest_c <= max(outdoor_c, float(lowest_c.min()))) + 1
        at = np.full(weather.outdoor_c.size, outdoor_c)
        cut = interrupted(self.tariff, self._clock(weather), at)
        return bool(cut[np.isin(weather.month, reach)].any())

    def _clock(self, weather: WeatherYear) -> WallClock:
        if self.tariff.needs_clock and weather.site.zone is None:
            raise InputError(
                "its interruptions depend on the hour, and the time zone of the place is not known",
                where=self.tariff.name,
                expected='a zone such as "America/New_York"',
            )
        return weather_clock(self.year_of, weather)[0]


def own_meters(
    options: Iterable[tuple[str, OptionTable]], ledger: Ledger, *, folder: Path, zone: str | None
) -> dict[str, OwnMeter]:
    """Read the meters that options have of their own.

    Parameters
    ----------
    options
        Place in the file and table of each option.
    ledger
        Collects what was taken as a default.
    folder
        Tariff files count from there.
    zone
        Time zone of the place.

    Returns
    -------
    dict of OwnMeter
        By name of the option.

    Raises
    ------
    ManyFaultsError
        With every meter that cannot be used.
    """
    meters: dict[str, OwnMeter] = {}
    faults: list[EnergyModelError] = []
    for place, table in options:
        if table.meter is None:
            continue
        try:
            meters[table.name] = _own_meter(table, ledger, folder=folder, zone=zone)
        except EnergyModelError as error:
            faults.extend(placed(error, f"{place}meter."))
    if faults:
        raise ManyFaultsError(faults)
    return meters


def _own_meter(table: OptionTable, ledger: Ledger, *, folder: Path, zone: str | None) -> OwnMeter:
    covers = _covered(table, ledger)
    path = folder / (table.meter.tariff if table.meter is not None else "")
    try:
        tariff, notices = read_tariff_file(path, zone)
        check_unit(ELECTRICITY, tariff)
    except EnergyModelError as error:
        raise ManyFaultsError(placed(error, "tariff: ")) from None
    ledger.add_notices((*notices, *tariff.unit.notices))
    return OwnMeter(tariff=tariff, covers=covers, folder=path.parent)


def _covered(table: OptionTable, ledger: Ledger) -> frozenset[str]:
    """Functions on the meter, after what can hang on one."""
    electric = [name for name in FUNCTIONS if _is_electric(getattr(table, name))]
    shared = _one_unit(table)
    given = table.meter.covers if table.meter is not None else None
    if given is not None:
        covers = given.split(" and ")
        for name in covers:
            if name not in electric:
                raise InputError(
                    f"the meter covers {name}, and the option has no electric {name}",
                    where="covers",
                    expected=" or ".join(map(shown, electric)) or "an option with a heat pump",
                )
        if shared and len(covers) == 1:
            raise InputError(
                f"the meter covers {covers[0]} alone, and one unit heats and cools",
                where="covers",
                expected='"heating and cooling": a unit hangs on one meter',
            )
        return frozenset(covers)
    if not electric:
        raise InputError(
            "nothing of this option heats or cools with electricity",
            expected="a meter on an option with a heat pump or electric heat",
        )
    covers = electric if shared else electric[:1]
    ledger.default(
        f"what the own meter of {table.name} covers",
        " and ".join(covers),
        "our choice: heating, and cooling by the same unit",
    )
    return frozenset(covers)


def _is_electric(record: object) -> bool:
    return record is not None and not isinstance(record, BurnerRecord)


def _one_unit(table: OptionTable) -> bool:
    heats, cools = table.heating, table.cooling
    both = isinstance(heats, CompressorRecord) and isinstance(cools, CompressorRecord)
    return both and getattr(heats, "unit", "") == getattr(cools, "unit", "")


def with_meters(price: CarrierPrice, meters: Mapping[str, OwnMeter]) -> CarrierPrice:
    """Put the meters of options beside the meter of the house.

    Parameters
    ----------
    price
        Of electricity. A flat price becomes a tariff of one price, so that both meters are billed
        in one way.
    meters
        By name of the option; at least one.

    Returns
    -------
    CarrierPrice
        With the meters in its house tariff.
    """
    house = price.house or _one_price(price, next(iter(meters.values())).tariff)
    return replace(
        price,
        house=replace(house, meters=dict(meters)),
        other_use_kwh=price.other_use_kwh if price.house is not None else house.other_use_kwh,
    )


def _one_price(price: CarrierPrice, beside: Tariff) -> HouseTariff:
    fixed = FixedCharge(name="Standing charge", amount=price.fixed_per_year, per=Per.YEAR)
    period = EnergyPeriod(blocks=(Block(price=price.per_kwh),))
    tariff = Tariff(
        name=price.text,
        currency=beside.currency,
        effective=beside.effective,
        fixed=(fixed,) if price.fixed_per_year else (),
        energy=(EnergyCharge(name="Energy", periods=(period,)),),
    )
    return HouseTariff(tariff=tariff, other_use_kwh=(0.0,) * 12)


def supplied(option: Option, house: HouseTariff, ledger: Ledger) -> Option:
    """Say on which meter an option's electricity is, and when it is cut.

    Parameters
    ----------
    option
        With its sources.
    house
        Tariff of the house, with the meters of options.
    ledger
        Collects what was chosen.

    Returns
    -------
    Option
        The option itself where it is on the household's meter and never cut.
    """
    meter = house.meters.get(option.name)
    household = _Meter(tariff=house.tariff, rules=_rules(house.tariff, house), own=False)
    apart = household
    if meter is not None:
        apart = _Meter(tariff=meter.tariff, rules=_rules(meter.tariff, house), own=True)
    found: dict[str, Supply] = {}
    for function, source in (("heating", option.heating), ("cooling", option.cooling)):
        covered = meter is not None and function in meter.covers
        one = apart if covered else household
        if source is None or not runs_on_electricity(source) or not (one.own or one.rules):
            continue
        found[function] = Supply(interruption=one.rules, own_meter=one.own)
        _note(source, one, ledger)
    return replace(
        option,
        heating_supply=found.get("heating", ALWAYS_SUPPLIED),
        cooling_supply=found.get("cooling", ALWAYS_SUPPLIED),
    )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Meter:
    """A meter that a function may hang on."""

    tariff: Tariff
    rules: ControlledHours | None
    own: bool


def _rules(tariff: Tariff, house: HouseTariff) -> ControlledHours | None:
    if not tariff.interruptions:
        return None
    return ControlledHours(tariff=tariff, year_of=house.tariff)


def _note(source: Source, meter: _Meter, ledger: Ledger) -> None:
    if household_uses(source):
        ledger.default(
            "supply of the fans and pumps of fuel burners",
            "the household's: not on another meter, never cut",
            "our choice",
        )
    if meter.rules is not None and not meter.own:
        ledger.default(
            "the household's other use under an interruptible rate",
            "never cut",
            "our choice: such a rate cuts electric heating and cooling alone",
        )
