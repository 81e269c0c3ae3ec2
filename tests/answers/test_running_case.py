"""A running case: levels now and ahead, waking, what was measured, and what a change would do."""

import json
from dataclasses import replace
from itertools import pairwise
from math import inf

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ullage.answers import (
    Answer,
    CaseSubject,
    Change,
    LevelRead,
    RunningCase,
    SetTo,
    case_now,
    changes_now,
)
from ullage.answers.running_now import doubt, measured_by, now_of, reading_error_share
from ullage.core.errors import InvalidQuantity, RuleBroken, UllageError, UnknownReference
from ullage.core.kinetics import widened_bands
from ullage.reference import HowKnown, sources

DOG = CaseSubject(species="dog", weight_kg=20.0, agent="isoflurane")
MOUSE = CaseSubject(species="mouse", weight_kg=0.025, agent="isoflurane")
ON = SetTo(at_min=0, dial_fraction=0.02, oxygen_l_min=1.0, system="circle")
BARE = RunningCase(subject=DOG, settings=(ON,), draws=60)


def read(at, end_tidal=None, inspired=None, error=None):
    return LevelRead(
        at_min=at, end_tidal_fraction=end_tidal, inspired_fraction=inspired, error_share=error
    )


def with_reads(*readings, case=BARE):
    return replace(case, readings=readings)


def width(answer):
    return answer.high / answer.low


FOUND = case_now(with_reads(read(20, 0.0105), read(30, 0.0115, 0.0165)), 30.0)


def test_the_running_page_has_its_answers():
    assert list(FOUND.answers) == [
        "inspired",
        "end_tidal",
        "brain",
        "end_tidal_ahead",
        "brain_ahead",
        "waking",
        "agrees",
    ]
    assert all(isinstance(one, Answer) for one in FOUND.answers.values())


@pytest.mark.parametrize("name", FOUND.answers)
def test_each_answer_says_why_on_whose_word_and_judges_no_depth(name):
    answer = FOUND.answers[name]
    lines = (*answer.reasons, *answer.cautions, *answer.assumptions, answer.sentence)

    assert answer.question.endswith("?")
    assert answer.verdict is None
    assert set(answer.sources) <= set(sources())
    assert {one.how_known for one in answer.where_from} <= set(HowKnown)
    assert all(line.endswith(".") for line in lines if line)
    assert Answer.from_dict(answer.as_dict()) == answer


def test_the_curve_goes_from_the_start_to_a_quarter_of_an_hour_ahead():
    times = [one.at_min for one in FOUND.levels]

    assert (times[0], times[-1]) == (0.0, 45.0)
    assert all(later > earlier for earlier, later in pairwise(times))
    assert FOUND.ahead[0].at_min == 30.0
    for one in FOUND.levels:
        for low, middle, high in (one.inspired, one.end_tidal, one.brain):
            assert 0.0 <= low <= middle <= high


def test_the_curve_passes_through_the_answers():
    now = next(one for one in FOUND.levels if one.at_min == 30.0)

    for name, level in (("end_tidal", now.end_tidal), ("inspired", now.inspired)):
        answer = FOUND.answers[name]
        assert (answer.low, answer.value, answer.high) == pytest.approx(level)
    ahead = FOUND.answers["brain_ahead"]
    assert (ahead.low, ahead.value, ahead.high) == pytest.approx(FOUND.levels[-1].brain)


def test_without_readings_the_bands_are_those_of_draws_engine_and_vaporizer():
    found = case_now(BARE, 30.0)
    levels = found.now.led.at("end_tidal", np.array([30.0]))
    # 8 % of the engine and a vaporizer within 20 % of its dial, uniform between the limits
    share = np.hypot(0.08, 0.20 / np.sqrt(3.0))

    answer = found.answers["end_tidal"]
    band = 100.0 * widened_bands(levels, share)[:, 0]
    assert (answer.low, answer.value, answer.high) == pytest.approx(tuple(band))
    assert found.effective_draws == pytest.approx(60.0)
    assert "drawn animals" not in " ".join(one.what for one in answer.steps)


