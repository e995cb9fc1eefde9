"""Emissions of a year's energy: fuel burned and electricity at the average rate of its grid.

CO2e = fuel (higher heating value) x (CO2 + CH4 + N2O) + kWh x average output rate at generation,
with the warming potentials of the fifth assessment report. Carbon dioxide of wood is listed apart.
Nothing upstream, and no refrigerant, unless asked for. Marginal rates are another question and are
not mixed in.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from difflib import get_close_matches

from energymodel.datafiles import read_table
from energymodel.errors import InputError
from energymodel.notices import Notice
from energymodel.refrigerants import RefrigerantLoss, direct_co2e_kg_per_year
from energymodel.units import KG_PER_LB, KWH_PER_MMBTU

ELECTRICITY = "electricity"
GWP_CH4_AR5 = 28.0
GWP_N2O_AR5 = 265.0
"""100-year potentials, fifth assessment report of the IPCC (quoted)."""
_LB_PER_MWH = KG_PER_LB / 1000.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Factor:
    """Emission factor of one carrier, kg per kWh.

    Parameters
    ----------
    carrier
        Name of the carrier.
    co2_kg_per_kwh, ch4_kg_per_kwh, n2o_kg_per_kwh
        kg per kWh: fuels by higher heating value, electricity at generation.
    biogenic
        The CO2 is listed apart and does not count in CO2e.
    basis
        What the factor holds for, such as "eGRID subregion NEWE, data year 2022, average output
        rate at generation".
    source
        Document and how it was seen.
    """

    carrier: str
    co2_kg_per_kwh: float
    ch4_kg_per_kwh: float = 0.0
    n2o_kg_per_kwh: float = 0.0
    biogenic: bool = False
    basis: str
    source: str

    @property
    def co2e_kg_per_kwh(self) -> float:
        """CO2e, kg per kWh; biogenic CO2 left out."""
        fossil = 0.0 if self.biogenic else self.co2_kg_per_kwh
        return fossil + GWP_CH4_AR5 * self.ch4_kg_per_kwh + GWP_N2O_AR5 * self.n2o_kg_per_kwh

    @property
    def biogenic_co2_kg_per_kwh(self) -> float:
        """Carbon dioxide of biogenic origin, kg per kWh."""
        return self.co2_kg_per_kwh if self.biogenic else 0.0


def fuel_factor(carrier: str) -> Factor:
    """Emission factor of burning a fuel.

    Parameters
    ----------
    carrier
        Name of the carrier.

    Returns
    -------
    Factor
        Per kWh of higher heating value.

    Raises
    ------
    InputError
        If no factor is listed for the carrier.

    Examples
    --------
    >>> from energymodel.units import KWH_PER_MMBTU
    >>> round(fuel_factor("natural gas").co2e_kg_per_kwh * KWH_PER_MMBTU, 4)
    53.1145
    """
    rows = {row["carrier"]: row for row in read_table("emissions_fuels.csv")}
    row = _look_up(rows, carrier, f"no emission factor is listed for {carrier!r}")
    return Factor(
        carrier=carrier,
        co2_kg_per_kwh=float(row["co2_kg_per_mmbtu"]) / KWH_PER_MMBTU,
        ch4_kg_per_kwh=float(row["ch4_kg_per_mmbtu"]) / KWH_PER_MMBTU,
        n2o_kg_per_kwh=float(row["n2o_kg_per_mmbtu"]) / KWH_PER_MMBTU,
        biogenic=row["biogenic"] == "yes",
        basis="burning, higher heating value",
        source=row["source"],
    )


def _look_up(rows: Mapping[str, dict[str, str]], name: str, what: str) -> dict[str, str]:
    if name in rows:
        return rows[name]
    near = get_close_matches(name, rows, n=3, cutoff=0.4)
    raise InputError(
        what,
        expected="one of " + ", ".join(rows),
        remedy="did you mean " + " or ".join(near) + "?" if near else "",
    )


def grid_factor(code: str) -> Factor:
    """Average output rate of a grid subregion, at generation.

    Parameters
    ----------
    code
        eGRID subregion, such as "NEWE", or "US".

    Returns
    -------
    Factor
        Of electricity; the data year stands in its basis.

    Raises
    ------
    InputError
        If the code is not in the table; the message suggests near ones.

    Examples
    --------
    >>> round(grid_factor("US").co2_kg_per_kwh * 1000, 1)
    373.4
    >>> grid_factor("US").basis.partition(" (")[0]
    'eGRID subregion US'
    """
    rows = {row["code"]: row for row in read_table("emissions_grid.csv")}
    row = _look_up(rows, code.strip().upper(), f"the grid subregion {code!r} is not in the table")
    gases = "" if row["ch4_lb_per_mwh"] else ", CO2 only"
    return Factor(
        carrier=ELECTRICITY,
        co2_kg_per_kwh=float(row["co2_lb_per_mwh"]) * _LB_PER_MWH,
        ch4_kg_per_kwh=float(row["ch4_lb_per_mwh"] or 0.0) * _LB_PER_MWH,
        n2o_kg_per_kwh=float(row["n2o_lb_per_mwh"] or 0.0) * _LB_PER_MWH,
        basis=f"eGRID subregion {row['code']} ({row['region']}), data year {row['data_year']}, "
        f"average output rate at generation{gases}",
        source=row["source"],
    )


def generated_kwh(used_kwh: float, *, lost_share_of_generation: float = 0.0) -> float:
    """Electricity generated for electricity used.

    Parameters
    ----------
    used_kwh
        kWh at the meter.
    lost_share_of_generation
        Grid loss as a share of what is generated, 0..<1.

    Returns
    -------
    float
        kWh at generation = used / (1 - share).

    Raises
    ------
    InputError
        If the share is not in 0..1; at 1 and above nothing would arrive.
    """
    if not 0 <= lost_share_of_generation < 1:
        raise InputError(
            f"a grid loss of {lost_share_of_generation:g}", expected="a share such as 0.05"
        )
    return used_kwh / (1.0 - lost_share_of_generation)


def loss_of_generation(lost_share_of_use: float) -> float:
    """Turn a loss that is given as a share of the use into a share of the generation.

    Parameters
    ----------
    lost_share_of_use
        Loss / electricity used, >= 0.

    Returns
    -------
    float
        Loss / electricity generated.

    Examples
    --------
    >>> round(generated_kwh(100.0, lost_share_of_generation=loss_of_generation(0.05)), 9)
    105.0
    """
    return lost_share_of_use / (1.0 + lost_share_of_use)


def power_plant_fuel_kwh(
    generation_kwh: float, *, share_of_generation: float, plant_efficiency: float
) -> float:
    """Fuel burned at power plants for electricity.

    Parameters
    ----------
    generation_kwh
        Electricity generated, kWh.
    share_of_generation
        Share that comes from this fuel, 0..1.
    plant_efficiency
        Electricity over fuel, higher heating value.

    Returns
    -------
    float
        Fuel, kWh.

    Raises
    ------
    InputError
        If the share is not in 0..1 or the efficiency not in 0..1.
    """
    if not (0 <= share_of_generation <= 1 and 0 < plant_efficiency <= 1):
        raise InputError(
            f"a share of {share_of_generation:g} at an efficiency of {plant_efficiency:g}",
            expected="fractions: 0.45 and 0.40",
        )
    return generation_kwh * share_of_generation / plant_efficiency


@dataclass(frozen=True, slots=True, kw_only=True)
class CarrierEmissions:
    """Emissions of one carrier in a year.

    Parameters
    ----------
    energy_kwh
        As used: fuel by higher heating value, electricity at the meter.
    emitting_kwh
        What the factor was applied to: electricity with grid loss.
    factor
        Factor used.
    upstream_co2e_kg
        Extraction and transport, kg; 0 unless asked for.
    """

    energy_kwh: float
    emitting_kwh: float
    factor: Factor
    upstream_co2e_kg: float = 0.0

    @property
    def co2_kg(self) -> float:
        """Fossil carbon dioxide, kg."""
        return 0.0 if self.factor.biogenic else self.emitting_kwh * self.factor.co2_kg_per_kwh

    @property
    def co2e_kg(self) -> float:
        """CO2e, kg, upstream included where asked for; biogenic CO2 left out."""
        return self.emitting_kwh * self.factor.co2e_kg_per_kwh + self.upstream_co2e_kg

    @property
    def biogenic_co2_kg(self) -> float:
        """Carbon dioxide from wood, kg: apart, not in `co2e_kg`."""
        return self.emitting_kwh * self.factor.biogenic_co2_kg_per_kwh


@dataclass(frozen=True, slots=True, kw_only=True)
class Emissions:
    """Emissions of one option in a year.

    Parameters
    ----------
    by_carrier
        One entry per carrier used.
    refrigerant_co2e_kg
        Leaked refrigerant, kg CO2e per year; 0 unless asked for.
    notices
        What is in and what is not.
    """

    by_carrier: Mapping[str, CarrierEmissions]
    refrigerant_co2e_kg: float
    notices: tuple[Notice, ...]

    @property
    def co2e_kg(self) -> float:
        """All CO2e of the year, kg."""
        return sum(one.co2e_kg for one in self.by_carrier.values()) + self.refrigerant_co2e_kg

    @property
    def biogenic_co2_kg(self) -> float:
        """Carbon dioxide from wood, kg, not in `co2e_kg`."""
        return sum(one.biogenic_co2_kg for one in self.by_carrier.values())

    @property
    def factors(self) -> tuple[Factor, ...]:
        """Factors used, each with its source."""
        return tuple(one.factor for one in self.by_carrier.values())


def yearly_emissions(
    energy_kwh: Mapping[str, float],
    *,
    grid: Factor,
    grid_loss: float = 0.0,
    upstream_kg_per_kwh: Mapping[str, float] | None = None,
    refrigerant: RefrigerantLoss | None = None,
) -> Emissions:
    """Emissions of a year's energy by carrier.

    Parameters
    ----------
    energy_kwh
        kWh by carrier: "electricity" at the meter, fuels by higher heating value. A name may have
        an underscore for a space.
    grid
        Average output rate of the grid, from :func:`grid_factor` or the user's own.
    grid_loss
        Share of the generation lost on the way to the meter; 0 unless asked for.
    upstream_kg_per_kwh
        kg CO2e per kWh by carrier for extraction and transport; for all options or for none.
    refrigerant
        Charge and leaks; for all options or for none.

    Returns
    -------
    Emissions
        With the factors used and notices on what is in.

    Raises
    ------
    InputError
        If a carrier has no factor, an energy is negative or not a number, or `grid` is a fuel's.

    Examples
    --------
    >>> year = yearly_emissions(
    ...     {"natural_gas": 10_000.0, "electricity": 0.0}, grid=grid_factor("US")
    ... )
    >>> round(year.co2e_kg)
    1812
    """
    if grid.carrier != ELECTRICITY:
        raise InputError(f"the grid's factor is that of {grid.carrier}", expected=ELECTRICITY)
    upstream = _named(upstream_kg_per_kwh or {})
    by_carrier = {}
    for carrier, kwh in _named(energy_kwh).items():
        electric = carrier == ELECTRICITY
        loss = grid_loss if electric else 0.0
        by_carrier[carrier] = CarrierEmissions(
            energy_kwh=kwh,
            emitting_kwh=generated_kwh(kwh, lost_share_of_generation=loss),
            factor=grid if electric else fuel_factor(carrier),
            upstream_co2e_kg=upstream.get(carrier, 0.0) * kwh,
        )
    leaked = direct_co2e_kg_per_year(refrigerant) if refrigerant is not None else 0.0
    left_out = _left_out(upstream=bool(upstream), refrigerant=refrigerant is not None)
    return Emissions(
        by_carrier=by_carrier,
        refrigerant_co2e_kg=leaked,
        notices=_notices(by_carrier, grid_loss, left_out),
    )


def _named(energy_kwh: Mapping[str, float]) -> dict[str, float]:
    named = {carrier.replace("_", " "): float(kwh) for carrier, kwh in energy_kwh.items()}
    for carrier, kwh in named.items():
        if not (math.isfinite(kwh) and kwh >= 0):
            raise InputError(f"{kwh} kWh of {carrier}", expected="0 or more")
    return named


def _left_out(*, upstream: bool, refrigerant: bool) -> str:
    missing = [] if upstream else ["extraction and transport of fuels"]
    missing += [] if refrigerant else ["leaked refrigerant"]
    return " and ".join(missing)


def _notices(
    by_carrier: Mapping[str, CarrierEmissions], grid_loss: float, left_out: str
) -> tuple[Notice, ...]:
    texts = []
    if ELECTRICITY in by_carrier:
        basis = by_carrier[ELECTRICITY].factor.basis
        texts.append(f"Electricity: {basis}; grid loss {grid_loss:.1%}. Not a marginal rate.")
    if any(one.factor.biogenic for one in by_carrier.values()):
        texts.append("Carbon dioxide from wood is listed apart and is not in the sum.")
    if left_out:
        texts.append(f"Not counted: {left_out}.")
    return tuple(Notice(topic="emissions", text=text) for text in texts)
