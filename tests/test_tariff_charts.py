"""Charts of tariffs: dark where a unit is dear, bars as long as the bills."""

from __future__ import annotations

import numpy as np
import pytest

from energymodel.datafiles import data_file
from energymodel.report.figures.tariff_charts import price_hours_figure, ranking_figure
from energymodel.scenario.files import read_scenario
from energymodel.study.comparison.tariff_ranking import TariffRanking, rank_tariffs
from energymodel.tariffs.files import read_tariff_file
from energymodel.tariffs.tariff import Tariff

# The rates are invented examples: expected values are their own entries.
RATES = ("flat-rate.toml", "time-of-use.toml", "winter-heating.toml")


def _tariff(name: str) -> Tariff:
    return read_tariff_file(data_file("examples", name), None)[0]


@pytest.fixture(scope="module")
def ranking() -> TariffRanking:
    house = read_scenario(data_file("examples", "tariff-house.toml"))
    return rank_tariffs(house, [data_file("examples", name) for name in RATES])


def _texts(figure: object) -> list[str]:
    return [text.get_text() for text in figure.texts]  # type: ignore[attr-defined]


def test_peak_hours_are_darkest_and_the_message_says_how_much_dearer_they_are() -> None:
    figure = price_hours_figure(_tariff("time-of-use.toml"))
    weekdays, weekends = (np.asarray(axes.images[0].get_array()) for axes in figure.axes)
    assert weekdays.shape == (12, 24)
    july, january = weekdays[6], weekdays[0]
    assert np.flatnonzero(july == 2).tolist() == list(range(14, 20))  # 0.29
    assert np.flatnonzero(january == 1).tolist() == [6, 7, 8, 9, 17, 18, 19]  # 0.23
    assert not weekends.any()
    # 0.29 / 0.105 = 2.76
    assert _texts(figure)[0].startswith("Time of use: a kWh in the dearest hours costs 2.8 times")


def test_a_flat_rate_says_that_a_unit_costs_the_same_at_all_times() -> None:
    figure = price_hours_figure(_tariff("flat-rate.toml"))
    assert _texts(figure)[0] == "Flat rate: a kWh costs the same at all times"


def test_bars_are_the_whole_bills_and_the_smallest_of_each_option_is_in_bold(
    ranking: TariffRanking,
) -> None:
    axes = ranking_figure(ranking).axes[0]
    bills = [bill for bills in ranking.house_bill.values() for bill in bills]
    assert [bar.get_width() for bar in axes.patches] == pytest.approx(bills, rel=1e-12)
    bold = [text.get_text() for text in axes.texts if text.get_fontweight() == "bold"]
    best = [ranking.best(name) for name in ranking.house_bill]
    assert [words.partition("  ")[2] for words in bold] == best
