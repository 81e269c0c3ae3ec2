"""Dials, levels and times of a planned case: the laws that must hold."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.answers.case_paper import CAT, MOUSE, PIG, care, told, with_phases
from ullage.answers import Verdict, case_plan
from ullage.answers.breathing import FlowPhase
from ullage.answers.case_course import course_of
from ullage.answers.case_planned import planned_of as _planned
from ullage.answers.case_stretches import stretches_of

RULES = dict.fromkeys(FlowPhase, 1.0)


@pytest.fixture(scope="module")
def course():
    return course_of(_planned(told()), None, 200, 3)


@pytest.fixture(scope="module")
def plan():
    return case_plan(told())


def test_the_dial_is_looked_at_again_after_fifteen_minutes():
    cut = stretches_of(told(), RULES)

    assert [(one.name, one.start_min, one.end_min) for one in cut] == [
        ("induction", 0.0, 10.0),
        ("procedure", 10.0, 25.0),
        ("procedure", 25.0, 55.0),
        ("waking", 55.0, 65.0),
    ]


def test_a_case_of_one_phase_is_cut_into_reaching_and_holding():
    cut = stretches_of(told(with_phases(CAT, ("whole", 60, 1, 0)), reach_min=5.0), RULES)

    assert [one.phase for one in cut[:2]] == [FlowPhase.START, FlowPhase.HOLD]
    assert cut[0].minutes == 5.0
    assert (cut[-1].phase, cut[-1].planned) == (FlowPhase.WAKING, False)


def test_minutes_are_kept_when_a_case_is_cut():
    cut = [one for one in stretches_of(told(), RULES) if one.planned]

    assert sum(one.minutes for one in cut) == 65.0


def test_the_middle_animal_is_at_its_level_at_the_end_of_each_stretch(course):
    target = course.planned.target_fraction(0)
    for number in range(3):
        middle = np.median(course.end_tidal[:, course.at_end(number)])
        # The median of the draws lies near the middle animal, not on it.
        assert middle == pytest.approx(target, rel=0.06)


def test_the_first_dial_is_the_highest(plan):
    values = [one.value for one in plan.dials]

    assert values == sorted(values, reverse=True)
    assert all(one.low < one.value <= one.high for one in plan.dials)


def test_levels_fall_from_breath_to_brain_while_agent_is_taken_up(plan):
    for level in plan.levels[1:]:
        assert level.inspired[1] >= level.end_tidal[1] >= level.brain[1]
        assert level.brain[0] <= level.brain[1] <= level.brain[2]


def test_nothing_is_in_the_animal_when_it_begins(plan):
    assert plan.levels[0].at_min == 0.0
    assert plan.levels[0].brain == (0.0, 0.0, 0.0)


def test_movement_is_lost_before_the_level_is_reached_and_comes_back_later(plan):
    answers = plan.answers

    assert answers["lose"].value < answers["reach"].value < 10.0
    assert 0.0 < answers["regain"].low < answers["regain"].value < answers["regain"].high
    assert any("too early" in one for one in answers["regain"].cautions)


def test_a_mouse_wakes_before_a_cat():
    mouse, cat = case_plan(told(MOUSE)), case_plan(told(CAT))

    assert mouse.answers["regain"].value < cat.answers["regain"].value


def test_a_circle_at_low_flow_wakes_later_than_at_high_flow():
    phases = (("induction", 10, 2, 0), ("procedure", 40, 1, 0))
    slow = case_plan(told(with_phases(PIG, *phases, ("waking", 10, 0.5, 0))))
    fast = case_plan(told(with_phases(PIG, *phases, ("waking", 10, 6.0, 0))))

    assert fast.answers["regain"].value < slow.answers["regain"].value


def test_the_brain_ends_above_where_it_moves(plan):
    step = plan.answers["regain"].steps[0].result

    assert float(step.split()[0]) < plan.answers["brain"].low


def test_a_low_flow_runs_into_the_end_of_the_dial():
    plan = case_plan(told(with_phases(PIG, ("induction", 10, 0.5, 0), ("procedure", 30, 0.5, 0))))

    assert care(plan, "dial beyond the device").verdict is Verdict.LOOK_AGAIN
    assert plan.dials[0].value == pytest.approx(5.0)
    assert plan.dials[0].todo == "Raise the flow or allow more time."
    assert plan.answers["reach"].value is None or plan.answers["reach"].value > 10.0


def test_a_dial_that_was_given_is_followed_and_not_chosen():
    plan = case_plan(told(dial_fraction=0.025, target_mac=None))

    assert [one.value for one in plan.dials] == pytest.approx([2.5] * 3)
    assert "reach" not in plan.answers
    assert plan.answers["inspired"].value == pytest.approx(2.5)


def test_a_dial_that_is_too_low_never_stills_the_animal():
    plan = case_plan(told(dial_fraction=0.001, target_mac=None))

    assert plan.answers["lose"].value is None
    assert plan.answers["lose"].settles
    assert plan.answers["regain"].value == 0.0


def test_the_agent_of_a_case_is_the_sum_of_its_stretches(plan):
    answer = plan.answers["agent"]
    parts = [float(one.result.split()[0]) for one in answer.steps]

    assert answer.value == pytest.approx(sum(parts), rel=0.01)
    assert answer.low < answer.value < answer.high


def test_drugs_that_spare_agent_turn_the_dial_down():
    spared = case_plan(told(drugs=("alfentanil",)))

    assert spared.dials[1].value < case_plan(told()).dials[1].value


def test_a_potency_from_memory_widens_the_dial():
    sure = case_plan(told(mac_fraction=0.0163))

    def width(one):
        return (one.high - one.low) / one.value

    assert width(sure.dials[2]) < width(case_plan(told()).dials[2])


@settings(max_examples=6, deadline=None)
@given(st.floats(0.3, 1.4))
def test_a_deeper_target_asks_for_more(multiple):
    light = case_plan(told(target_mac=multiple), draws=20)
    deep = case_plan(told(target_mac=1.1 * multiple), draws=20)

    assert light.dials[0].value < deep.dials[0].value
    assert light.answers["end_tidal"].value < deep.answers["end_tidal"].value


@settings(max_examples=6, deadline=None)
@given(st.floats(0.005, 0.04))
def test_levels_never_rise_above_what_is_delivered(dial):
    plan = case_plan(told(PIG, dial_fraction=dial, target_mac=None), draws=20)

    assert all(level.inspired[2] <= 100 * dial * (1 + 1e-6) for level in plan.levels)
