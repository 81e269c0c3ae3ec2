"""Every species and agent can be planned, or is refused in a sentence."""

from dataclasses import replace

import numpy as np
import pytest

from tests.answers.case_paper import CAT, HIGH, PIG, told, with_phases
from ullage.answers import case_plan, species_offered
from ullage.answers.case_course import course_of
from ullage.answers.case_planned import planned_of as _planned
from ullage.core.errors import UllageError

WEIGHTS = {
    "mouse": 0.025,
    "rat": 0.3,
    "hamster": 0.1,
    "guinea pig": 0.8,
    "rabbit": 3.5,
    "ferret": 1.2,
    "cat": 4.5,
    "dog": 12.0,
    "minipig": 30.0,
    "pig": 40.0,
    "sheep": 50.0,
    "goat": 45.0,
    "macaque": 6.0,
    "pony": 180.0,
    "horse": 500.0,
    "chicken": 2.0,
}
AGENTS = ("isoflurane", "sevoflurane", "desflurane", "halothane", "enflurane")


def bare(species):
    """A case without flows or system: both come from the rules."""
    case = with_phases(CAT, ("procedure", 40, 0, 0), ("waking", 15, 0, 0))
    return replace(case, species=species, weight_kg=WEIGHTS[species], system="")


def planned(species, agent="isoflurane", **more):
    known = {"flows_given": False, "weight_is_right": True, **more}
    return case_plan(told(bare(species), agent=agent, **known), draws=20)


@pytest.mark.parametrize("species", WEIGHTS)
def test_every_species_can_be_planned_with_isoflurane(species):
    plan = planned(species)
    answers = plan.answers

    assert answers["mac"].low < answers["mac"].value < answers["mac"].high
    assert all(0.0 < one.low < one.value <= one.high for one in plan.dials)
    assert answers["end_tidal"].value < answers["inspired"].value
    assert answers["oxygen"].value > 0.0


@pytest.mark.parametrize("agent", AGENTS)
def test_every_agent_can_be_planned_in_a_dog(agent):
    plan = planned("dog", agent)

    assert plan.answers["agent"].value > 0.0
    assert agent in plan.answers["agent"].sentence
    assert (plan.answers["regain"].value is None) == (agent == "enflurane")


def test_the_weights_of_the_tests_are_those_of_species_on_offer():
    assert set(WEIGHTS) <= set(species_offered())


def test_what_is_borrowed_is_said():
    plan = planned("goat")

    assert any("four-group set" in one for one in plan.answers["end_tidal"].assumptions)


def test_a_species_that_nobody_knows_is_refused():
    with pytest.raises(UllageError, match="No values for 'newt'"):
        case_plan(told(replace(CAT, species="newt")))


def test_a_soluble_agent_leaves_more_slowly():
    left = {}
    for agent in ("halothane", "desflurane"):
        course = course_of(_planned(told(agent=agent, target_mac=0.5)), 0.02, 20, 1)
        ten = int(np.searchsorted(course.waking_min, 10.0))
        left[agent] = np.median(course.waking_effect[:, ten] / course.waking_effect[:, 0])

    assert left["desflurane"] < left["halothane"]


def test_no_time_of_waking_is_invented_where_nobody_studied_it():
    answer = planned("dog", "enflurane").answers["regain"]

    assert answer.value is None
    assert "MAC-awake" in answer.sentence
    assert "no time is invented" in answer.settles
    assert "lose" not in planned("dog", "enflurane").answers


# A heated vaporizer holds volume per cent, so that thin air asks for more on its dial.
@pytest.mark.published("agents_base")
def test_the_dial_of_a_heated_vaporizer_is_turned_up_in_thin_air():
    ratio = 101.325 / HIGH.barometric_kpa
    low, high = (planned("dog", "desflurane", target_mac=0.6, **more) for more in _PLACES)
    split_low, split_high = (planned("dog", target_mac=0.6, **more) for more in _PLACES)

    assert high.dials[0].value > low.dials[0].value
    heated = high.dials[0].value / low.dials[0].value
    split = split_high.dials[0].value / split_low.dials[0].value
    assert heated / split == pytest.approx(ratio, rel=0.05)


_PLACES = ({}, {"place": HIGH})


def test_a_dial_that_is_set_too_high_for_the_agent_is_refused_by_its_own_end():
    with pytest.raises(UllageError, match="beyond the end of the vaporizer"):
        case_plan(told(PIG, agent="sevoflurane", dial_fraction=0.12))


@pytest.mark.parametrize("draws", [20, 60])
def test_the_draws_stand_in_every_answer_that_rests_on_them(draws):
    plan = case_plan(told(), draws=draws, seed=9)

    for name in ("inspired", "end_tidal", "brain", "lose", "regain"):
        assert (plan.answers[name].draws, plan.answers[name].seed) == (draws, 9)
    assert all((one.draws, one.seed) == (draws, 9) for one in plan.dials)
