"""Emissions by carrier against the reporting rule's tables and eGRID."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from energymodel.datafiles import read_table
from energymodel.economics.cost_of_heat import break_even_cop
from energymodel.economics.fuel_units import carriers
from energymodel.economics.fuels import heat_content
from energymodel.emissions import (
    Factor,
    fuel_factor,
    generated_kwh,
    grid_factor,
    loss_of_generation,
    power_plant_fuel_kwh,
    yearly_emissions,
)
from energymodel.errors import InputError
from energymodel.quantities import ENERGY, read_quantity
from energymodel.refrigerants import (
    Assessment,
    RefrigerantLoss,
    direct_co2e_kg_per_year,
    mixture_gwp,
    mixture_of,
    refrigerant_gwp,
)
from energymodel.units import KWH_PER_MMBTU

_TRIES = settings(max_examples=50, deadline=None)

US = grid_factor("US")


def test_us_average_grid_rate_is_373_4_kg_per_mwh() -> None:
    # EPA eGRID2022, US total output rate 823.149 lb/MWh (quoted); kg/MWh (computed).
    assert US.co2_kg_per_kwh * 1000 == pytest.approx(373.4, abs=0.1)
    assert "data year 2022" in US.basis


@pytest.mark.parametrize(
    ("code", "kg_per_mwh"),
    [
        ("AKGD", 477.2), ("AKMS", 224.9), ("AZNM", 352.0), ("CAMX", 225.6), ("ERCT", 349.8),
        ("FRCC", 369.2), ("HIMS", 524.1), ("HIOA", 714.6), ("MROE", 671.1), ("MROW", 424.8),
        ("NEWE", 243.3), ("NWPP", 273.1), ("NYCW", 401.5), ("NYLI", 544.6), ("NYUP", 124.5),
        ("PRMS", 722.8), ("RFCE", 298.2), ("RFCM", 551.8), ("RFCW", 453.6), ("RMPA", 510.2),
        ("SPNO", 432.1), ("SPSO", 440.2), ("SRMV", 363.3), ("SRMW", 621.4), ("SRSO", 405.2),
        ("SRTV", 423.2), ("SRVC", 282.6),
    ],
)  # fmt: skip
def test_subregion_rates_convert_to_kg(code: str, kg_per_mwh: float) -> None:
    # EPA eGRID2022, lb/MWh quoted, kg/MWh computed apart from the package.
    assert grid_factor(code).co2_kg_per_kwh * 1000 == pytest.approx(kg_per_mwh, abs=0.051)


def test_a_misspelt_subregion_is_answered_with_near_codes() -> None:
    with pytest.raises(InputError, match="the grid subregion 'NEWW'") as refused:
        grid_factor("NEWW")
    assert "NEWE" in refused.value.remedy
    assert grid_factor(" newe ").basis == grid_factor("NEWE").basis


def test_a_subregion_without_ch4_and_n2o_says_co2_only() -> None:
    assert grid_factor("NEWE").basis.endswith("CO2 only")
    assert "CO2 only" not in US.basis
    assert US.co2e_kg_per_kwh > US.co2_kg_per_kwh


@pytest.mark.parametrize(
    ("carrier", "per", "given", "kg_per_unit", "half_digit"),
    [
        # 40 CFR 98 Table C-1 (quoted) with its heat contents; per unit of sale (computed).
        ("natural gas", "therm", None, 5.306, 5e-4),
        ("natural gas", "ccf", "1026 Btu/ft3", 5.444, 5e-4),
        ("propane", "gal", "0.091 MMBtu/gal", 5.72, 5e-3),
        ("heating oil", "gal", "0.138 MMBtu/gal", 10.21, 5e-3),
    ],
)
def test_co2_per_unit_of_sale(
    carrier: str, per: str, given: str | None, kg_per_unit: float, half_digit: float
) -> None:
    kwh = heat_content(carrier, per, given=given).kwh_per_unit
    year = yearly_emissions({carrier: kwh}, grid=US)
    assert year.by_carrier[carrier].co2_kg == pytest.approx(kg_per_unit, abs=half_digit)


def test_co2e_of_gas_is_53_1145_kg_per_mmbtu() -> None:
    # 40 CFR 98 Tables C-1 and C-2 (quoted) with AR5 potentials 28 and 265: 53.1145 (computed).
    assert fuel_factor("natural gas").co2e_kg_per_kwh * KWH_PER_MMBTU == pytest.approx(
        53.1145, abs=5e-5
    )


@pytest.mark.parametrize(
    ("carrier", "efficiency", "kg", "half_digit"),
    [
        # kg CO2 per delivered million Btu from 40 CFR 98 Table C-1 and eGRID2022 (computed).
        ("natural gas", 0.95, 55.85, 5e-3),
        ("propane", 0.95, 66.18, 5e-3),
        ("heating oil", 0.83, 89.11, 5e-3),
        ("electricity", 1.0, 109.4, 0.05),
        ("electricity", 3.0, 36.5, 0.05),
    ],
)
def test_co2_per_delivered_million_btu(
    carrier: str, efficiency: float, kg: float, half_digit: float
) -> None:
    used = read_quantity("1 MMBtu", ENERGY) / efficiency
    year = yearly_emissions({carrier: used}, grid=US)
    assert year.by_carrier[carrier].co2_kg == pytest.approx(kg, abs=half_digit)


def test_break_even_cop_for_co2_against_gas_on_the_us_average_is_1_96() -> None:
    # 40 CFR 98 Table C-1 and eGRID2022 (computed): 109.4 / 55.85.
    gas = fuel_factor("natural gas").co2_kg_per_kwh / 0.95
    assert break_even_cop(US.co2_kg_per_kwh, gas) == pytest.approx(1.96, abs=0.005)


def test_wood_is_listed_apart_and_only_its_methane_and_nitrous_oxide_count() -> None:
    # 40 CFR 98 Tables C-1 and C-2, wood and wood residuals (quoted): 93.80, 7.2e-3, 3.6e-3.
    year = yearly_emissions({"wood": KWH_PER_MMBTU}, grid=US)
    assert year.biogenic_co2_kg == pytest.approx(93.80, rel=1e-12)
    assert year.by_carrier["wood"].co2_kg == 0.0
    assert year.co2e_kg == pytest.approx(28 * 7.2e-3 + 265 * 3.6e-3, rel=1e-12)
    assert any("listed apart" in notice.text for notice in year.notices)


def test_grid_loss_is_zero_unless_given_and_then_a_share_of_the_generation() -> None:
    used = {"electricity": 1000.0}
    none = yearly_emissions(used, grid=US)
    assert none.co2e_kg == pytest.approx(1000 * US.co2e_kg_per_kwh, rel=1e-12)
    some = yearly_emissions(used, grid=US, grid_loss=0.05)
    assert some.co2e_kg == pytest.approx(none.co2e_kg / 0.95, rel=1e-12)
    assert some.by_carrier["electricity"].energy_kwh == 1000.0
    assert generated_kwh(100.0, lost_share_of_generation=loss_of_generation(0.05)) == pytest.approx(
        105.0, rel=1e-12
    )


def test_the_result_names_every_factor_and_what_is_left_out() -> None:
    year = yearly_emissions({"natural_gas": 100.0, "electricity": 10.0}, grid=US)
    assert [factor.carrier for factor in year.factors] == ["natural gas", "electricity"]
    assert all(factor.source for factor in year.factors)
    texts = " ".join(notice.text for notice in year.notices)
    assert "average output rate" in texts
    assert "Not a marginal rate" in texts
    assert "extraction and transport of fuels and leaked refrigerant" in texts


def test_upstream_and_refrigerant_count_only_when_asked_for() -> None:
    used = {"natural gas": 1000.0}
    plain = yearly_emissions(used, grid=US)
    loss = RefrigerantLoss(
        refrigerant="R-410A",
        charge_kg=1.2,
        yearly_leak=0.03,
        life_years=15.0,
        end_of_life_loss=0.2,
        recovery=0.0,
    )
    full = yearly_emissions(
        used, grid=US, upstream_kg_per_kwh={"natural_gas": 0.03}, refrigerant=loss
    )
    leaked = (1.2 * 0.03 * 15 + 1.2 * 0.2) * 1924 / 15  # the formula by hand (computed)
    assert plain.refrigerant_co2e_kg == 0.0
    assert full.refrigerant_co2e_kg == pytest.approx(leaked, rel=1e-12)
    assert full.co2e_kg == pytest.approx(plain.co2e_kg + 30.0 + leaked, rel=1e-12)


def test_the_users_own_grid_rate_is_used_as_given() -> None:
    own = Factor(
        carrier="electricity", co2_kg_per_kwh=0.05, basis="supplier, 2024", source="bill insert"
    )
    assert yearly_emissions({"electricity": 200.0}, grid=own).co2e_kg == pytest.approx(10.0)
    with pytest.raises(InputError, match="that of propane"):
        yearly_emissions({"electricity": 200.0}, grid=fuel_factor("propane"))


def test_impossible_energies_losses_and_carriers_are_refused() -> None:
    with pytest.raises(InputError, match="kWh of propane"):
        yearly_emissions({"propane": -1.0}, grid=US)
    with pytest.raises(InputError, match="a grid loss of 1"):
        yearly_emissions({"electricity": 1.0}, grid=US, grid_loss=1.0)
    with pytest.raises(InputError, match="'coal'"):
        yearly_emissions({"coal": 1.0}, grid=US)
    with pytest.raises(InputError, match="fractions"):
        power_plant_fuel_kwh(1.0, share_of_generation=45.0, plant_efficiency=0.4)


def test_every_carrier_that_can_be_priced_has_an_emission_factor() -> None:
    fuels = [row["carrier"] for row in read_table("emissions_fuels.csv")]
    assert sorted([*fuels, "electricity"]) == sorted(carriers())


@_TRIES
@given(st.floats(0, 1e6), st.floats(0, 1e6), st.floats(0, 10))
def test_emissions_add_up_and_scale_with_the_energy(gas: float, kwh: float, times: float) -> None:
    one = yearly_emissions({"natural gas": gas, "electricity": kwh}, grid=US)
    parts = sum(c.co2e_kg for c in one.by_carrier.values())
    assert one.co2e_kg == pytest.approx(parts)
    scaled = yearly_emissions({"natural gas": gas * times, "electricity": kwh * times}, grid=US)
    assert scaled.co2e_kg == pytest.approx(one.co2e_kg * times, rel=1e-9, abs=1e-9)


@pytest.mark.parametrize(
    ("assessment", "mass_average", "printed"),
    # R-410A: AR4 2,088 (quoted); 50/50 averages 2087.5, 1923.5, 2255.5 (computed).
    [
        (Assessment.AR4, 2087.5, 2088),
        (Assessment.AR5, 1923.5, 1924),
        (Assessment.AR6, 2255.5, 2256),
    ],
)
def test_warming_potential_of_r_410a_is_its_mass_average(
    assessment: Assessment, mass_average: float, printed: float
) -> None:
    assert mixture_gwp(mixture_of("R-410A"), assessment=assessment) == pytest.approx(mass_average)
    assert refrigerant_gwp("R-410A", assessment=assessment) == printed
    assert abs(mass_average - printed) <= 0.5


def test_warming_potential_of_r_454b_agrees_with_its_parts() -> None:
    # From memory, unverified: 466 listed; 0.689 x 675 + 0.311 x 4 = 466.3 (computed).
    parts = mixture_gwp(mixture_of("R-454B"), assessment=Assessment.AR4)
    assert parts == pytest.approx(466.3, abs=0.05)
    assert refrigerant_gwp("R-454B", assessment=Assessment.AR4) == pytest.approx(parts, abs=0.5)


def test_refrigerants_that_are_not_listed_are_refused_in_words() -> None:
    with pytest.raises(InputError) as refused:
        refrigerant_gwp("R-410")
    assert refused.value.remedy == 'did you mean "R-410A"?'
    with pytest.raises(InputError, match="no AR6 warming potential of R-1234yf"):
        refrigerant_gwp("R-1234yf", assessment=Assessment.AR6)
    with pytest.raises(InputError, match=r"add up to 0\.9"):
        mixture_gwp({"R-32": 0.5, "R-125": 0.4})


def test_a_unit_that_never_leaks_and_is_fully_recovered_emits_nothing() -> None:
    tight = RefrigerantLoss(
        refrigerant="R-32",
        charge_kg=1.0,
        yearly_leak=0.0,
        life_years=15.0,
        end_of_life_loss=0.3,
        recovery=1.0,
    )
    assert direct_co2e_kg_per_year(tight) == 0.0
    with pytest.raises(InputError, match="shares from 0 to 1"):
        RefrigerantLoss(
            refrigerant="R-32",
            charge_kg=1.0,
            yearly_leak=3.0,
            life_years=15.0,
            end_of_life_loss=0.3,
            recovery=1.0,
        )