def test_what_was_measured_pulls_the_level_to_it_and_narrows_it():
    before = case_now(BARE, 30.0).answers["end_tidal"]
    after = case_now(with_reads(read(29, 0.013), read(30, 0.013)), 30.0).answers["end_tidal"]

    assert abs(after.value - 1.3) < 0.4 * abs(before.value - 1.3)
    assert width(after) < 0.8 * width(before)
    assert after.steps[0].result.startswith(f"{before.value:.3g} %")


def test_an_inspired_value_tells_of_the_dial():
    truth = case_now(BARE, 30.0).answers["inspired"].value
    found = case_now(with_reads(read(30, inspired=0.0085 * truth)), 30.0)

    assert found.answers["inspired"].value < 0.95 * truth
    assert found.answers["end_tidal"].value < case_now(BARE, 30.0).answers["end_tidal"].value
    assert [one.kind for one in found.readings] == ["inspired"]


@settings(max_examples=10, deadline=None)
@given(st.floats(0.008, 0.018), st.floats(5.0, 40.0))
def test_a_reading_of_no_worth_changes_nothing(fraction, at):
    before, after = (
        case_now(one, 40.0) for one in (BARE, with_reads(read(at, fraction, error=inf)))
    )

    for name in ("inspired", "end_tidal", "brain", "end_tidal_ahead"):
        one, other = before.answers[name], after.answers[name]
        assert (other.low, other.value, other.high) == (one.low, one.value, one.high)
    assert after.levels == before.levels


@settings(max_examples=10, deadline=None)
@given(st.permutations([read(10, 0.012), read(20, 0.0125), read(20, 0.013), read(30, 0.0115)]))
def test_readings_may_come_in_any_order(mixed):
    usual = with_reads(read(10, 0.012), read(20, 0.0125), read(20, 0.013), read(30, 0.0115))

    assert case_now(with_reads(*mixed), 30.0).levels == case_now(usual, 30.0).levels


def test_a_value_that_cannot_be_is_said_and_left_out():
    good = with_reads(read(20, 0.0115))
    found = case_now(with_reads(read(20, 0.0115), read(30, 0.03)), 30.0)

    assert [one.believed for one in found.readings] == [True, False]
    assert [one.at_min for one in found.not_believed] == [30.0]
    assert "cannot be believed" in found.answers["agrees"].sentence
    assert "is not used" in found.answers["agrees"].sentence
    assert found.answers["agrees"].steps[0].result == "less than 1 in 1000"
    assert found.answers["agrees"].todo.startswith("Check sampling line, dial, flow and system")
    assert found.levels == case_now(good, 30.0).levels
    assert found.answers["end_tidal"].steps[1].result == "1 of 2"


def test_three_such_values_in_a_row_put_the_forecast_in_doubt():
    wild = [read(20 + at, 0.03) for at in range(3)]
    two, three = (case_now(with_reads(*wild[:count]), 30.0) for count in (2, 3))
    said = "The last three values are not explained by what is written: do not rely on this."

    assert said not in two.answers["end_tidal"].cautions
    assert said in three.answers["end_tidal"].cautions


def test_a_value_within_the_range_agrees_and_one_outside_does_not():
    low, high = (100 * FOUND.now.narrowed.foretold[0].low_fraction, FOUND.readings[0].high)
    inside, outside = 0.5 * (low + high), 1.06 * high
    agrees, not_so = (
        case_now(with_reads(read(20, 0.01 * one)), 20.0).answers["agrees"]
        for one in (inside, outside)
    )

    assert " agrees with what is expected" in agrees.sentence
    assert agrees.todo == ""
    assert "does not agree with what is expected" in not_so.sentence
    assert not_so.todo
    assert (agrees.value, not_so.value) == (None, None)


def test_before_anything_is_measured_the_reading_is_asked_for():
    answer = case_now(BARE, 10.0).answers["agrees"]

    assert answer.sentence == "Nothing was measured yet."
    assert answer.settles == "Read the end-tidal value."
    assert answer.low is None


def test_readings_that_lie_ahead_are_not_used():
    later = with_reads(read(31, 0.011))

    assert case_now(later, 30.0).readings == ()
    assert len(case_now(later, 31.0).readings) == 1


