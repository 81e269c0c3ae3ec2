"""Nitrous oxide, oxygen and a chamber in a planned case: volumes add up, and what is left over."""

from dataclasses import replace

import numpy as np
import pytest

from tests.answers.case_paper import CAT, MOUSE, PIG, care, told, verdict_of, with_phases
from ullage.answers import Verdict, case_plan
from ullage.answers.case_cares import inspired_oxygen_fraction
from ullage.answers.case_carrier import carrier_of, found_at_flow
from ullage.answers.case_course import course_of, middle_course, middle_levels
from ullage.answers.case_engine import NITROGEN, NITROUS_OXIDE, OXYGEN, Engine
from ullage.answers.case_planned import planned_of
from ullage.answers.plan import Chamber, Phase, Ventilation
from ullage.answers.vaporizers import Carrier
from ullage.core.kinetics import FA, FI, SystemKind

LAUGHING = with_phases(
    PIG, ("induction", 10, 2.0, 2.0), ("procedure", 45, 1.0, 1.0), ("waking", 10, 2.0, 0.0)
)
THIN = with_phases(
    PIG, ("induction", 10, 2.0, 2.0), ("procedure", 60, 0.28, 0.42), ("waking", 10, 4.0, 0.0)
)
BOXED = replace(MOUSE, chamber=Chamber(volume_l=4.0))


ALL = ("isoflurane", NITROUS_OXIDE, NITROGEN, OXYGEN)


@pytest.fixture(scope="module")
def laughing():
    return case_plan(told(LAUGHING))


@pytest.fixture(scope="module")
def boxed():
    return case_plan(told(BOXED))


def test_all_gases_of_the_lung_and_carbon_dioxide_add_up():
    engine = Engine(planned_of(told(LAUGHING)), 0, 0, ALL)
    led = [(one, 0.02) for one in engine.planned.asleep]
    lung = engine.course(led, np.array([5.0, 30.0, 55.0]))[0, :, :, FA].sum(axis=1)

    # About 5 % is carbon dioxide, more where breathing is weak.
    assert np.all(lung < 1.0)
    assert np.all(lung > 0.85)


@pytest.mark.parametrize("case", [LAUGHING, THIN])
def test_oxygen_that_the_others_leave_is_oxygen_that_is_followed(case):
    planned = planned_of(told(case))
    led = [(one, 0.02) for one in planned.asleep]
    times = np.array([1.0, 10.0, 30.0, planned.end_min])
    few, all_of_it = Engine(planned, 30, 5), Engine(planned, 30, 5, ALL)
    found, exact = few.course(led, times), all_of_it.course(led, times)

    # Oxygen is not dissolved, so that the other gases do not know whether it is followed.
    assert found == pytest.approx(exact[:, :, :3], abs=2e-5)
    left = 1.0 - found[..., FI].sum(axis=2)
    assert left == pytest.approx(exact[:, :, 3, FI], abs=0.004)


def test_gases_are_balanced_with_nitrous_oxide_and_with_desflurane_alone():
    def names(case, **more):
        return Engine(planned_of(told(case, **more)), 0, 0).names

    assert names(PIG) == ("isoflurane",)
    assert names(LAUGHING) == ("isoflurane", NITROUS_OXIDE, NITROGEN)
    assert names(PIG, agent="desflurane") == ("desflurane", NITROGEN)


# H-2GAS-2, Peyton 2008: end-tidal sevoflurane 9.8 % higher after two minutes of 70 % nitrous oxide,
# by a machine; the tolerance is that of the row.
@pytest.mark.published("uptake_checks")
def test_the_second_gas_effect_of_a_plan_is_that_of_the_published_study():
    phases = (("induction", 2, 1.5, 3.5), ("procedure", 20, 1.5, 3.5))
    man = replace(
        with_phases(PIG, *phases),
        species="human",
        weight_kg=70.0,
        system="mask",
        ventilation=Ventilation(minute_volume_l_min=5.6),
    )
    given = told(man, agent="sevoflurane", dial_fraction=0.02, target_mac=None)
    balanced, plain = middle_levels(planned_of(given), (0.02, 0.02, 0.02))

    assert 100 * (balanced / plain - 1.0) == pytest.approx(9.8, abs=4.0)


def test_the_second_gas_effect_is_that_of_the_first_nitrous_oxide():
    later = with_phases(PIG, ("induction", 10, 3, 0), ("procedure", 45, 1, 1), ("waking", 10, 2, 0))
    answer = case_plan(told(later)).answers["second_gas"]

    assert "in procedure" in answer.question
    assert answer.sentence.startswith("After 25 min")


def test_nitrous_oxide_that_is_given_for_waking_alone_lifts_no_level():
    last = with_phases(PIG, ("induction", 10, 3, 0), ("waking", 10, 2, 2))

    assert not {"second_gas", "diffusion"} & case_plan(told(last)).answers.keys()


def test_the_second_gas_effect_is_told(laughing):
    answer = laughing.answers["second_gas"]

    assert 1.0 < answer.value < 15.0
    assert answer.low < answer.value < answer.high


