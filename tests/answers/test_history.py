from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ullage.answers import Answer, Verdict
from ullage.answers.believed import known_of
from ullage.answers.history import CylinderHistory, accused, cylinder_history
from ullage.answers.things import Cylinder, FlowPeriod, Place, Reading, ReservePolicy, Valve
from ullage.core.gas import Gas, contents_l, gauge_kpa_from_contents
from ullage.reference import HowKnown, sources

BAR = 100.0
ALDER = Cylinder(gas=Gas.OXYGEN, water_capacity_l=4.7, full_scale_kpa=25_000.0, label="Alder")
PLACE = Place(temperature_given=True, temperature_band_k=1.0)
POLICY = ReservePolicy(pressure_kpa=1400.0)


def read(at_min: float, bar: float, valve: Valve = Valve.UNKNOWN) -> Reading:
    return Reading(at_min=at_min, gauge_kpa=bar * BAR, temperature_k=293.15, valve_before=valve)


#: Friday to Tuesday: tight over the weekend, a case on Monday, then a night.
READINGS = (
    read(0.0, 138),
    read(480.0, 126, Valve.OPEN),
    read(4300.0, 125, Valve.CLOSED),
    read(4860.0, 80, Valve.OPEN),
    read(5700.0, 71),
)
FLOWS = (
    FlowPeriod(start_min=30.0, end_min=90.0, flow_l_min=1.0),
    FlowPeriod(start_min=4310.0, end_min=4530.0, flow_l_min=1.0),
)


def history_of(
    readings: tuple[Reading, ...] = READINGS,
    flows: tuple[FlowPeriod, ...] = FLOWS,
    now_min: float = 5702.0,
    cylinder: Cylinder = ALDER,
) -> CylinderHistory:
    return cylinder_history(cylinder, readings, flows, now_min, POLICY, PLACE)


def answers_of(history: CylinderHistory) -> tuple[Answer, ...]:
    return (history.contents, history.leak, history.flow_scale, history.reserve_at)


def with_valve(valve: Valve) -> tuple[Reading, ...]:
    return (*READINGS[:-1], replace(READINGS[-1], valve_before=valve))


def tight(hours: int = 6) -> tuple[Reading, ...]:
    """Read every hour at 1 L/min, nothing wrong; the needle to the nearest bar."""
    start = contents_l(Gas.OXYGEN, 4.7, 13_000.0, 293.15)
    found = []
    for hour in range(hours + 1):
        kpa = gauge_kpa_from_contents(Gas.OXYGEN, 4.7, start - 60.0 * hour, 293.15)
        found.append(read(60.0 * hour, round(kpa / BAR), Valve.OPEN))
    return tuple(found)


RUNNING = (FlowPeriod(start_min=0.0, end_min=900.0, flow_l_min=1.0),)
EVERY = {
    "leaking": history_of(),
    "tight": history_of(tight(), RUNNING, 360.0),
    "first reading": history_of(READINGS[:1], (), 0.0),
    "no reading": history_of((), (), 0.0),
    "weighed": history_of(
        (Reading(at_min=0.0, weight_kg=9.0), Reading(at_min=300.0, weight_kg=8.8)),
        RUNNING,
        300.0,
        Cylinder(gas=Gas.NITROUS_OXIDE, water_capacity_l=4.7, tare_kg=6.0),
    ),
}


def test_a_fall_overnight_is_told_as_a_person_would_tell_it():
    sentence = history_of().leak.sentence

    assert "lower than expected. Expected 8" in sentence
    assert "read 71 bar." in sentence
    assert "went overnight with no case: about 50 mL/min." in sentence
    assert "It leaks about" in sentence
    assert history_of().leak.verdict is Verdict.LOOK_AGAIN


def test_the_steps_lead_from_pressures_to_a_rate():
    steps = history_of().leak.steps

    assert steps[0].what.startswith("From 8")
    assert steps[1].what == "Over 14 h 00 min with no case"
    assert steps[1].result.endswith("mL/min")


def test_a_tight_cylinder_is_fine_and_says_what_could_still_hide():
    leak = EVERY["tight"].leak

    assert leak.verdict is Verdict.FINE
    assert (leak.value, leak.low) == (0.0, 0.0)
    assert leak.covers.startswith("one-sided")
    assert "would look the same so far" in leak.sentence


def test_a_closed_valve_points_to_the_valve_itself():
    leak = history_of(with_valve(Valve.CLOSED)).leak

    assert leak.sentence.endswith("The valve was closed: look at the valve and its stem.")
    assert leak.verdict is Verdict.LOOK_AGAIN
    assert not history_of(with_valve(Valve.CLOSED)).leak_reported


def test_the_valve_is_asked_about_until_somebody_says():
    asked = history_of().question

    assert asked is not None
    assert asked.text == "Was Alder’s valve closed overnight?"
    assert (asked.from_min, asked.reading_at_min) == (4860.0, 5700.0)
    assert history_of(with_valve(Valve.OPEN)).question is None