def test_a_value_read_before_any_gas_is_not_believed():
    late = replace(BARE, settings=(replace(ON, at_min=20.0),), readings=(read(5, 0.01),))

    assert [one.believed for one in case_now(late, 30.0).readings] == [False]


def test_it_wakes_later_after_more_agent():
    short, long = (
        case_now(replace(BARE, settings=(replace(ON, dial_fraction=dial),)), 60.0).answers["waking"]
        for dial in (0.02, 0.03)
    )

    assert 1.0 < short.value < long.value
    assert short.low < short.value < short.high
    assert short.sentence.endswith("from now if the agent is turned off now.")


def test_a_higher_level_measured_means_a_later_waking():
    lower, higher = (
        case_now(with_reads(read(50, level), read(60, level)), 60.0).answers["waking"]
        for level in (0.0115, 0.0155)
    )

    assert lower.value < higher.value


def test_after_the_agent_is_off_the_time_runs_down():
    off = replace(BARE, settings=(ON, SetTo(at_min=60, dial_fraction=0, oxygen_l_min=3.0)))
    times = [case_now(off, at).answers["waking"] for at in (60.0, 63.0, 66.0)]

    assert times[0].value > times[1].value > times[2].value
    assert "stays off" in times[1].sentence
    assert case_now(off, 150.0).answers["waking"].value == 0.0
    assert "at any moment" in case_now(off, 150.0).answers["waking"].sentence


def test_before_any_agent_no_time_of_waking_is_told():
    oxygen = replace(BARE, settings=(replace(ON, dial_fraction=0.0),))

    for case, at in ((BARE, 0.0), (oxygen, 20.0)):
        answer = case_now(case, at).answers["waking"]
        assert (answer.value, answer.sentence) == (None, "No agent was given yet.")


def test_where_nobody_studied_waking_no_time_is_invented():
    horse = CaseSubject(species="horse", weight_kg=500.0, agent="enflurane")
    answer = case_now(replace(BARE, subject=horse), 20.0).answers["waking"]

    assert answer.value is None
    assert answer.settles.endswith("no time is invented.")


def test_a_circle_that_is_hardly_flushed_wakes_it_late():
    deep, nearly_shut = replace(ON, dial_fraction=0.03), {"dial_fraction": 0.03, "at_min": 59}
    open_one, shut = (
        case_now(
            replace(BARE, settings=(deep, replace(ON, **nearly_shut, oxygen_l_min=flow))), 60.0
        ).answers["waking"]
        for flow in (4.0, 0.05)
    )

    assert shut.value is None or shut.value > 2.0 * open_one.value


def test_small_animals_are_sampled_with_fresh_gas():
    on = replace(ON, system="nose cone")
    mouse = RunningCase(subject=MOUSE, settings=(on,), draws=20, readings=(read(10, 0.015),))
    said = "In an animal as small as this, end-tidal values read low: fresh gas is sampled too."

    assert said in case_now(mouse, 10.0).answers["end_tidal"].cautions
    assert said not in case_now(replace(mouse, readings=()), 10.0).answers["end_tidal"].cautions
    assert said not in FOUND.answers["end_tidal"].cautions


def test_without_fresh_gas_it_is_said_that_no_agent_is_taken_to_come():
    dry = replace(BARE, settings=(ON, replace(ON, at_min=10, oxygen_l_min=0.0)))

    told = case_now(dry, 20.0).answers["end_tidal"].assumptions
    assert any(one.startswith("No fresh gas flows as it is written") for one in told)


def test_a_vaporizer_that_was_tested_narrows_the_forecast():
    tested = replace(BARE, subject=replace(DOG, vaporizer_accuracy_share=0.05))

    assert width(case_now(tested, 30.0).answers["inspired"]) < 0.9 * width(
        case_now(BARE, 30.0).answers["inspired"]
    )
    assert doubt("isoflurane", 0.0).staying_share == pytest.approx(0.08 / np.sqrt(2.0))


def test_everything_by_name_is_fit_for_json():
    told = json.loads(json.dumps(FOUND.as_dict()))

    assert set(told) == {
        "at_min",
        "answers",
        "levels",
        "readings",
        "effective_draws",
        "readings_in_full",
    }
    assert told["readings"][0]["kind"] == "end-tidal"