def test_nitrous_oxide_raises_no_level_above_what_is_delivered(laughing):
    for level in laughing.levels:
        assert level.nitrous_oxide[2] <= 50.0 + 1e-9
    assert laughing.answers["nitrous_level"].value > 40.0


def test_oxygen_falls_at_low_flow_as_nitrous_oxide_fills_the_circle():
    plan = case_plan(told(THIN))
    oxygen = [one.inspired_oxygen for one in plan.levels if one.at_min >= 10.0]

    assert oxygen[-1][1] < oxygen[0][1]
    assert oxygen[-1][0] < 30.0
    assert verdict_of(plan, "oxygen below 30 %") is Verdict.LOOK_AGAIN
    assert "one animal of twenty" in care(plan, "oxygen below 30 %").sentence


def test_of_oxygen_one_thing_is_said_once():
    names = [one.name for one in case_plan(told(THIN)).cares]

    assert len(names) == len(set(names))


# Steady state of a circle, uptake equations 10 and 15: what leaves has (oxygen in - used) / (flow -
# used); what is breathed in is fresh gas and, for the rest of the breath, what leaves.
@pytest.mark.published("uptake_base")
def test_oxygen_in_a_circle_ends_where_the_balance_of_flows_puts_it():
    phases = (Phase(name="procedure", minutes=240, oxygen_l_min=0.3, air_l_min=0.7),)
    planned = planned_of(told(replace(PIG, phases=phases)))
    course = middle_course(planned, (0.0,) * len(planned.asleep))
    # A use printed at 0 °C is 1.08 times as much at 70 °F; 1 L of these is 1.124 L in the lung.
    used = planned.animal["oxygen_use_l_min"].value * 294.26 / 273.15
    given = 0.3 + 0.209 * 0.7
    leaves = (given - used) / (1.0 - used)
    fresh = 1.124 / planned.animal["minute_volume_l_min"].value

    expected = fresh * given + (1.0 - fresh) * leaves
    assert course.oxygen[0, -1] == pytest.approx(expected, abs=0.005)
    assert inspired_oxygen_fraction(planned, planned.asleep[0]) == pytest.approx(
        expected, abs=0.005
    )


def test_an_open_mask_gives_what_is_delivered():
    phases = (Phase(name="procedure", minutes=30, oxygen_l_min=1.0, air_l_min=1.0),)
    plan = case_plan(told(replace(CAT, phases=phases), dial_fraction=0.02, target_mac=None))

    assert plan.answers["inspired_oxygen"].value == pytest.approx(0.98 * 60.45)


def test_room_air_after_nitrous_oxide_lowers_oxygen_in_the_lung(laughing):
    answer = laughing.answers["diffusion"]

    assert answer.verdict is Verdict.FINE
    assert 1.0 < answer.low < answer.value < answer.high < 15.0
    assert answer.sources


def test_nitrous_oxide_without_oxygen_behind_it_is_a_stop_in_the_answer_too():
    bare = with_phases(PIG, ("induction", 10, 2.0, 2.0), ("procedure", 45, 1.0, 1.0))
    plan = case_plan(told(bare))

    assert plan.answers["diffusion"].verdict is Verdict.STOP
    assert verdict_of(plan, "oxygen after nitrous oxide") is Verdict.STOP


def test_nothing_of_nitrous_oxide_is_told_where_none_is_given():
    plan = case_plan(told())

    assert not {"nitrous_level", "second_gas", "diffusion", "chamber_holds"} & plan.answers.keys()
    assert {one.nitrous_oxide for one in plan.levels} == {None}


def test_waking_without_the_balance_is_near_waking_with_it():
    planned = planned_of(told(LAUGHING))
    course = course_of(planned, 0.024, 60, 5)
    whole = course.engine
    light = whole.unbalanced
    waking = replace(planned.stretches[-1], start_min=0.0, minutes=30.0)
    times = np.array([5.0, 10.0, 20.0])
    full = whole.course([(waking, 0.0)], times, course.last)[:, :, 0, FA]
    plain = light.course([(waking, 0.0)], times, course.last[:, :2])[:, :, 0, FA]

    assert np.median(plain / full, axis=0) == pytest.approx([1.0, 1.0, 1.0], abs=0.04)


# --- a chamber, then a mask ---


def test_the_induction_of_a_case_with_a_chamber_is_in_the_chamber(boxed):
    assert [one.in_chamber for one in boxed.stretches] == [True, False, False, False]
    engine = Engine(planned_of(told(BOXED)), 0, 0)
    kinds = [engine.breathes_from(engine.stage(one)).kind for one in boxed.stretches[:2]]

    assert kinds == [SystemKind.MIXED, SystemKind.OPEN]


def test_a_chamber_fills_slowly_and_the_mask_gives_its_own_level(boxed):
    first = next(one for one in boxed.levels if one.at_min == 1.0)
    after = next(one for one in boxed.levels if one.at_min > 10.5)

    # Two litres a minute into four litres: 39 % of the dial after one minute, less uptake.
    assert first.inspired[1] < 0.4 * boxed.dials[0].value
    assert after.inspired[1] == pytest.approx(boxed.dials[1].value, rel=0.01)


