"""What a whole check comes to, from its entries in their order."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.answers.checks.entered import entry, passed, the_step
from ullage.answers import Verdict
from ullage.answers.checks import CheckEntry, check_list, check_result, shipped_lists, step_result

DAY = check_list("start_of_day")
BAD_LEAK = {"held_kpa": "30 cmH2O", "held_flow_l_min": "450 mL/min"}
DOUBTFUL = {"held_kpa": "20 cmH2O", "held_flow_l_min": "220 mL/min"}
EVERY_LIST = pytest.mark.parametrize("check", shipped_lists(), ids=lambda one: one.key)


@EVERY_LIST
def test_a_list_with_every_step_passed_says_that_the_machine_may_be_used(check):
    found = check_result(check, passed(check))

    assert found.verdict is Verdict.FINE
    assert found.value == len(check.steps)
    assert found.sentence.startswith("May be used:")
    assert not found.settles


@EVERY_LIST
def test_no_check_ends_before_the_relief_valve_is_its_own_entry(check):
    found = check_result(check, passed(check)[:-1])

    assert found.verdict is Verdict.NOT_YET
    assert check.steps[-1].title in found.sentence
    assert (found.value, found.low, found.high) == (None, len(check.steps) - 1, len(check.steps))


@EVERY_LIST
def test_any_step_that_is_open_keeps_a_check_open(check):
    entries = passed(check)
    for count in range(len(entries)):
        found = check_result(check, entries[:count] + entries[count + 1 :])
        assert found.verdict is Verdict.NOT_YET


@EVERY_LIST
def test_a_grave_step_that_fails_stops_whatever_else_was_entered(check):
    for step in check.steps:
        if step.grave and not step.measures:
            found = check_result(check, passed(check, **{step.key: {"good": False}}))
            assert found.verdict is Verdict.STOP
            assert found.sentence == f"May not be used: {step.title}."
            assert found.todo == step.todo


def test_a_failed_leak_stops_and_a_second_try_that_passes_frees():
    entries = passed(DAY, leak=BAD_LEAK)
    again = [*entries, entry(the_step("start_of_day", "leak")), entries[-1]]

    assert (
        check_result(DAY, entries).sentence == "May not be used: Breathing system holds pressure."
    )
    assert check_result(DAY, again).verdict is Verdict.FINE


def test_a_failure_stops_even_while_steps_are_open():
    found = check_result(DAY, [entry(the_step("start_of_day", "leak"), BAD_LEAK)])

    assert found.verdict is Verdict.STOP


def test_a_step_measured_after_the_valve_was_opened_asks_for_the_valve_again():
    entries = passed(DAY)
    shut = [*entries, entry(the_step("start_of_day", "leak"))]

    assert check_result(DAY, shut).verdict is Verdict.NOT_YET
    assert "shut again" in " ".join(check_result(DAY, shut).reasons)
    assert check_result(DAY, [*shut, entries[-1]]).verdict is Verdict.FINE


def test_a_step_that_shuts_nothing_may_come_after_the_valve():
    entries = [*passed(DAY), entry(the_step("start_of_day", "flowmeters"))]

    assert check_result(DAY, entries).verdict is Verdict.FINE


def test_a_measurement_that_needs_a_second_look_is_not_done_yet():
    found = check_result(DAY, passed(DAY, leak=DOUBTFUL))

    assert found.verdict is Verdict.NOT_YET
    assert "Test at the limit's pressure" in found.todo


def test_a_part_that_is_missing_lets_the_machine_be_used_with_something():
    found = check_result(DAY, passed(DAY, oxygen_failure_alarm={"absent": True}))

    assert found.verdict is Verdict.LOOK_AGAIN
    assert found.sentence == (
        "May be used with: someone who watches the oxygen gauge, since no alarm would tell."
    )
    assert found.value == len(DAY.steps) - 1


def test_an_open_step_comes_before_what_the_machine_would_be_used_with():
    entries = passed(DAY, oxygen_failure_alarm={"absent": True})
    found = check_result(DAY, [one for one in entries if one.step != "flowmeters"])

    assert found.verdict is Verdict.NOT_YET
    assert found.sentence == "Not yet: Flowmeters: floats free over the whole range."


def test_a_step_that_is_not_grave_lets_the_machine_be_used_with_something():
    case = check_list("before_each_case")
    found = check_result(case, passed(case, monitors={"good": False}))

    assert found.verdict is Verdict.LOOK_AGAIN
    assert found.sentence.startswith("May be used with: someone who watches the animal")


def test_no_leak_limit_means_not_yet_for_the_whole():
    step = the_step("start_of_day", "leak")
    unset = step_result(step, {"held_kpa": "30 cmH2O", "held_flow_l_min": "10 mL/min"})
    entries = [
        CheckEntry(step="leak", answer=unset) if one.step == "leak" else one for one in passed(DAY)
    ]

    found = check_result(DAY, entries)
    assert found.verdict is Verdict.NOT_YET
    assert "Which leak does this site accept" in found.settles


def test_entries_of_steps_that_the_list_does_not_have_are_passed_over():
    other = entry(the_step("monthly", "flush"), {"bag_l": "3 L", "elapsed_min": "12 s"})

    assert check_result(DAY, [other, *passed(DAY)]).verdict is Verdict.FINE


def test_nothing_entered_is_not_yet_and_says_how_much_is_open():
    found = check_result(DAY, [])

    assert (found.low, found.high) == (0.0, 10.0)
    assert found.sentence == "Not yet: 10 of 10 steps are open."


@given(st.data())
def test_no_order_of_entries_makes_a_check_with_a_failed_step_usable(data):
    wrong = data.draw(st.sampled_from([one for one in DAY.steps if not one.measures]))
    entries = data.draw(st.permutations(passed(DAY, **{wrong.key: {"good": False}})))
    kept = entries[: data.draw(st.integers(0, len(entries)))]

    verdict = check_result(DAY, kept).verdict
    failed = any(one.step == wrong.key for one in kept)
    assert verdict is (Verdict.STOP if failed else Verdict.NOT_YET)