def test_the_same_case_gives_the_same_answers():
    again = case_now(with_reads(read(20, 0.0105), read(30, 0.0115, 0.0165)), 30.0)

    assert again.answers == FOUND.answers
    assert again.levels == FOUND.levels


def test_many_readings_far_from_all_draws_count_less():
    far = with_reads(*(read(at, 0.0170 - 1e-5 * at) for at in range(10, 60)))
    found = case_now(far, 60.0)

    assert found.effective_draws >= 6.0 - 1e-6
    few = "Few of the drawn animals explain what was read, so it counts less than in full."
    assert (few in found.answers["brain"].cautions) is not found.readings_in_full


settings_written = st.builds(
    SetTo,
    at_min=st.sampled_from([0, 1e-5, 5, 5.0004, 30, 60]),
    dial_fraction=st.sampled_from([0.0, 0.01, 0.05, 0.5]),
    oxygen_l_min=st.sampled_from([0.0, 1e-3, 1.0, 200.0]),
    nitrous_oxide_l_min=st.sampled_from([0.0, 0.0, 2.0]),
    system=st.sampled_from(["circle", "T-piece", "chamber", ""]),
    ventilator_l_min=st.sampled_from([None, None, 0.0, 5.0]),
    chamber_l=st.sampled_from([None, 0.001, 4.0]),
)
values_read = st.builds(
    read,
    st.sampled_from([0.0, 5.0, 30.0, 70.0]),
    st.sampled_from([None, 0.0, 0.012, 1.0]),
    st.sampled_from([0.0, 0.02]),
    st.sampled_from([None, 1e-12, 0.1, 1e300, inf]),
)


def answered(case, at):
    """The case, or the sentence why there is none."""
    try:
        return case_now(case, at), ""
    except UllageError as error:
        return None, str(error)


@settings(max_examples=25, deadline=None)
@given(
    st.sampled_from([DOG, MOUSE]),
    st.lists(settings_written, max_size=4),
    st.lists(values_read, max_size=4),
    st.sampled_from([0.0, 5.0, 60.0, 90.0]),
)
def test_whatever_is_written_there_are_numbers_that_can_be_or_a_sentence(who, rows, values, at):
    case = RunningCase(subject=who, settings=tuple(rows), readings=tuple(values), draws=20)
    found, said = answered(case, at)
    if found is None:
        assert said.endswith(".")
        return
    for one in found.levels:
        for low, middle, high in (one.inspired, one.end_tidal, one.brain):
            assert 0.0 <= low <= middle <= high < inf
    assert json.dumps(found.as_dict(), allow_nan=False)
    assert len(found.readings) <= 2 * len(values)


# --- what a change would do ---------------------------------------------------------------------


def test_the_usual_changes_are_told_before_and_after():
    told = FOUND.changes

    assert [one.words for one in told] == [
        "Flow halved",
        "Flow doubled",
        "Dial up 0.5 %",
        "Dial down 0.5 %",
    ]
    for one in told:
        assert one.sentence.startswith(one.words)
        assert one.sentence.endswith(".")
        assert {row.name for row in one.rows} >= {
            "inspired_ahead",
            "end_tidal_ahead",
            "brain_ahead",
        }
        assert json.dumps(one.as_dict())


def test_a_dial_turned_up_lifts_every_level_and_moves_no_other_figure():
    rows = {one.name: one for one in changes_now(FOUND, Change(dial_step_fraction=0.01)).rows}

    assert set(rows) == {"inspired_ahead", "end_tidal_ahead", "brain_ahead"}
    assert all(one.after.value > one.before.value for one in rows.values())
    assert rows["end_tidal_ahead"].before == FOUND.answers["end_tidal_ahead"]


def test_more_flow_wakes_it_sooner():
    deep = case_now(replace(BARE, settings=(replace(ON, dial_fraction=0.03),)), 60.0)
    rows = {one.name: one for one in changes_now(deep, Change(flow_factor=4.0)).rows}

    assert rows["waking"].after.value < rows["waking"].before.value
    assert rows["waking"].before == deep.answers["waking"]


