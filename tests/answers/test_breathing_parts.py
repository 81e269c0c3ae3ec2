"""Bag, dead space, ventilator, absorbent, volumes and chamber."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ullage.answers import Verdict, animal
from ullage.answers.breathing import BreathingSystem
from ullage.answers.breathing_parts import (
    absorbent_lasts,
    bag_size,
    chamber_fills,
    equipment_dead_space,
    flow_left_on,
    system_follows,
    system_volume,
    ventilator_start,
)
from ullage.core.errors import InvalidQuantity, UnknownReference

MOUSE, CAT, PIG, DOG = (
    animal("mouse", 0.025),
    animal("cat", 4.0),
    animal("pig", 30.0),
    animal("dog", 25.0),
)
CIRCLE, LARGE = BreathingSystem.CIRCLE, BreathingSystem.LARGE_CIRCLE


# 6 x 7.7 x 25^1.04 mL = 1.3 L, rounded up to 2 L.
@pytest.mark.published("machine_S37")
def test_a_bag_holds_six_breaths_and_is_a_size_that_is_sold():
    answer = bag_size(DOG)

    assert answer.steps[0].result == "1.31 L"
    assert answer.value == 2.0
    assert answer.low <= answer.value <= answer.high


# Robertson 2018 table 4: 0.5 L to 5 kg, 1 L from 6 kg.
@pytest.mark.published("machine_S02")
def test_the_feline_guideline_for_bags_stands_beside_the_rule():
    small, large = bag_size(CAT), bag_size(animal("cat", 6.5))

    assert small.views[1].result == "0.5 L"
    assert large.views[1].result == "1 L"
    assert not bag_size(DOG).views


def test_the_largest_bag_is_the_end():
    assert bag_size(animal("horse", 700.0)).value == 30.0


def test_a_mouse_needs_the_smallest_bag():
    assert bag_size(MOUSE).value == 0.25


# A fifth of 7.7 x 4^1.04 mL is 6.5 mL; a tenth 3.3 mL.
@pytest.mark.parametrize(
    ("equipment_ml", "verdict"),
    [(2.0, Verdict.FINE), (5.0, Verdict.LOOK_AGAIN), (10.0, Verdict.STOP)],
)
def test_dead_space_is_judged_against_the_breath(equipment_ml, verdict):
    answer = equipment_dead_space(CAT, 0.001 * equipment_ml)

    assert answer.verdict is verdict
    assert answer.high == pytest.approx(0.2 * 7.7 * 4.0**1.04, rel=1e-3)
    assert bool(answer.todo) == (verdict is not Verdict.FINE)


def test_without_equipment_the_answer_is_what_is_allowed():
    answer = equipment_dead_space(MOUSE)

    assert answer.verdict is None
    assert answer.sentence.startswith("Equipment should add up to 0.0166 mL")


def test_a_dead_space_below_nothing_is_refused():
    with pytest.raises(InvalidQuantity, match=r"equipment_l is -0\.01"):
        equipment_dead_space(CAT, -0.01)


# Cat: 10 mL/kg (8 to 15), 14 a minute (10 to 20), 10 to 15 cmH2O.
@pytest.mark.published("physiology_memory")
def test_a_ventilator_starts_inside_the_range_of_its_species():
    answer = ventilator_start(CAT)
    told = {one.what: one.result for one in answer.steps}

    assert (answer.low, answer.value, answer.high) == pytest.approx((32.0, 40.0, 60.0))
    assert told["breaths a minute"] == "10 to 20"
    assert told["peak pressure"] == "10 to 15 cmH2O"
    assert told["I:E"] == "1:1 to 1:2"


def test_a_pony_starts_with_the_settings_of_the_horse_and_says_so():
    answer = ventilator_start(animal("pony", 200.0))

    assert answer.assumptions == ("Settings of the horse, since the table has none of its own.",)


def test_a_species_without_settings_is_refused():
    with pytest.raises(UnknownReference, match="no ventilator settings of the chicken"):
        ventilator_start(animal("chicken", 2.0))


# Dunlop 2014: 1 kg lasts about 30 h for dogs; 67 mL/min of carbon dioxide is a dog of 20 to 25 kg.
@pytest.mark.published("machine_S08")
def test_a_kilogram_of_absorbent_lasts_a_dog_about_thirty_hours():
    answer = absorbent_lasts(DOG, 0.0, 1.0)

    assert answer.low < 30.0 < answer.high
    assert not answer.assumptions


def test_what_overflows_does_not_reach_the_absorbent():
    closed, open_ = absorbent_lasts(PIG, 0.2), absorbent_lasts(PIG, 1.0)

    assert open_.value > closed.value
    assert sum(one.chosen for one in open_.views) == 1
    assert open_.views[0].label == "Cautious, 100 L/kg"


def test_at_the_minute_volume_nearly_nothing_is_absorbed():
    assert absorbent_lasts(PIG, 20.0).steps[1].result == "100 %"


def test_gas_left_on_dries_the_absorbent():
    assert flow_left_on(60.0).verdict is Verdict.STOP
    assert flow_left_on(2.0).verdict is Verdict.LOOK_AGAIN
    assert "Change all of it." in flow_left_on(60.0).todo


# uptake 3.5: adult circle 2.0 and 4.5 L; large-animal circle 49.26 L in all.
@pytest.mark.published("uptake_base")
def test_circles_have_the_volume_of_their_size():
    assert system_volume(CIRCLE, 30.0).whole_l == 6.5
    assert system_volume(LARGE, 500.0).whole_l == pytest.approx(49.3)
    assert system_volume(CIRCLE, 4.0).whole_l < 6.5


# Measured 18.1 min, by theory 16.4 min at 3 L/min.
@pytest.mark.published("machine_base")
def test_a_large_circle_follows_as_was_measured():
    answer = system_follows(LARGE, 500.0, 3.0)

    assert answer.value == pytest.approx(16.4, abs=0.1)
    assert answer.low < 18.1 < answer.high


def test_a_circle_without_flow_does_not_follow():
    with pytest.raises(InvalidQuantity, match="flow_l_min is 0"):
        system_follows(CIRCLE, 30.0, 0.0)


def test_a_chamber_is_purged_before_it_is_opened():
    answer = chamber_fills(4.0, 2.0, 0.05)

    assert answer.low < answer.value < answer.high
    assert answer.steps[0].result == "3.16 %"
    assert answer.steps[1].result == "6 min"
    assert any("lies in layers" in one for one in answer.cautions)
    assert any("before opening" in one for one in answer.cautions)


@given(st.floats(0.02, 0.05), st.floats(0.5, 10.0))
def test_absorbent_lasts_longer_the_more_of_it_there_is(weight_kg, mass_kg):
    mouse = animal("mouse", weight_kg)

    assert absorbent_lasts(mouse, 0.0, 2 * mass_kg).value == pytest.approx(
        2 * absorbent_lasts(mouse, 0.0, mass_kg).value
    )


# Dog, 20 kg, 3.54 mL/kg/min of oxygen and a quotient of 0.8: 1.2 kg at 150 L/kg last 53 h.
@pytest.mark.published("machine_base")
def test_a_dog_of_a_study_uses_absorbent_as_worked_out():
    oxygen = 0.00354 * 20.0
    dog = animal("dog", 20.0, {"co2_output_l_min": 0.8 * oxygen})
    answer = absorbent_lasts(dog, 0.0, 1.2)

    assert answer.value == pytest.approx(53.0, abs=0.5)
    assert answer.low == pytest.approx(53.0 * 100.0 / 150.0, abs=0.5)
    assert answer.high == pytest.approx(53.0 * 200.0 / 150.0, abs=0.5)


# 1 kg at 120 L/kg and 4 L/h: about 30 h; 120 L/kg lies between cautious and typical.
@pytest.mark.published("machine_S08")
def test_four_litres_an_hour_last_thirty_hours():
    dog = animal("dog", 22.0, {"co2_output_l_min": 4.0 / 60.0})
    answer = absorbent_lasts(dog, 0.0, 1.0)

    assert answer.low == pytest.approx(25.0)
    assert answer.value == pytest.approx(37.5)
    assert answer.low < 30.0 < answer.value


# Sizing note: 60 mL/kg, next size up of 0.5, 1, 2, 3 and 5 L.
@pytest.mark.published("machine_S37")
@pytest.mark.parametrize(
    ("weight_kg", "printed_l"), [(4.5, 0.5), (10.0, 1.0), (20.0, 2.0), (35.0, 3.0), (60.0, 5.0)]
)
def test_a_bag_by_sixty_millilitres_a_kilogram_is_the_size_printed(weight_kg, printed_l):
    dog = animal("dog", weight_kg, {"tidal_l": 0.010 * weight_kg})

    assert bag_size(dog).value == printed_l


def test_a_bag_tells_the_ends_of_its_rule():
    dog = animal("dog", 20.0, {"tidal_l": 0.2})
    answer = bag_size(dog)

    # 4 x 0.2 L needs 1 L, 6 x 0.2 L needs 2 L.
    assert (answer.low, answer.value, answer.high) == (1.0, 2.0, 2.0)


# 4 L at 1 L/min: three times 4 min to 95 %, exactly 11.98.
def test_a_chamber_fills_in_three_of_its_times():
    answer = chamber_fills(4.0, 1.0, 0.04)

    assert answer.value == pytest.approx(11.98, abs=0.01)
    assert answer.low == pytest.approx(4.0 * 1.966, abs=0.01)
    assert answer.high == pytest.approx(4.0 * 3.912, abs=0.01)


@pytest.mark.parametrize(("hours", "verdict"), [(0.0, Verdict.LOOK_AGAIN), (8.1, Verdict.STOP)])
def test_the_hours_that_dry_gas_may_flow_end_at_eight(hours, verdict):
    assert flow_left_on(hours).verdict is verdict


def test_hours_below_nothing_are_refused():
    with pytest.raises(InvalidQuantity, match=r"hours is -1"):
        flow_left_on(-1.0)


@pytest.mark.parametrize(
    ("volume_l", "flow_l_min", "dial", "name"),
    [
        (0.0, 1.0, 0.05, "volume_l"),
        (4.0, 0.0, 0.05, "flow_l_min"),
        (4.0, 1.0, 1.5, "delivered_fraction"),
    ],
)
def test_a_chamber_that_cannot_be_is_refused(volume_l, flow_l_min, dial, name):
    with pytest.raises(InvalidQuantity, match=name):
        chamber_fills(volume_l, flow_l_min, dial)


@pytest.mark.parametrize("name", ["mouse", "rat", "rabbit", "cat", "dog", "pig", "sheep", "horse"])
def test_a_ventilator_start_lies_in_order_for_every_species(name):
    weights = {"mouse": 0.025, "rat": 0.3, "rabbit": 3.5, "cat": 4.0, "dog": 20.0}
    weight = weights.get(name, 500.0 if name == "horse" else 45.0)
    answer = ventilator_start(animal(name, weight))

    assert answer.low < answer.value < answer.high
    assert any("pressure limit" in one for one in answer.cautions)
    assert "physiology_values_memory" in answer.sources or "physiology_memory" in answer.sources


@given(st.floats(0.5, 8.0), st.floats(0.5, 8.0))
def test_a_circle_follows_faster_the_higher_the_flow(first, second):
    slow, fast = sorted((first, second))

    assert system_follows(CIRCLE, 30.0, fast).value <= system_follows(CIRCLE, 30.0, slow).value