def test_an_older_pause_is_asked_about_in_other_words():
    readings = (*READINGS, read(5760.0, 71, Valve.OPEN))
    asked = history_of(readings, now_min=5760.0).question

    assert asked is not None
    assert asked.text.endswith("in the long pause before the last readings?")
    nameless = history_of(cylinder=replace(ALDER, label="")).question
    assert nameless is not None
    assert nameless.text == "Was the valve closed overnight?"


def test_what_the_last_reading_changed_is_said_with_its_reason():
    changed = history_of().changed

    assert changed[0].startswith("What is left: ")
    assert changed[1].startswith("Why: it read 71 bar where 8")
    assert any(line.startswith("Chance of a leak: ") for line in changed)
    assert EVERY["first reading"].changed == ("The first reading: nothing was known before.",)


def test_what_was_expected_is_what_was_known_before_the_last_reading():
    with_last = history_of().expected_at_last
    higher = history_of((*READINGS[:-1], read(5700.0, 78))).expected_at_last

    assert with_last is not None
    assert with_last == higher
    assert with_last.low_kpa < 8000.0 < with_last.high_kpa


def test_the_curve_runs_from_the_first_reading_to_now():
    curve = history_of().expected

    assert curve[0].at_min == 0.0
    assert curve[-1].at_min == 5702.0
    assert [one.at_min for one in curve] == sorted(one.at_min for one in curve)
    assert all(one.low_kpa <= one.middle_kpa <= one.high_kpa for one in curve)


def test_the_curve_goes_on_along_the_flows_that_are_planned():
    curve = EVERY["tight"].expected

    assert curve[-1].at_min == 900.0
    assert curve[-1].middle_kpa < curve[-2].middle_kpa


def test_a_leak_that_is_known_pulls_the_curve_down():
    leaking = history_of(with_valve(Valve.OPEN), now_min=6300.0).expected

    # 10 h at about 50 mL/min are 30 L, or 6 bar of 4.7 L; it may be that there is none.
    assert leaking[-1].at_min == 6300.0
    assert leaking[-1].middle_kpa < 7100.0 - 200.0