def test_another_system_is_led_from_now_on():
    told = changes_now(FOUND, Change(system="T-piece"))
    rows = {one.name: one for one in told.rows}

    assert told.words == "On a T-piece"
    assert rows["inspired_ahead"].after.value == pytest.approx(2.0, rel=0.2)


def test_a_change_is_as_if_it_had_been_written():
    step = Change(dial_step_fraction=0.01)
    after = {one.name: one.after for one in changes_now(case_now(BARE, 30.0), step).rows}
    written = replace(BARE, settings=(ON, replace(ON, at_min=30.0, dial_fraction=0.03)))
    found = case_now(written, 30.0).answers["end_tidal_ahead"]

    assert after["end_tidal_ahead"].value == pytest.approx(found.value, rel=1e-6)


def test_a_dial_does_not_go_beyond_its_ends():
    off = case_now(replace(BARE, settings=(replace(ON, dial_fraction=0.0),)), 10.0)
    top = case_now(replace(BARE, settings=(replace(ON, dial_fraction=0.05),)), 10.0)

    assert "Dial down 0.5 %" not in [one.words for one in off.changes]
    assert "Dial up 0.5 %" not in [one.words for one in top.changes]
    with pytest.raises(RuleBroken, match="Nothing would change"):
        changes_now(off, Change(dial_step_fraction=-0.01))


def test_a_flow_that_starves_the_animal_is_not_offered():
    least = replace(BARE, settings=(replace(ON, oxygen_l_min=0.25),))

    assert "Flow halved" not in [one.words for one in case_now(least, 10.0).changes]


@pytest.mark.parametrize("change", [Change(), Change(system="circle"), Change(flow_factor=1.0)])
def test_a_change_of_nothing_is_refused(change):
    with pytest.raises(RuleBroken, match="Nothing would change"):
        changes_now(FOUND, change)


def test_a_change_that_cannot_be_is_refused():
    strong = case_now(replace(BARE, settings=(replace(ON, oxygen_l_min=10.0),)), 5.0)

    with pytest.raises(InvalidQuantity, match="oxygen_l_min"):
        changes_now(strong, Change(flow_factor=99.0))
    with pytest.raises(UnknownReference, match="submarine"):
        changes_now(FOUND, Change(system="submarine"))


# --- readings -----------------------------------------------------------------------------------


def test_the_error_of_a_reading_holds_breath_and_the_step_of_the_show():
    # 0.1 % steps: 0.1 / sqrt(12) of 1.2 % is 2.4 %; with 3 % of breath and eye 3.84 %
    assert reading_error_share(0.012) == pytest.approx(0.0384, abs=1e-4)
    assert reading_error_share(0.0) > 1.0


def test_a_reading_of_both_levels_counts_as_two_values():
    both = measured_by(with_reads(read(20, 0.012, 0.018, 0.1)), 20.0)

    assert [one.kind.value for one in both] == ["end-tidal", "inspired"]
    assert [one.error_share for one in both] == [0.1, 0.1]
    assert len(now_of(with_reads(read(20, 0.012, 0.018)), 20.0).narrowed.foretold) == 2


@pytest.mark.parametrize(
    "given_values",
    [
        {"end_tidal": 1.3},
        {"end_tidal": -0.01},
        {"inspired": float("nan")},
        {"end_tidal": 0.01, "error": 0.0},
        {"end_tidal": 0.01, "error": -1.0},
        {"end_tidal": 0.01, "error": float("nan")},
    ],
)
def test_a_reading_that_cannot_be_is_refused(given_values):
    with pytest.raises(InvalidQuantity, match=r"fraction read|error_share"):
        read(10, **given_values)


def test_a_reading_of_nothing_is_refused():
    with pytest.raises(RuleBroken, match="needs an end-tidal or an inspired value"):
        read(10)


@pytest.mark.parametrize("at", [-1.0, float("nan"), float("inf"), 1e6])
def test_a_time_that_cannot_be_is_refused(at):
    with pytest.raises(InvalidQuantity, match="at_min"):
        case_now(BARE, at)
    with pytest.raises(InvalidQuantity, match="at_min"):
        read(at, 0.01)
