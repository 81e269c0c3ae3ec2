"""A place of storage: tally, one more, how cylinders stand, an escape, a leak."""

import pytest

from tests.answers.paper import C15_K, F70_K
from ullage.answers.answer import Verdict
from ullage.answers.chain_things import Stored
from ullage.answers.storage import (
    Kept,
    StorageArea,
    full_contents_l,
    one_more_stored,
    store_air,
    store_kept,
    store_leaks,
    stored_within_code,
)
from ullage.answers.things import Cylinder, Gas, Place
from ullage.core.errors import InvalidQuantity
from ullage.core.gas import F70
from ullage.core.units import kelvin

AMERICAN = Place(condition=F70, pressure_unit="psi")
E = Stored(gas=Gas.OXYGEN, contents_l=660.0)
GOOD = Kept(apart=True, held=True, upright=True, capped=True, far_from_fuel=True)


def area(count=12, place=AMERICAN, code="nfpa99", **changes):
    stored = (Stored(gas=Gas.OXYGEN, contents_l=660.0, count=count),)
    return StorageArea(name="Store", place=place, stored=stored, code=code, **changes)


# NFPA 99: up to 300 cu ft without an enclosure; twelve full E stay within, thirteen do not.
@pytest.mark.published("supply_S39")
def test_one_more_than_twelve_passes_three_hundred_cubic_feet():
    answer = one_more_stored(area(), E)

    assert stored_within_code(area()).verdict is Verdict.FINE
    assert answer.verdict is Verdict.LOOK_AGAIN
    assert answer.value == pytest.approx(303.0, abs=0.05)
    assert answer.reasons[0] == "That changes it from Fine to Look again."
    assert "from 280 cu ft" in answer.sentence
    assert "to 303 cu ft" in answer.sentence


def test_a_place_of_litres_says_litres_first():
    answer = one_more_stored(area(place=Place()), E)

    assert answer.unit == "L"
    assert answer.value == pytest.approx(13 * 660.0 * C15_K / F70_K, rel=2e-4)
    assert answer.sentence.endswith("L (303 cu ft).")


def test_one_more_that_changes_nothing_says_nothing_of_a_change():
    answer = one_more_stored(area(count=2), E)

    assert answer.verdict is Verdict.FINE
    assert not any("changes it" in line for line in answer.reasons)


def test_a_gas_that_feeds_no_fire_adds_nothing_to_the_tally():
    nitrogen = Stored(gas=Gas.NITROGEN, contents_l=6900.0)

    assert one_more_stored(area(), nitrogen).value == pytest.approx(279.7, abs=0.05)


def test_empty_ones_are_told_and_not_counted():
    answer = stored_within_code(area(empty=4))

    assert answer.value == stored_within_code(area()).value
    assert (answer.steps[-1].result, answer.steps[-1].note) == ("4", "not counted")


def test_every_code_stands_in_the_views_and_the_local_authority_decides():
    answer = stored_within_code(area())

    assert {view.label.split(",")[0] for view in answer.views} == {
        "NFPA 99",
        "Fire code",
        "New York City",
        "29 CFR 1910.104",
    }
    assert any("local authority decides" in line for line in answer.cautions)


def test_without_a_code_there_is_no_verdict_but_a_question():
    answer = stored_within_code(area(code=None))

    assert answer.verdict is Verdict.NOT_YET
    assert "Which storage code" in answer.settles


@pytest.mark.parametrize(
    ("changes", "verdict", "words"),
    [
        ({"held": False}, Verdict.STOP, "not held"),
        ({"far_from_fuel": False}, Verdict.STOP, "Something that burns is near"),
        ({"apart": False}, Verdict.LOOK_AGAIN, "stand together, or are not marked"),
        ({"upright": False}, Verdict.LOOK_AGAIN, "A cylinder lies"),
        ({"capped": False}, Verdict.LOOK_AGAIN, "A cap is off"),
        ({"hottest_k": kelvin(51.0)}, Verdict.STOP, "It gets 51 °C here"),
        ({"hottest_k": kelvin(40.0)}, Verdict.FINE, ""),
        ({"held": None}, Verdict.NOT_YET, ""),
    ],
)
def test_how_cylinders_stand(changes, verdict, words):
    seen = {name: getattr(GOOD, name) for name in ("apart", "held", "upright", "capped")}
    kept = Kept(**{**seen, "far_from_fuel": True, **changes})
    answer = store_kept(kept, AMERICAN)

    assert answer.verdict is verdict
    assert words in answer.sentence


