"""Site checks of a suitability study as a whole, and special rooms: garage, glass, now and then."""

from __future__ import annotations

import runpy
from pathlib import Path
from typing import Any

import pytest

from energymodel.report.suitability.answer import answer_lines
from energymodel.report.suitability.units import SiteUnits
from energymodel.report.suitability.words import reasons
from energymodel.study.suitability.suitability import Suitability, suitability
from energymodel.study.suitability.verdict import Verdict

ROOMS: Any = runpy.run_path(str(Path(__file__).with_name("suitability_rooms.py")))
US = SiteUnits(us=True)


def small(folder: Path, text: str, *units: str) -> Suitability:
    """One or two candidates in Greensboro."""
    room = ROOMS["place"]("greensboro-nc") + ROOMS["DEMO_ROOM"] + text
    return suitability(ROOMS["write"](folder, room), units=units)


def verdicts(found: Suitability) -> dict[str, Verdict]:
    return {fit.candidate.label: fit.verdict for fit in found.fits}


def words(found: Suitability, label: str) -> str:
    fit = next(fit for fit in found.fits if fit.candidate.label == label)
    return "; ".join(one.text for one in reasons(fit, found, US))


def test_a_long_line_costs_the_published_share_of_the_output(tmp_path):
    near = small(tmp_path, "", "inverter-standard-12").fits[0]
    text = '[site]\nline_length = "25 m"\noutdoor_unit = "level"\n'
    far = small(tmp_path, text, "inverter-standard-12").fits[0]
    assert near.heating is not None
    assert far.heating is not None
    # 0.973 at 25 m over 0.99675 at 7.5 m (published multipliers; the second computed).
    lost = far.heating.design_output_w / near.heating.design_output_w
    assert lost == pytest.approx(0.973 / 0.99675)
    assert far.cost.total > near.cost.total


def test_a_limit_of_the_manual_that_is_broken_puts_a_unit_behind_all_that_heat(tmp_path):
    text = """
[site]
line_length = "40 ft"
[site.unit.inverter-cold-climate-9]
longest_line = "33 ft"
"""
    found = small(tmp_path, text, "inverter-cold-climate-9", "inverter-standard-9")
    assert [fit.verdict for fit in found.fits] == [Verdict.BACKUP, Verdict.SITE]
    assert "40 ft of line (equivalent) is longer than its manual's 33 ft" in words(
        found, "inverter-cold-climate-9"
    )


def test_a_supply_that_is_not_there_is_a_question_for_an_electrician(tmp_path):
    found = small(
        tmp_path, '[site]\nsupply = ["120 V"]\n', "inverter-standard-12", "single-speed-24"
    )
    assert verdicts(found)["inverter-standard-12"] is Verdict.GAINS
    assert "ask a licensed electrician about another circuit" in words(found, "single-speed-24")
    assert not found.fits[1].fits


def test_the_manuals_lowest_temperature_takes_the_place_of_the_tables(tmp_path):
    text = '[site.unit.inverter-standard-12]\nlowest_heating = "5 degF"\n'
    found = small(tmp_path, text, "inverter-standard-12")
    heating = found.fits[0].heating
    assert heating is not None
    assert heating.below_h == 6  # at or below 5 F in the file (computed)
    assert "6 h with a load at or below 5 °F, where it stops" in words(
        found, "inverter-standard-12"
    )


def test_what_plate_and_manual_do_not_say_is_said_to_be_not_known():
    lines = answer_lines(suitability(units=["inverter-standard-12"]), US)
    assert any(line.startswith("Not known of any unit: circuit ampacity") for line in lines)
    assert any(line.startswith("Not given in [site]: supply, line_length") for line in lines)


def test_a_garage_is_refused_the_ducts_of_the_house(tmp_path):
    text = """
[site]
kind = "garage"
[site.ducts]
capacity = "60 kBtu/h"
house_load = "20 kBtu/h"
"""
    text = " ".join(answer_lines(small(tmp_path, text, "inverter-standard-12"), US))
    assert "Ducts of the house to a garage: refused" in text
    assert "the code decides" in text
    assert "carries it" not in text