def test_a_chamber_takes_longer_than_a_mask(boxed):
    mask = case_plan(told(MOUSE))

    assert boxed.answers["reach"].value > mask.answers["reach"].value


def test_the_vapour_of_a_chamber_is_its_level_times_its_volume(boxed):
    level = next(one for one in boxed.levels if one.at_min == 10.0).inspired[1]
    answer = boxed.answers["chamber_holds"]

    assert answer.value == pytest.approx(level / 100 * 4000.0)
    assert "12 L of gas without agent" in care(boxed, "opening the chamber").todo


def test_a_chamber_without_a_purge_is_told():
    none = replace(MOUSE, chamber=Chamber(volume_l=4.0, purges=0))

    assert "No such purge" in care(case_plan(told(none)), "opening the chamber").sentence


def test_a_chamber_in_which_no_phase_is_spent_is_told():
    case = replace(with_phases(MOUSE, ("scan", 30, 0.5, 0)), chamber=Chamber(volume_l=4.0))
    plan = case_plan(told(case))

    assert not any(one.in_chamber for one in plan.stretches)
    assert verdict_of(plan, "no phase in the chamber") is Verdict.LOOK_AGAIN


def test_a_chamber_has_flows_of_its_own_where_the_rules_are_taken():
    bare = replace(
        with_phases(MOUSE, ("induction", 5, 0, 0), ("procedure", 30, 0, 0)),
        chamber=Chamber(volume_l=4.0),
    )
    plan = case_plan(told(bare, flows_given=False, reach_min=5.0))

    assert "in a chamber" in plan.flows[0].question
    assert "nose cone" in plan.flows[1].question


def test_a_circle_that_follows_a_chamber_begins_without_agent():
    case = replace(
        with_phases(PIG, ("induction", 10, 5.0, 0), ("procedure", 30, 1.0, 0)),
        weight_kg=12.0,
        chamber=Chamber(volume_l=100.0),
    )
    planned = planned_of(told(case))
    course = middle_course(planned, (0.05, *[0.0] * (len(planned.asleep) - 1)))
    before, after = course.at_end(0), course.at_end(0) + 1

    assert course.inspired[0, after] < 0.5 * course.inspired[0, before]


def test_a_machine_breathes_in_the_phases_that_are_named():
    blown = replace(PIG, ventilation=Ventilation(minute_volume_l_min=4.0, phases=("procedure",)))
    planned = planned_of(told(blown))
    engine = Engine(planned, 0, 0)

    assert [engine.stage(one).blown for one in planned.stretches] == [False, True, True, False]


# --- carrier gas and flow ---


def _stretch(**more):
    planned = planned_of(told(LAUGHING))
    return replace(planned.stretches[0], **more)


@pytest.mark.parametrize(
    ("oxygen", "air", "nitrous", "carrier"),
    [
        (1.0, 0.0, 0.0, Carrier.OXYGEN),
        (0.5, 1.5, 0.0, Carrier.AIR),
        (1.0, 0.0, 1.0, Carrier.NITROUS_OXIDE),
    ],
)
def test_the_carrier_gas_of_a_stretch_is_that_of_its_flows(oxygen, air, nitrous, carrier):
    one = _stretch(oxygen_l_min=oxygen, air_l_min=air, nitrous_oxide_l_min=nitrous)

    assert carrier_of(one) is carrier


# VAP-011, Gould 1982: 4.0 % in oxygen settles at 3.5 % in nitrous oxide: more dial is needed.
@pytest.mark.published("agents_values")
def test_the_range_of_a_dial_holds_what_the_carrier_gas_does(laughing):
    fixed = {"dial_fraction": 0.02, "target_mac": None}
    plain = case_plan(told(PIG, **fixed))
    thinned = case_plan(told(LAUGHING, **fixed))

    assert thinned.dials[0].high > plain.dials[0].high
    assert thinned.dials[0].low == pytest.approx(plain.dials[0].low)
    assert any("settled" in one for one in laughing.dials[0].cautions)


# VAP-008, Ambrisko & Klide 2006: more than 20 % above a dial of 0.6 and 1 % in oxygen.
@pytest.mark.published("agents_values")
def test_a_low_dial_in_oxygen_may_be_lower_still():
    low, more = (
        case_plan(told(CAT, dial_fraction=one, target_mac=None)).dials[0] for one in (0.01, 0.02)
    )

    assert low.low / low.value < more.low / more.value - 0.05


def test_a_flow_that_nobody_tested_has_no_number():
    assert "No test" in found_at_flow("isoflurane", 0.01)
    assert "No test" in found_at_flow("halothane", 0.2)
    assert "20 %" in found_at_flow("isoflurane", 0.2)


def test_nitrous_oxide_that_has_long_left_lowers_nothing():
    early = with_phases(
        PIG, ("induction", 10, 2, 2), ("procedure", 240, 4, 0), ("waking", 10, 4, 0)
    )
    late = case_plan(told(LAUGHING), draws=20).answers["diffusion"]
    answer = case_plan(told(early), draws=20).answers["diffusion"]

    assert 0.0 <= answer.value < 0.1 * late.value
    assert answer.covers or answer.low is None
