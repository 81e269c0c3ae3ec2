"""What is read in a plan: bag, carbon dioxide, flows of small animals, how long a case may be."""

from dataclasses import replace

import pytest

from tests.answers.case_paper import BLOWN, CAT, HIGH, MOUSE, PIG, care, told, with_phases
from ullage.answers import Verdict, case_plan
from ullage.answers.animals import animal
from ullage.answers.breathing import BreathingSystem, FlowPhase, fresh_gas_flow
from ullage.answers.plan import Ventilation
from ullage.core.errors import RuleBroken


def test_a_nose_cone_has_no_bag_and_a_t_piece_has_one():
    assert "bag" not in case_plan(told(MOUSE), draws=20).answers
    assert "0.25 L" in case_plan(told(CAT), draws=20).answers["bag"].sentence


def test_carbon_dioxide_is_told_at_the_depth_that_the_site_aims_at():
    light, deep = (
        case_plan(told(PIG, target_mac=one), draws=20).answers["carbon_dioxide"]
        for one in (0.8, 1.5)
    )

    assert light.value < deep.value
    assert "at 1.5 MAC" in deep.sentence


def test_carbon_dioxide_of_depth_alone_is_found_where_nobody_measures_it():
    assert care(case_plan(told(PIG), draws=20), "carbon dioxide") is None
    unseen = care(case_plan(told(PIG, co2_measured=None), draws=20), "carbon dioxide")
    assert unseen.verdict is Verdict.LOOK_AGAIN
    assert "Measure it" in unseen.todo


def test_carbon_dioxide_that_is_breathed_in_again_is_found_though_it_is_measured():
    little = with_phases(CAT, ("procedure", 30, 0.5, 0))
    found = care(case_plan(told(little), draws=20), "carbon dioxide")

    assert found.todo.startswith("Raise the fresh gas")


def test_a_ventilator_changes_carbon_dioxide_and_the_rules_beside_the_flow():
    own, blown = (case_plan(told(one), draws=20) for one in (PIG, BLOWN))
    t_piece = replace(CAT, ventilation=Ventilation(minute_volume_l_min=0.8))
    views = [one.label for one in case_plan(told(t_piece), draws=20).flows[-1].views]

    assert blown.answers["carbon_dioxide"].value < own.answers["carbon_dioxide"].value
    assert "ventilated" in blown.answers["carbon_dioxide"].sentence
    assert any("E, ventilated" in one for one in views)


def test_a_mini_parallel_a_that_is_ventilated_is_a_stop_with_a_plan_beside_it():
    small = replace(CAT, system="mini parallel A", ventilation=Ventilation(minute_volume_l_min=0.8))

    assert care(case_plan(told(small), draws=20), "ventilation on a Mapleson A").verdict is (
        Verdict.STOP
    )


def test_a_species_without_ventilator_settings_is_planned_and_says_so():
    bird = replace(
        CAT, species="cockatoo", weight_kg=0.4, ventilation=Ventilation(minute_volume_l_min=0.4)
    )
    plan = case_plan(told(bird), draws=20)

    assert "ventilator" not in plan.answers
    assert "no ventilator settings" in care(plan, "ventilator settings").sentence


@pytest.mark.parametrize(("species", "weight_kg"), [("mouse", 0.025), ("rat", 0.3)])
def test_a_rule_for_cats_and_dogs_does_not_set_the_flow_of_a_rodent(species, weight_kg):
    small = animal(species, weight_kg)
    answer = fresh_gas_flow(small, BreathingSystem.T_PIECE, FlowPhase.HOLD)

    assert answer.value >= small["minute_volume_l_min"].value
    assert answer.verdict is None
    # trade_rules CP-15, common practice: 500 mL/min for any system without absorber.
    assert answer.value == pytest.approx(0.5)


def test_away_from_sea_level_a_dial_says_what_leaves_the_vaporizer():
    high, low = (case_plan(told(PIG, place=one), draws=20) for one in (HIGH, told().place))

    assert all("leaves the vaporizer" in one.sentence for one in high.dials)
    assert not any("leaves the vaporizer" in one.sentence for one in low.dials)


def test_more_than_a_day_is_asked_about():
    long = with_phases(CAT, ("procedure", 20_000, 1.0, 0))

    with pytest.raises(RuleBroken, match="add up to 333 h; a plan goes up to 24 h"):
        case_plan(told(long))