# WAC 296-24-68203: a cap over 30 lb of water, 13.6 L.
@pytest.mark.published("supply_S43")
@pytest.mark.parametrize(("water_l", "verdict"), [(4.7, Verdict.FINE), (43.8, Verdict.NOT_YET)])
def test_caps_are_asked_for_on_large_cylinders_alone(water_l, verdict):
    kept = Kept(apart=True, held=True, upright=True, far_from_fuel=True, largest_water_l=water_l)

    assert store_kept(kept, AMERICAN).verdict is verdict


def test_distances_are_told_in_the_units_of_the_place():
    kept = Kept(far_from_fuel=False, held=True)

    assert "20 ft between" in store_kept(kept, AMERICAN).sentence
    assert "6.1 m between" in store_kept(kept, Place()).sentence


# Well-mixed release of a whole cylinder into 30 m³, in both forms of the balance.
@pytest.mark.published("supply_S63")
def test_a_whole_large_cylinder_enriches_a_small_room():
    answer = store_air(area(room_m3=30.0), Stored(gas=Gas.OXYGEN, contents_l=6900.0))

    assert answer.verdict is Verdict.LOOK_AGAIN
    assert answer.value == pytest.approx(39.0, abs=1.0)  # supply 7.3 prints 37 % by displacement
    assert answer.low == pytest.approx(37.0, abs=0.6)


# supply 7.3: 10 L/min into 30 m³ at 0.5, 1, 2 and 6 changes an hour.
@pytest.mark.published("supply_S63")
@pytest.mark.parametrize(
    ("changes", "percent"), [(0.5, 24.0), (1.0, 22.5), (2.0, 21.7), (6.0, 21.2)]
)
def test_a_leak_into_a_ventilated_room(changes, percent):
    answer = store_leaks(area(room_m3=30.0, changes_per_h=changes), Gas.OXYGEN, 10.0)

    assert answer.value == pytest.approx(percent, abs=0.06)
    assert answer.verdict is (Verdict.LOOK_AGAIN if percent > 23.5 else Verdict.FINE)


# supply 7.3: 98 min to 23.5 % without ventilation.
@pytest.mark.published("supply_S63")
def test_a_leak_without_ventilation_says_how_soon():
    steps = {
        one.what: one.result for one in store_leaks(area(room_m3=30.0), Gas.OXYGEN, 10.0).steps
    }

    assert steps["without ventilation at 23.5 % after"] == "1 h 38 min"


def test_a_leak_of_a_gas_without_oxygen_takes_it_away():
    answer = store_leaks(area(room_m3=30.0, changes_per_h=0.5), Gas.NITROUS_OXIDE, 20.0)

    assert answer.verdict is Verdict.LOOK_AGAIN
    assert answer.value < 19.5


def test_a_room_that_nobody_measured_is_asked_for():
    assert store_leaks(area(), Gas.OXYGEN, 1.0).settles == "How large is the room?"
    assert store_air(area(), E).verdict is Verdict.NOT_YET


@pytest.mark.parametrize("leak", [0.0, -1.0, float("nan")])
def test_no_leak_is_refused(leak):
    with pytest.raises(InvalidQuantity, match="leak_l_min is"):
        store_leaks(area(room_m3=30.0), Gas.OXYGEN, leak)


# The label of a UK E, 680 L at 15 °C; in litres at 70 °F it is 2.1 % more.
@pytest.mark.published("supply_S9")
def test_a_full_one_counts_by_its_label_or_by_its_stamp():
    cylinder = Cylinder(gas=Gas.OXYGEN, water_capacity_l=4.7, fill_gauge_kpa=13_700.0)
    by_label = full_contents_l(cylinder, 680.0, Place())

    assert by_label == pytest.approx(680.0 * F70_K / C15_K, rel=2e-4)
    assert full_contents_l(cylinder, None, Place()) == pytest.approx(by_label, rel=0.02)


def test_a_liquefied_gas_counts_by_its_densest_filling_and_no_pressure():
    nitrous = Cylinder(gas=Gas.NITROUS_OXIDE, water_capacity_l=4.7)

    # 4.7 kg of water, 0.75 of it in gas, 545.5 L/kg (supply section 0).
    assert full_contents_l(nitrous, None, Place()) == pytest.approx(4.7 * 0.75 * 545.5, rel=5e-3)


def test_without_a_filling_pressure_nobody_knows():
    assert full_contents_l(Cylinder(gas=Gas.OXYGEN, water_capacity_l=4.7), None, Place()) is None
