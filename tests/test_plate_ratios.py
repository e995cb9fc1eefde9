"""Ratios, relations and metric conversions behind plates, against the sources they come from."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from energymodel.datafiles import read_table
from energymodel.equipment.curves import Function
from energymodel.errors import InputError
from energymodel.ratings.plate.metrics import Label, Metric, Product, conversion, converted
from energymodel.ratings.plate.ratios import (
    Case,
    Spread,
    capacity_ratio_17,
    cop_17,
    cop_47,
    eer_95,
    ratios_of,
    room_unit_heating_w,
    room_unit_maximum_heating_w,
)
from energymodel.units import c_from_f

KINDS = ("single speed", "two-stage", "inverter", "inverter cold-climate")


@pytest.mark.parametrize(
    ("hspf", "ratio"),
    # a state's compliance rules (California), as carried by a public text; values computed
    [(7.7, 0.61), (8.2, 0.62), (8.8, 0.63), (9.5, 0.64), (10.0, 0.69), (12.0, 0.76)],
)
def test_the_capacity_at_17_f_follows_from_hspf_as_a_state_counts_it(
    hspf: float, ratio: float
) -> None:
    assert capacity_ratio_17(hspf) == pytest.approx(ratio, abs=0.005)


@pytest.mark.parametrize(
    ("hspf", "at_47", "at_17"),
    # a state's compliance rules (California), as carried by a public text; values computed
    [(7.7, 3.39, 2.36), (8.2, 3.55, 2.47), (8.8, 3.75, 2.60), (10.0, 4.13, 2.86)],
)
def test_first_guesses_of_cop_follow_from_hspf_as_a_state_counts_it(
    hspf: float, at_47: float, at_17: float
) -> None:
    # 0.3225 x 8.2 + 0.9099 = 3.5544 and 0.2186 x 8.2 + 0.6734 = 2.4659: rounded in the source
    assert cop_47(hspf) == pytest.approx(at_47, abs=0.0051)
    assert cop_17(hspf) == pytest.approx(at_17, abs=0.0051)


def test_the_relation_for_cop_at_47_f_is_capped_where_hspf_credits_part_load() -> None:
    assert cop_47(14.0) == 4.6  # our choice


def test_eer_at_95_f_has_three_pieces() -> None:
    # a state's compliance rules: 10 + 0.84 (S - 11.5) below 13, 11.3 + 0.57 (S - 13) below 16, 13.0
    assert eer_95(12.0) == pytest.approx(10.42)
    assert eer_95(14.0) == pytest.approx(11.87)
    assert eer_95(22.0) == 13.0


@pytest.mark.parametrize(
    ("cooling_w", "maximum_over_rated"),
    # computed from a national calculation standard for room air conditioners (Japan), ch. 4 sec. 3
    [(2500.0, 1.85), (3500.0, 1.67), (5000.0, 1.54)],
)
def test_small_room_units_have_more_in_reserve(cooling_w: float, maximum_over_rated: float) -> None:
    ratio = room_unit_maximum_heating_w(cooling_w) / room_unit_heating_w(cooling_w)
    assert ratio == pytest.approx(maximum_over_rated, abs=0.006)


def test_the_relation_of_room_units_goes_on_beyond_its_range_with_one_ratio() -> None:
    # computed: qH 4.15 kW at qC 3.5 kW
    assert room_unit_heating_w(3500.0) == pytest.approx(4150.0, abs=5.0)
    assert room_unit_heating_w(11_200.0) == pytest.approx(2.0 * room_unit_heating_w(5600.0))


def maximum_output(kw: float, outdoor_c: float) -> float:
    """Output over rated output at maximum speed, frost and fan correction left out.

    A national calculation standard for room air conditioners (Japan), chapter 4 section 3.
    """
    k, w = min(kw, 5.6), kw * 1000.0
    r = room_unit_maximum_heating_w(w) / room_unit_heating_w(w)
    a2 = (0.000181 * k - 0.000184) * r - 0.000173 * k + 0.000367
    a1 = (0.002322 * k + 0.013904) * r - 0.003980 * k + 0.003983
    a0 = (0.003556 * k + 0.993431) * r - 0.002870 * k + 0.006376
    return a2 * (outdoor_c - 7.0) ** 2 + a1 * (outdoor_c - 7.0) + a0


@pytest.mark.parametrize(
    ("outdoor_f", "name"), [(17.0, "max17_per_max47"), (5.0, "max5_per_max47")]
)
def test_the_high_end_of_an_inverters_maximum_is_that_of_the_national_standard(
    outdoor_f: float, name: str
) -> None:
    ratios = [
        maximum_output(kw, c_from_f(outdoor_f)) / maximum_output(kw, c_from_f(47.0))
        for kw in np.linspace(2.5, 5.0, 6)
    ]
    assert ratios_of("inverter")[name].high == pytest.approx(max(ratios), abs=0.02)
    assert ratios_of("inverter")[name].low < min(ratios)


def test_single_speed_ratios_hold_the_published_table_inside_their_bands() -> None:
    # a manufacturer's expanded heating performance table, 30 kBtu/h class, 14 SEER: 29.0 kBtu/h and
    # COP 3.78 at 47 F, 18.2 and 2.55 at 17 F, 13.9 and 2.07 at 5 F
    ratios = ratios_of("single speed")
    for name, value in (
        ("q17_per_q47", 18.2 / 29.0),
        ("q5_per_q47", 13.9 / 29.0),
        ("cop17_per_cop47", 2.55 / 3.78),
        ("cop5_per_cop47", 2.07 / 3.78),
    ):
        assert ratios[name].low <= value <= ratios[name].high, name


@pytest.mark.parametrize("kind", KINDS)
def test_every_likely_ratio_lies_between_its_ends_and_has_a_source(kind: str) -> None:
    rows = [row for row in read_table("ratings", "plate_ratios.csv") if row["kind"] == kind]
    assert len(rows) == len({row["name"] for row in rows}) > 6
    for row in rows:
        low, likely, high = (float(row[name]) for name in ("low", "likely", "high"))
        assert min(low, high) <= likely <= max(low, high), row["name"]
        assert row["source"], row["name"]


def test_the_sets_go_half_of_the_way_to_the_ends() -> None:
    spread = Spread(low=0.6, likely=0.7, high=0.9, source="our choice")
    assert [spread.of(case) for case in Case] == pytest.approx([0.65, 0.7, 0.8])


FEDERAL_PAIRS = [
    # 10 CFR 430.32(c): same stringency before and from 2023, old and new metric; 15 and 8.8 of
    # split heat pumps from memory
    (Product.DUCTED_SPLIT, 15.0, 14.3, 8.8, 7.5),
    (Product.SINGLE_PACKAGE, 14.0, 13.4, 8.0, 6.7),
    (Product.SMALL_DUCT, 12.0, 12.0, 7.2, 6.1),
    (Product.SPACE_CONSTRAINED, 12.0, 11.9, 7.4, 6.3),
]


@pytest.mark.parametrize(("product", "seer", "seer2", "hspf", "hspf2"), FEDERAL_PAIRS)
def test_conversions_agree_with_the_federal_minimums(
    product: Product, seer: float, seer2: float, hspf: float, hspf2: float
) -> None:
    ratios = conversion(product)
    assert ratios.seer2_per_seer == pytest.approx(seer2 / seer, abs=0.005)
    assert ratios.hspf2_per_hspf == pytest.approx(hspf2 / hspf, abs=0.005)


def test_the_rated_eer_of_ductless_units_is_the_same_in_both_metrics() -> None:
    # from memory: EER2/EER 0.95 to 0.96 ducted, 1.00 ductless
    assert conversion(Product.DUCTLESS).eer2_per_eer == 1.0
    assert 0.95 <= conversion(Product.DUCTED_SPLIT).eer2_per_eer <= 0.96


def test_a_conversion_is_never_silent_and_names_class_ratio_and_source() -> None:
    new = Label(metric=Metric.HSPF2, value=9.0)
    old, notice = converted(new, Metric.HSPF, Product.DUCTLESS)
    assert old.value == pytest.approx(10.0)  # HSPF2/HSPF 0.90 ductless, from memory
    assert notice is not None
    for word in ("HSPF2 9", "HSPF 10.00", "0.90", "ductless", "from memory"):
        assert word in notice.text


@given(
    value=st.floats(min_value=7.0, max_value=15.0),
    product=st.sampled_from(Product),
    metric=st.sampled_from([Metric.HSPF2, Metric.SEER2]),
)
def test_a_conversion_there_and_back_is_the_same_figure(
    value: float, product: Product, metric: Metric
) -> None:
    label = Label(metric=metric, value=value)
    other = Metric.HSPF if metric is Metric.HSPF2 else Metric.SEER
    back, _ = converted(converted(label, other, product)[0], metric, product)
    assert back.value == pytest.approx(value, rel=1e-12)


def test_a_figure_in_its_own_metric_is_not_touched() -> None:
    label = Label(metric=Metric.SEER2, value=18.0)
    assert converted(label, Metric.SEER2, Product.DUCTLESS) == (label, None)


def test_metrics_that_do_not_convert_are_refused() -> None:
    with pytest.raises(InputError, match="SCOP does not convert to HSPF2"):
        converted(Label(metric=Metric.SCOP, value=4.0), Metric.HSPF2, Product.DUCTLESS)


@pytest.mark.parametrize(
    ("metric", "value"), [(Metric.HSPF2, 3.2), (Metric.SCOP, 9.5), (Metric.SEER2, 5.0)]
)
def test_a_figure_that_belongs_to_another_metric_is_questioned(
    metric: Metric, value: float
) -> None:
    with pytest.raises(InputError, match="which metric the label prints"):
        Label(metric=metric, value=value)


def test_each_metric_knows_its_function() -> None:
    heating = {metric for metric in Metric if metric.function is Function.HEATING}
    assert heating == {Metric.HSPF2, Metric.HSPF, Metric.SCOP}
