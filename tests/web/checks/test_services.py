"""Checks: every step its own entry, nothing lost, nothing ended too early, and who may."""

from uuid import uuid4

import pytest
from django.http import Http404

from ullage.answers import Verdict
from ullage.core.errors import RuleBroken, UnknownReference, UnreadableQuantity
from ullage.web.checks.models import Check, Entry
from ullage.web.checks.selectors import check_lines, entries_of, list_of, next_step
from ullage.web.checks.services import (
    Given,
    check_begin,
    check_end,
    check_give_up,
    no_animal_say,
    step_enter,
)
from ullage.web.machines.models import Machine, UseState

pytestmark = pytest.mark.web


def state_of(machine):
    return Machine.objects.get(pk=machine.pk).state


def test_a_check_with_every_step_passed_lets_the_machine_be_used(check, fill, leak_limit, operator):
    check_end(check=fill(check), by=operator)

    assert check.verdict == Verdict.FINE
    assert check.result["sentence"] == "May be used: 10 of 10 steps passed."
    assert state_of(check.machine) == UseState.IN_USE


def test_until_the_site_sets_its_leak_limit_the_verdict_is_not_yet(check, fill, operator):
    check_end(check=fill(check), by=operator)

    assert check.verdict == Verdict.NOT_YET
    assert check.entries.get(step="leak", word="step").verdict == Verdict.NOT_YET


def test_a_machine_that_leaks_goes_out_of_use_with_the_reason(
    check, enter, fill, leak_limit, operator
):
    enter(check, "leak", held_kpa=2.942, held_flow_l_min=0.45)
    check_end(check=fill(check), by=operator)

    machine = Machine.objects.get(pk=check.machine.pk)
    assert (check.verdict, machine.state) == (Verdict.STOP, UseState.OUT)
    assert machine.state_reason == "Start of day failed: Breathing system holds pressure."
    assert machine.state_changes.get().record_code == check.code


def test_the_second_try_counts_and_the_first_stays(check, enter, fill, leak_limit, operator):
    enter(check, "leak", held_kpa=2.942, held_flow_l_min=0.45)
    enter(check, "leak", held_kpa=2.942, held_flow_l_min=0.1)
    check_end(check=fill(check), by=operator)

    tried = [one.verdict for one in check.entries.filter(step="leak", word="step")]
    assert tried == [Verdict.STOP, Verdict.FINE]
    assert (check.verdict, state_of(check.machine)) == (Verdict.FINE, UseState.IN_USE)


def test_a_step_that_shuts_a_way_for_gas_first_asks_for_an_animal(check, operator):
    given = Given(values={"held_kpa": 2.942, "held_flow_l_min": 0.1})

    with pytest.raises(RuleBroken, match="First look and say that no animal is connected"):
        step_enter(check=check, key="leak", given=given, by=operator)
    no_animal_say(check=check, step="leak", by=operator, code=uuid4())
    step_enter(check=check, key="leak", given=given, by=operator)
    again = Given(values=given.values)
    with pytest.raises(RuleBroken, match="First look"):
        step_enter(check=check, key="leak", given=again, by=operator)
    assert check.entries.filter(step="leak").count() == 2


def test_no_check_ends_before_the_relief_valve_is_an_entry_of_its_own(
    check, enter, leak_limit, operator
):
    for step in list_of(check).steps[:-1]:
        enter(check, step.key)
    with pytest.raises(RuleBroken, match="A check ends with its last step: Relief valve open"):
        check_end(check=check, by=operator)
    assert Check.objects.get(pk=check.pk).ended_at is None


def test_a_check_that_was_left_is_taken_up_with_all_that_was_entered(check, enter, machine, lead):
    enter(check, "flowmeters")

    again = check_begin(machine=machine, key="start_of_day", by=lead)
    assert again == check
    assert [one.step for one in entries_of(again)] == ["flowmeters"]
    assert next_step(check_lines(again)).step.key == "self_inflating_bag"


def test_the_same_form_sent_twice_is_one_entry(check, operator, machine):
    given = Given(values={"good": True})
    first = step_enter(check=check, key="flowmeters", given=given, by=operator)

    assert step_enter(check=check, key="flowmeters", given=given, by=operator) == first
    other = check_begin(machine=machine, key="monthly", by=operator)
    with pytest.raises(RuleBroken, match="belongs to another check"):
        step_enter(check=other, key="flowmeters", given=given, by=operator)
    assert Entry.objects.count() == 1


def test_who_may_not_operate_enters_and_ends_nothing(check, fill, viewer, stranger, leak_limit):
    with pytest.raises(RuleBroken, match="An operator, a lead or a veterinarian fills in"):
        step_enter(check=check, key="flowmeters", given=Given(values={"good": True}), by=viewer)
    fill(check)
    with pytest.raises(RuleBroken, match="fills in"):
        check_end(check=check, by=viewer)
    with pytest.raises(Http404, match=r"^$"):
        check_end(check=check, by=stranger)
    assert Check.objects.get(pk=check.pk).ended_at is None


def test_what_ended_takes_no_further_entry(check, operator):
    with pytest.raises(RuleBroken, match="Say why"):
        check_give_up(check=check, reason="  ", by=operator)
    check_give_up(check=check, reason="Called away.", by=operator)

    with pytest.raises(RuleBroken, match="This check has ended"):
        step_enter(check=check, key="flowmeters", given=Given(values={"good": True}), by=operator)
    assert check_begin(machine=check.machine, key="start_of_day", by=operator) != check


@pytest.mark.parametrize(
    ("key", "values", "sentence"),
    [
        ("flowmeters", {"speed": 3.0}, "does not ask for 'speed'"),
        ("oxygen_analyser", {"air_fraction": float("nan")}, "is not a number"),
        ("oxygen_analyser", {"air_fraction": 21.0}, "cannot be; it lies between"),
    ],
)
def test_a_value_that_cannot_be_is_refused_and_nothing_is_written(
    check, operator, key, values, sentence
):
    with pytest.raises(UnreadableQuantity, match=sentence):
        step_enter(check=check, key=key, given=Given(values=values), by=operator)
    assert not check.entries.exists()


def test_a_list_or_a_step_that_does_not_exist_is_named(check, machine, operator):
    with pytest.raises(UnknownReference, match="evening"):
        check_begin(machine=machine, key="evening", by=operator)
    with pytest.raises(RuleBroken, match="no step sing"):
        step_enter(check=check, key="sing", given=Given(values={"good": True}), by=operator)
