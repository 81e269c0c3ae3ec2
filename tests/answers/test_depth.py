"""Breathing and circulation against depth, by species."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ullage.answers.animals import animal
from ullage.answers.depth import breathing_at_depth, depth_rules
from ullage.core.errors import InvalidQuantity


# Conflict K-55: 0.52 and 0.65 at 1 MAC; K-56: 1 - 0.08 and 1 - 0.20 a MAC, horse 0.25.
@pytest.mark.published("physiology_base")
def test_both_forms_are_shown_and_the_linear_one_is_the_engines():
    answer = breathing_at_depth(animal("cat", 4.0), "isoflurane", 1.0)

    assert (answer.low, answer.high) == pytest.approx((52.2, 65.0), abs=0.05)
    assert [view.chosen for view in answer.views] == [True, False]


@pytest.mark.published("physiology_base")
@pytest.mark.parametrize(
    ("species", "ventilated", "slope"),
    [("cat", False, 0.08), ("cat", True, 0.20), ("horse", True, 0.25), ("horse", False, 0.08)],
)
def test_output_falls_faster_when_a_machine_breathes(species, ventilated, slope):
    rules = depth_rules(species, "isoflurane", ventilated=ventilated)

    assert rules.output(1.0) == pytest.approx(1.0 - slope)


def test_rabbit_and_ferret_breathe_less_at_the_same_depth():
    for species in ("rabbit", "ferret"):
        assert depth_rules(species, "isoflurane").exponential_rate == 0.85
    assert depth_rules("dog", "isoflurane").exponential_rate == 0.65


# Steffey & Howland 1977: apnoea at 2.5 MAC (dog), 2.4 (cat); Galloway 2004: sevoflurane 3.45 (dog).
@pytest.mark.published("physiology_values")
def test_breathing_stops_where_a_study_saw_it_stop():
    assert depth_rules("cat", "isoflurane").apnoea_depth == 2.4
    assert depth_rules("dog", "sevoflurane").apnoea_depth == 3.45
    assert depth_rules("pig", "isoflurane").apnoea_depth is None
    assert depth_rules("cat", "isoflurane").breathing(2.5)[0] == 0.0


# Uptake section 3.5: 0.30 rat and dog, 0.25 mouse, 0.35 man; floor 0.15 in recovery.
@pytest.mark.published("uptake_base")
def test_waking_has_slopes_and_a_floor_of_its_own():
    slopes = {
        one: depth_rules(one, "isoflurane", recovering=True).ventilation_slope
        for one in ("rat", "dog", "mouse", "human")
    }

    assert slopes == {"rat": 0.30, "dog": 0.30, "mouse": 0.25, "human": 0.35}
    assert depth_rules("cat", "isoflurane", recovering=True).ventilation_floor == 0.15


@given(st.floats(0.0, 4.0), st.sampled_from(["mouse", "rabbit", "dog", "horse"]))
def test_the_range_of_the_two_forms_stays_between_nothing_and_awake(depth, species):
    low, high = depth_rules(species, "isoflurane").breathing(depth)

    assert 0.0 <= low <= high <= 1.0


def test_every_rule_names_its_rows_and_a_depth_below_nothing_is_refused():
    assert len(depth_rules("dog", "isoflurane").where_from) >= 5
    with pytest.raises(InvalidQuantity, match="depth"):
        breathing_at_depth(animal("cat", 4.0), "isoflurane", -1.0)