def test_spare_duct_capacity_is_house_and_addition_against_the_system(tmp_path):
    text = """
[site.ducts]
capacity = "30 kBtu/h"
house_load = "24 kBtu/h"
efficiency = 0.8
"""
    found = small(tmp_path, text, "inverter-standard-12")
    (line,) = [one for one in answer_lines(found, US) if one.startswith("Ducts of the house")]
    # The sheet's 9.5 kBtu/h, as the house's load is a sheet's; over 0.8: 11.9 kBtu/h (computed).
    assert "6.0 kBtu/h to spare" in line
    assert "asks for 11.9 kBtu/h" in line
    assert "does not carry it; measure both" in line


def test_a_small_room_is_offered_a_panel_and_a_shared_unit_is_warned_of(tmp_path):
    room = ROOMS["DEMO_ROOM"].replace("9.5 kBtu/h", "3.6 kBtu/h")
    text = ROOMS["place"]("greensboro-nc") + room
    text += '[site.shared_outdoor_unit]\nheads = 3\nfull_output = "30 kBtu/h"\n'
    found = suitability(ROOMS["write"](tmp_path, text), units=["inverter-standard-9"])
    lines = answer_lines(found, US)
    # The sheet's 3.6 kBtu/h = 1.06 kW (computed): at night no gains help the panel.
    assert any(line.startswith("Small room: an electric panel of 1.1 kW") for line in lines)
    assert any("7.5 kBtu/h to 12.0 kBtu/h" in line and "100 %" in line for line in lines)
    assert found.suited == () or found.suited[0].heating is not None


def test_a_room_in_use_now_and_then_has_two_loads(tmp_path):
    text = '[site]\nuse = "now and then"\nfrost_set_point = "45 degF"\npull_up = "2 h"\n'
    lines = answer_lines(small(tmp_path, text, "inverter-standard-12"), US)
    (two,) = [one for one in lines if one.startswith("Now and then, two loads")]
    # 25 F lower set-point: balance 35 F; 172.7 Btu/(h F) x 20 F = 3.5 kBtu/h (computed).
    assert "3.5 kBtu/h keeps it at 45 °F" in two
    assert any(line.startswith("Time to warm it then") for line in lines)


def test_a_glazed_room_says_that_the_sun_drives_its_load(tmp_path):
    text = " ".join(answer_lines(small(tmp_path, '[site]\nkind = "sunroom"\n', "window-8"), US))
    assert "not a function of outdoor temperature alone" in text


def test_moisture_that_a_unit_does_not_remove_is_said_and_added_to_its_load(tmp_path):
    point = '{{ speed = "full", outdoor = "{t} degF", capacity = "9 kBtu/h", eer = 11 }}'
    points = ", ".join(point.format(t=t) for t in (82, 95, 115))
    unit = f"""
[unit.mine]
name = "Mine"
class = "9 kBtu/h"
sources = {{ table = "invented" }}
cooling = {{ cd = 0.2, sensible_heat_ratio = 0.8, points = [{points}] }}
"""
    base = ROOMS["place"]("greensboro-nc") + ROOMS["DEMO_ROOM"]

    def at(share: float) -> Suitability:
        text = base.replace("[price.elec", f"sensible_heat_ratio = {share}\n[price.elec", 1) + unit
        return suitability(ROOMS["write"](tmp_path, text), units=["mine"])

    damp, dry = at(0.7), at(0.9)
    assert "20 % of its cooling removes moisture, the load asks for 30 %" in words(damp, "mine")
    pair = [found.fits[0].cooling for found in (damp, dry)]
    assert pair[0] is not None
    assert pair[1] is not None
    # The larger of the total load and sensible load over the unit's ratio: 0.9 / 0.8 (computed).
    assert pair[1].design_load_w / pair[0].design_load_w == pytest.approx(0.9 / 0.8)


def test_how_a_unit_of_the_users_is_built_is_asked_and_not_guessed(tmp_path):
    plate = """
[unit.mine]
name = "Mine"
[unit.mine.plate]
kind = "inverter"
capacity = "12 kBtu/h"
hspf2 = 9.0
seer2 = 18.0
"""
    found = small(tmp_path, plate, "mine")
    assert found.fits[0].candidate.form == ""
    assert 'how it is built is not known: form = "ductless split"' in words(found, "mine")
    known = small(tmp_path, plate + '[site.unit.mine]\nform = "ductless split"\n', "mine")
    assert known.fits[0].pipes is not None
    assert known.fits[0].candidate.form == "ductless split"
