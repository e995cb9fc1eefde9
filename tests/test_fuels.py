"""Units of sale, heat contents and prices per kWh."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from energymodel.economics.fuel_units import carriers, find_sale_unit, sale_units
from energymodel.economics.fuels import SalePrice, heat_content, listed_heat_contents
from energymodel.errors import EnergyModelError, InputError
from energymodel.quantities import ENERGY, read_quantity
from energymodel.units import BTU_PER_KWH, KWH_PER_MMBTU, KWH_PER_THERM

_TRIES = settings(max_examples=50, deadline=None)

LITRE_PER_GALLON = 3.785411784  # exact definition, from memory
FT3_PER_M3 = 1 / 0.3048**3  # exact definition, from memory


def test_a_price_without_a_unit_is_refused_and_the_units_are_listed() -> None:
    with pytest.raises(InputError) as refused:
        SalePrice(price=18.0, per="", carrier="natural gas", where="price.gas")
    assert str(refused.value).startswith("price.gas: the price of natural gas has no unit of sale")
    assert "therm, ccf, Mcf, ft3, m3, kWh, MMBtu, MJ, GJ" in str(refused.value)


def test_an_unknown_unit_is_answered_with_the_units_of_that_carrier() -> None:
    with pytest.raises(InputError, match="propane is not sold per 'therm'") as refused:
        SalePrice(price=3.0, per="therm", carrier="propane")
    assert refused.value.expected == (
        "propane priced per gallon, litre, lb, kg, tonne, kWh, MMBtu, GJ"
    )


@pytest.mark.parametrize("carrier", ["wood", "pellets"])
@pytest.mark.parametrize("ton", ["ton", "Tons"])
def test_a_bare_ton_is_refused_with_the_two_that_are_sold(carrier: str, ton: str) -> None:
    with pytest.raises(InputError) as refused:
        SalePrice(price=268.0, per=ton, carrier=carrier)
    assert "short_ton" in refused.value.remedy
    assert "tonne" in refused.value.remedy


def test_an_unknown_carrier_is_answered_with_the_nearest_name() -> None:
    with pytest.raises(InputError, match="'propan' is not known") as refused:
        SalePrice(price=3.0, per="gal", carrier="propan")
    assert refused.value.remedy == 'did you mean "propane"?'


@pytest.mark.parametrize("price", [float("nan"), float("inf"), -0.01])
def test_a_price_that_is_not_a_plain_amount_is_refused(price: float) -> None:
    with pytest.raises(InputError, match="the price of propane is"):
        SalePrice(price=price, per="gal", carrier="propane")


def test_energy_units_need_no_heat_content_and_use_no_default() -> None:
    # EIA, Units and calculators: 1 therm = 100,000 Btu (published); 29.3071 kWh (computed).
    per_therm = SalePrice(price=1.0, per="therm", carrier="natural gas")
    assert 1 / per_therm.price_per_kwh == pytest.approx(29.3071, abs=5e-5)
    assert per_therm.used_default is None
    assert SalePrice(price=1.0, per="MMBtu", carrier="propane").price_per_kwh == pytest.approx(
        1 / KWH_PER_MMBTU, rel=1e-12
    )
    # 1 GJ = 1000/3.6 kWh by definition of the joule and the watt-hour.
    assert SalePrice(price=1.0, per="GJ", carrier="wood").price_per_kwh == pytest.approx(0.0036)
    assert SalePrice(price=80.0, per="MWh", carrier="electricity").price_per_kwh == pytest.approx(
        0.08, rel=1e-12
    )


def test_a_heat_content_beside_an_energy_unit_is_refused() -> None:
    with pytest.raises(InputError, match="which is an energy already"):
        heat_content("natural gas", "therm", given="1.037 therm/ccf")


def test_a_volume_price_of_gas_lists_the_default_with_its_edition() -> None:
    gas = SalePrice(price=1.0, per="ccf", carrier="natural gas")
    # EIA, Units and calculators, 2019 edition (published): 1,037 Btu/ft3 -> 1.037 therm/ccf.
    assert 1 / gas.price_per_kwh == pytest.approx(1.037 * KWH_PER_THERM, rel=1e-12)
    assert gas.used_default is not None
    assert "EIA 2019" in gas.used_default.value


@pytest.mark.parametrize(
    ("edition", "therm_per_ccf"),
    [("EIA 2012", 1.025), ("EIA 2019", 1.037), ("EIA 2022 data", 1.036), ("40 CFR 98", 1.026)],
)
def test_every_edition_of_the_gas_heat_content_gives_its_ccf(
    edition: str, therm_per_ccf: float
) -> None:
    # EIA, Units and calculators, editions as named (published); 40 CFR 98 Table C-1 (quoted).
    entry = next(e for e in listed_heat_contents("natural gas") if e.edition == edition)
    content = heat_content("natural gas", "ccf", given=f"{entry.btu} Btu/{entry.per}")
    assert content.kwh_per_unit / KWH_PER_THERM == pytest.approx(therm_per_ccf, rel=1e-9)
    # $/Mcf to $/therm: divide by ten times that (computed).
    per_mcf = SalePrice(
        price=10 * therm_per_ccf,
        per="Mcf",
        carrier="natural gas",
        heat_content=f"{entry.btu} Btu/{entry.per}",
    )
    assert per_mcf.price_per_kwh * KWH_PER_THERM == pytest.approx(1.0, rel=1e-9)


def test_metric_units_of_sale_agree_with_the_customary_ones() -> None:
    gallon = SalePrice(price=LITRE_PER_GALLON, per="gal", carrier="heating oil")
    litre = SalePrice(price=1.0, per="L", carrier="heating oil")
    assert litre.price_per_kwh == pytest.approx(gallon.price_per_kwh, rel=1e-12)
    m3 = SalePrice(price=FT3_PER_M3, per="m3", carrier="natural gas")
    ft3 = SalePrice(price=1.0, per="ft3", carrier="natural gas")
    assert m3.price_per_kwh == pytest.approx(ft3.price_per_kwh, rel=1e-12)
    tonne = SalePrice(price=1000.0, per="tonne", carrier="pellets")
    kilogram = SalePrice(price=1.0, per="kg", carrier="pellets")
    assert tonne.price_per_kwh == pytest.approx(kilogram.price_per_kwh, rel=1e-12)


def test_pellets_hold_16_4_mmbtu_per_short_ton() -> None:
    # University of Connecticut extension, Comparing Fuel Costs (published): 8,200 Btu/lb.
    content = heat_content("pellets", "short ton")
    assert content.kwh_per_unit / KWH_PER_MMBTU == pytest.approx(16.4, rel=1e-12)


def test_a_unit_without_a_listed_heat_content_asks_for_one() -> None:
    with pytest.raises(InputError, match="needs a heat content, and none is listed") as refused:
        SalePrice(price=2.0, per="kg", carrier="propane")
    assert "gallon" in refused.value.remedy
    given = SalePrice(price=2.0, per="kg", carrier="propane", heat_content="50.3 MJ/kg")
    assert given.price_per_kwh == pytest.approx(2.0 / (50.3 / 3.6), rel=1e-12)


def test_a_heat_content_by_mass_is_refused_for_a_volume() -> None:
    with pytest.raises(InputError, match="is not a heat content"):
        SalePrice(price=2.0, per="gal", carrier="propane", heat_content="21,500 Btu/lb")


def test_a_heat_content_that_is_off_by_a_power_of_ten_is_refused() -> None:
    with pytest.raises(InputError, match="cannot be that of propane"):
        SalePrice(price=2.0, per="gal", carrier="propane", heat_content="91.5 Btu/gal")
    with pytest.raises(InputError, match="cannot be that of natural gas"):
        SalePrice(price=1.0, per="m3", carrier="natural gas", heat_content="38.7 kWh/m3")
    with pytest.raises(InputError, match="is not above zero"):
        SalePrice(price=1.0, per="m3", carrier="natural gas", heat_content="0 kWh/m3")


def test_an_unusual_gas_factor_is_used_and_pointed_out() -> None:
    lean = SalePrice(price=1.0, per="ccf", carrier="natural gas", heat_content="0.82 therm/ccf")
    assert 1 / lean.price_per_kwh == pytest.approx(0.82 * KWH_PER_THERM)
    assert "outside the usual 0.9 to 1.15" in lean.notices[0].text
    usual = SalePrice(price=1.0, per="ccf", carrier="natural gas", heat_content="1.05 therm/ccf")
    assert usual.notices == ()
    softwood = heat_content("wood", "cord", given="12 MMBtu/cord")
    assert softwood.notices == ()
    assert heat_content("wood", "cord", given="32 MMBtu/cord").notices != ()


def test_a_volume_of_gas_is_not_an_energy() -> None:
    with pytest.raises(InputError, match="is not a"):
        read_quantity("24 m3", ENERGY)


def test_every_fuel_has_one_default_heat_content_and_every_row_its_source() -> None:
    for carrier in carriers():
        listed = listed_heat_contents(carrier)
        assert sum(entry.is_default for entry in listed) == (0 if carrier == "electricity" else 1)
        assert all(entry.source.strip() for entry in listed)


def _has_heat_content(carrier: str, unit: str) -> bool:
    try:
        heat_content(carrier, unit)
    except InputError:
        return False
    return True


_PRICED = [(c, u) for c in carriers() for u in sale_units(c) if _has_heat_content(c, u)]


@_TRIES
@given(st.sampled_from(_PRICED), st.floats(0.01, 1e4))
def test_amount_and_energy_are_a_round_trip_in_every_unit_of_sale(
    sold: tuple[str, str], amount: float
) -> None:
    carrier, unit = sold
    content = heat_content(carrier, unit)
    assert content.amount(content.energy_kwh(amount)) == pytest.approx(amount, rel=1e-12)
    assert content.unit == find_sale_unit(carrier, unit.upper())


@_TRIES
@given(st.text(max_size=12), st.sampled_from(carriers()))
def test_any_text_as_a_unit_is_either_found_or_refused_with_the_list(
    text: str, carrier: str
) -> None:
    try:
        answer = find_sale_unit(carrier, text).name
    except EnergyModelError as refused:
        answer = refused.expected
    assert answer in {
        *sale_units(carrier),
        f"{carrier} priced per " + ", ".join(sale_units(carrier)),
    }


def test_one_kwh_is_the_international_table_value() -> None:
    # 3,412.14163 Btu(IT) per kWh (definition, from memory).
    assert abs(BTU_PER_KWH - 3412.14163) < 5e-6
    assert read_quantity("1 MMBtu", ENERGY) == pytest.approx(293.0711, abs=5e-5)
