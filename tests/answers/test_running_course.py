"""The engine led through what was set: pieces, systems, and nothing that is not written."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.answers.case_paper import CAT, told
from ullage.answers import CaseSubject, RunningCase, SetTo, case_plan
from ullage.answers.case_course import course_of
from ullage.answers.case_planned import planned_of
from ullage.answers.running_course import carried_on, led_to, planned_for, woken_from
from ullage.core.errors import InvalidQuantity, RuleBroken, UnknownReference

CAT_ON = CaseSubject(species="cat", weight_kg=4.0, agent="isoflurane")
DOG_ON = CaseSubject(species="dog", weight_kg=20.0, agent="isoflurane")


def set_to(at, dial=0.02, oxygen=1.0, system="circle", **more):
    return SetTo(at_min=at, dial_fraction=dial, oxygen_l_min=oxygen, system=system, **more)


def case(*given_settings, subject=DOG_ON, draws=20):
    return RunningCase(subject=subject, settings=given_settings, draws=draws, seed=5)


def middle(levels):
    return np.median(levels, axis=0)


def test_a_running_case_is_led_as_a_planned_one_at_the_same_dial():
    """One stretch at 2 % and 1 L/min on a T-piece: the same draws, the same levels."""
    planned = planned_of(told(replace(CAT, phases=CAT.phases[1:2])))
    course = course_of(planned, 0.02, 20, 5)
    led = led_to(case(set_to(0, system="T-piece"), subject=CAT_ON), 40.0)

    for name in ("inspired", "end_tidal", "brain"):
        ours = led.at(name, course.times_min[course.times_min > 20.0])
        planned_ones = getattr(course, name)[:, course.times_min > 20.0]
        assert ours[:, :15] == pytest.approx(planned_ones[:, :15], rel=5e-3)
    assert case_plan(told()).draws == 200


def test_a_change_is_felt_from_its_minute_on_and_not_before():
    kept, turned = case(set_to(0)), case(set_to(0), set_to(20, dial=0.04))
    minutes = np.array([5.0, 15.0, 20.0, 25.0])

    before, after = (middle(led_to(one, 30.0).at("end_tidal", minutes)) for one in (kept, turned))
    assert after[:3] == pytest.approx(before[:3], rel=1e-3)
    assert after[3] > 1.1 * before[3]


@pytest.mark.parametrize("level", ["inspired", "end_tidal", "brain"])
def test_a_setting_written_again_changes_nothing(level):
    minutes = np.array([10.0, 25.0, 40.0])
    once, twice = (
        led_to(one, 40.0).at(level, minutes)
        for one in (case(set_to(0)), case(set_to(0), set_to(15)))
    )

    assert twice == pytest.approx(once, rel=2e-3)


def test_what_lies_after_now_is_left_out():
    kept, later = case(set_to(0)), case(set_to(0), set_to(31, dial=0.05))

    assert led_to(later, 30.0).whole("brain").tolist() == led_to(kept, 30.0).whole("brain").tolist()


def test_now_is_the_last_time_and_every_time_comes_once():
    led = led_to(case(set_to(0), set_to(10), set_to(10.5), set_to(30)), 47.3)

    assert led.times_min[0] == 0.0
    assert led.times_min[-1] == 47.3
    assert np.all(np.diff(led.times_min) > 0.0)
    assert led.whole("effect").shape == (20, led.times_min.size)


def test_at_the_minute_of_a_setting_it_stands_already_and_has_done_nothing():
    led = led_to(case(set_to(0), set_to(20, dial=0.05)), 20.0)

    assert led.setting.dial_fraction == 0.05
    assert [one.at_min for one in led.run] == [0.0]
    assert middle(carried_on(led, led.setting, 5.0).end_tidal)[-1] > middle(
        led.at("end_tidal", np.array([20.0]))
    )


def test_at_the_first_minute_nothing_is_in_the_animal():
    led = led_to(case(set_to(3.0)), 3.0)

    assert led.pieces == ()
    assert not led.given
    assert led.at("brain", np.array([0.0, 3.0])).tolist() == [[0.0, 0.0]] * 20
    assert woken_from(led, led.setting)[1].max() == 0.0
    assert middle(carried_on(led, led.setting, 10.0).brain)[-1] > 0.003


def test_before_the_first_setting_nothing_was_given():
    led = led_to(case(set_to(10.0)), 30.0)

    assert led.at("end_tidal", np.array([2.0, 9.9])).max() == 0.0
    assert led.at("end_tidal", np.array([20.0])).min() > 0.0


def test_carried_on_it_goes_where_it_would_have_gone():
    one = case(set_to(0), set_to(10, dial=0.03))
    ahead = carried_on(led_to(one, 30.0), led_to(one, 30.0).setting, 15.0)

    for name in ("inspired", "end_tidal", "brain"):
        later = led_to(one, 45.0).at(name, ahead.times_min)
        assert getattr(ahead, name) == pytest.approx(later, rel=3e-3)


def test_a_system_newly_joined_holds_no_agent():
    moved = case(set_to(0, system="T-piece"), set_to(20, dial=0.0, oxygen=0.5))
    led = led_to(moved, 20.5)
    first = led.pieces[-1].inspired[:, 0]

    assert middle(led.at("inspired", np.array([19.0]))) == pytest.approx(0.02)
    assert first.max() < 0.01


def test_a_chamber_is_filled_and_then_left():
    led = led_to(
        case(
            set_to(0, dial=0.04, oxygen=2.0, system="chamber", chamber_l=4.0),
            set_to(5, dial=0.02, system="nose cone"),
            subject=CaseSubject(species="mouse", weight_kg=0.025, agent="isoflurane"),
        ),
        10.0,
    )
    inspired = middle(led.at("inspired", np.array([1.0, 2.0, 4.9, 8.0])))

    assert inspired[0] < inspired[1] < inspired[2] < 0.04
    assert inspired[3] == pytest.approx(0.02)


def test_a_chamber_of_unknown_size_is_full_at_once():
    on = set_to(0, dial=0.04, oxygen=2.0, system="chamber")

    assert middle(led_to(case(on), 5.0).at("inspired", np.array([1.0]))) == pytest.approx(0.04)


def test_a_machine_that_breathes_more_brings_more():
    less, more = (
        middle(led_to(case(set_to(0, ventilator_l_min=one)), 10.0).at("brain", np.array([10.0])))[0]
        for one in (2.0, 6.0)
    )

    assert more > 1.1 * less


def test_when_no_gas_flows_no_agent_comes():
    open_mask = case(set_to(0, system="T-piece"), set_to(20, oxygen=0.0, system="T-piece"))
    circle = case(set_to(0), set_to(20, oxygen=0.0))

    for one in (open_mask, circle):
        levels = middle(led_to(one, 60.0).at("end_tidal", np.array([20.0, 40.0, 60.0])))
        assert levels[0] > levels[1] > levels[2] >= 0.0


def test_in_thin_air_the_dial_gives_a_larger_share():
    from ullage.answers.places import place_at

    high = replace(DOG_ON, place=place_at(elevation_m=1900.0))
    one = led_to(case(set_to(0, system="T-piece"), subject=high), 5.0)

    assert middle(one.at("inspired", np.array([4.0])))[0] == pytest.approx(0.0252, abs=2e-4)


def test_nitrous_oxide_counts_as_the_agent_that_it_spares():
    plain, mixed = (led_to(case(set_to(0, nitrous_oxide_l_min=one)), 40.0) for one in (0.0, 1.0))

    assert mixed.draw.nitrous
    assert not plain.draw.nitrous
    assert middle(mixed.whole("effect"))[-1] > 1.2 * middle(plain.whole("effect"))[-1]


def test_waking_falls_and_takes_nitrous_oxide_with_it():
    for nitrous in (0.0, 1.0):
        led = led_to(case(set_to(0, nitrous_oxide_l_min=nitrous)), 40.0)
        minutes, effect = woken_from(led, led.setting)
        level = middle(effect)

        assert minutes[0] == 0.0
        assert level[0] == pytest.approx(middle(led.whole("effect"))[-1], rel=1e-6)
        assert level[-1] < 0.2 * level[0]
        assert np.all(np.diff(level[20:]) < 0.0)


def test_of_two_settings_at_one_minute_the_later_line_stands():
    one = case(set_to(0, dial=0.05), set_to(0, dial=0.02), set_to(0, dial=0.03))

    assert [row.dial_fraction for row in one.settings] == [0.03]


def test_settings_may_be_listed_in_any_order():
    rows = (set_to(0), set_to(10, dial=0.03), set_to(25, dial=0.01))

    assert case(*rows[::-1]) == case(*rows)


@settings(max_examples=15, deadline=None)
@given(
    st.lists(
        st.tuples(st.floats(0.0, 60.0), st.floats(0.0, 0.08), st.floats(0.0, 10.0)), min_size=1
    ),
    st.floats(0.0, 90.0),
)
def test_no_level_rises_above_what_was_ever_delivered(rows, at):
    one = case(*(set_to(when, dial, flow) for when, dial, flow in rows))
    if at < one.settings[0].at_min:
        with pytest.raises(RuleBroken, match="No dial and flow is written yet"):
            led_to(one, at)
        return
    led = led_to(one, at)
    most = max(row.dial_fraction for row in one.settings)

    for name in ("inspired", "end_tidal", "brain"):
        whole = led.whole(name)
        assert np.all(np.isfinite(whole))
        assert whole.min(initial=0.0) >= 0.0
        assert whole.max(initial=0.0) <= most * (1.0 + 1e-3) + 1e-4


def test_a_case_without_settings_asks_for_them():
    with pytest.raises(RuleBroken, match="No dial and flow is written yet: write what is set"):
        led_to(case(), 10.0)


@pytest.mark.parametrize(
    "changed",
    [
        {"at": -1.0},
        {"at": float("nan")},
        {"dial": 0.6},
        {"dial": -0.01},
        {"dial": float("nan")},
        {"oxygen": -1.0},
        {"oxygen": 1e6},
        {"air_l_min": float("inf")},
        {"ventilator_l_min": -1.0},
        {"chamber_l": 0.0},
    ],
)
def test_a_setting_that_cannot_be_is_refused(changed):
    with pytest.raises(InvalidQuantity, match=f"^{next(iter(changed))}"):
        set_to(**{"at": 0.0, **changed})


def test_names_that_nobody_knows_are_refused_with_a_sentence():
    with pytest.raises(UnknownReference, match="submarine"):
        set_to(0, system="submarine")
    for name, word in (("species", "unicorn"), ("agent", "ether of dreams")):
        with pytest.raises(UnknownReference, match=word):
            led_to(case(set_to(0), subject=replace(DOG_ON, **{name: word})), 5.0)


def test_a_weight_that_is_a_slip_is_asked_about():
    heavy = CaseSubject(species="mouse", weight_kg=25.0, agent="isoflurane")

    with pytest.raises(RuleBroken, match="confirm the weight"):
        planned_for(heavy, ("circle", None, None))
    assert planned_for(replace(heavy, weight_is_right=True), ("circle", None, None)).system


def test_too_few_draws_are_refused():
    with pytest.raises(RuleBroken, match="19 draws tell no range"):
        case(set_to(0), draws=19)
    with pytest.raises(InvalidQuantity, match="draws"):
        case(set_to(0), draws=50_000)