def test_a_curve_is_thinned_to_what_can_be_drawn():
    readings = tuple(read(10.0 * i, 138 - i // 20, Valve.OPEN) for i in range(150))

    assert len(history_of(readings, (), 1490.0).expected) <= 72


def test_the_reserve_is_reached_by_the_flows_ahead():
    found = EVERY["tight"].reserve_at

    assert found.value == pytest.approx((found.low + found.high) / 2, rel=0.05)
    kept = contents_l(Gas.OXYGEN, 4.7, 1400.0, 293.15)
    start = contents_l(Gas.OXYGEN, 4.7, 13_000.0, 293.15)
    assert found.low < start - 360.0 - kept < found.high


def test_without_a_plan_the_last_flow_goes_on_and_that_is_said():
    found = history_of(tight(), (replace(RUNNING[0], end_min=360.0),), 360.0).reserve_at

    assert "At 1 L/min, the last flow, from now on." in found.assumptions
    assert found.value is not None


def test_a_plan_that_does_not_reach_the_reserve_says_so():
    short = (replace(RUNNING[0], end_min=370.0),)
    found = history_of(tight(), short, 360.0).reserve_at

    assert found.value is None
    assert found.settles == "What will be drawn after that?"
    assert "does not reach what is kept back within the 10 min written down" in found.sentence


def test_without_a_flow_there_is_no_time_only_a_question():
    found = history_of(READINGS, ()).reserve_at

    assert found.value is None
    assert found.settles == "Which flow will run, and for how long?"


def test_one_reading_cannot_tell_of_a_leak():
    leak = EVERY["first reading"].leak

    assert leak.value is None
    assert leak.verdict is Verdict.NOT_YET
    assert leak.settles == "What does the gauge say after a pause with all flows off?"


def test_no_reading_has_no_number_but_the_question_that_would_settle_it():
    empty = EVERY["no reading"]

    assert {one.value for one in answers_of(empty)} == {None}
    assert {one.settles for one in answers_of(empty)} == {"What does the gauge say?"}
    assert empty.expected == ()


def test_a_liquefied_gas_by_its_gauge_is_sent_to_the_scale():
    cylinder = Cylinder(gas=Gas.NITROUS_OXIDE, water_capacity_l=4.7, tare_kg=6.0)
    found = history_of((read(0.0, 49),), (), 0.0, cylinder)

    assert found.contents.value is None
    assert found.contents.low is not None
    assert found.leak.settles == "What does it weigh, and what is its tare?"


def test_a_liquefied_gas_is_followed_by_weight():
    found = EVERY["weighed"]

    # 2.8 kg at 534 L/kg (15 °C), from the fact base: supply section 2.5.
    assert found.contents.value == pytest.approx(2.8 * 534, rel=0.02)
    assert "does not reach what is kept back" in found.reserve_at.sentence
    assert found.expected == ()


def test_the_gauge_of_a_liquefied_gas_counts_for_nothing_beside_its_weight():
    cylinder = Cylinder(gas=Gas.NITROUS_OXIDE, water_capacity_l=4.7, tare_kg=6.0)
    both = tuple(
        Reading(at_min=at, gauge_kpa=kpa, weight_kg=kg)
        for at, kpa, kg in ((0.0, 5100.0, 9.0), (300.0, 5300.0, 8.8))
    )
    found = history_of(both, RUNNING, 300.0, cylinder)

    assert found.contents == EVERY["weighed"].contents
    assert found.expected_at_last is None


def test_what_would_tell_leak_from_flow_needs_no_animal():
    words = EVERY["tight"].told_apart_by

    assert words.startswith("With no animal on it: all flows off, cylinder valve open")
    assert "a wrong flowmeter does not" in words
    assert "needle for ten minutes" in history_of().told_apart_by


def test_a_flow_that_agrees_and_one_that_does_not_are_told_apart():
    agrees = EVERY["tight"].flow_scale
    half = tuple(
        replace(one, gauge_kpa=13_000.0 - 0.6 * (13_000.0 - (one.gauge_kpa or 0.0)))
        for one in tight(8)
    )
    wrong = history_of(half, RUNNING, 480.0).flow_scale

    assert agrees.sentence.startswith("As far as the gauge can tell, what was set went through")
    assert wrong.high < 1.0
    assert "less than was set went through" in wrong.sentence


def test_more_drawn_than_was_meant_may_be_a_leak_as_well():
    more = tuple(
        replace(one, gauge_kpa=13_000.0 - 1.3 * (13_000.0 - (one.gauge_kpa or 0.0)))
        for one in tight(4)
    )
    found = history_of(more, RUNNING, 240.0)

    assert found.flow_scale.low < 1.1
    assert found.flow_scale.cautions == (found.told_apart_by,)


def test_only_the_cylinder_that_leaks_is_accused():
    assert accused(EVERY) == ("leaking",)
    assert accused({}) == ()


def test_readings_may_come_late_and_in_any_order():
    assert history_of(READINGS[::-1]).contents == history_of().contents


def test_now_is_never_before_the_last_reading():
    assert history_of(now_min=0.0).now_min == 5700.0


@settings(max_examples=10, deadline=None)
@given(st.floats(50, 200), st.floats(-3, 0))
def test_no_number_stands_outside_its_band(first, fall):
    readings = (read(0.0, first), read(600.0, first + fall), read(700.0, first + fall))

    for one in answers_of(history_of(readings, (), 700.0)):
        if one.value is not None:
            assert one.low <= one.value <= one.high


@pytest.mark.parametrize("name", EVERY)
def test_an_answer_says_why_and_on_whose_word(name):
    for answer in answers_of(EVERY[name]):
        assert answer.reasons
        assert set(answer.sources) <= set(sources())
        assert {one.how_known for one in answer.where_from} <= set(HowKnown)
        assert answer.question.endswith("?")
        assert answer.covers or answer.low is None
        assert answer.value is not None or answer.settles or answer.low is not None


@pytest.mark.parametrize("name", EVERY)
def test_every_line_of_an_answer_is_a_sentence(name):
    for answer in answers_of(EVERY[name]):
        lines = (*answer.reasons, *answer.cautions, *answer.assumptions, answer.sentence)
        for line in (*lines, *(one.text for one in answer.where_from)):
            assert line[0].isupper() or line[0].isdigit(), line
            assert line.endswith("."), line


def test_an_answer_survives_being_kept():
    for answer in answers_of(history_of()):
        assert Answer.from_dict(answer.as_dict()) == answer


def test_a_flow_without_an_error_of_its_own_takes_that_of_its_size():
    slow = (FlowPeriod(start_min=0.0, end_min=60.0, flow_l_min=0.3),)
    known = (replace(slow[0], flow_sd_share=0.05),)
    by_limit = known_of(ALDER, READINGS, slow, 5702.0, PLACE)
    by_sd = known_of(ALDER, READINGS, known, 5702.0, PLACE)

    assert by_limit is not None
    assert by_limit.beliefs.flow_error_is_limit
    # 25 % either way below 1 L/min, as one standard deviation of a uniform.
    assert by_limit.history.draws[0].error_share == pytest.approx(0.25 / 3**0.5)
    assert by_sd is not None
    assert by_sd.history.draws[0].error_share == 0.05
    assert not by_sd.beliefs.flow_error_is_limit


def test_a_room_that_nobody_measured_leaves_a_wider_band():
    unread = tuple(replace(one, temperature_k=None) for one in tight())
    vague = cylinder_history(ALDER, unread, RUNNING, 360.0, POLICY, Place()).contents
    sure = EVERY["tight"].contents

    assert vague.high - vague.low > sure.high - sure.low
