"""When a case may be closed: each animal recovered or dead, the gas off, nothing waiting."""

from datetime import timedelta, timezone

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.answers.record.cases import BEGAN, entry, opened
from ullage.answers import Verdict
from ullage.answers.record.beginning import Override
from ullage.answers.record.closing import animal_ends, animals_in, animals_text, may_case_close
from ullage.answers.record.recovery import recovery_steps
from ullage.answers.record.things import EntryKind, Times

STEPS = recovery_steps("cat")
WHO = Override(by="Anneke Vray", reason="It goes to the ward.")


def happened(order, what, minute=0.0, animal="", **details):
    at = BEGAN + timedelta(minutes=minute)
    return entry(
        order, what, "", kind=EntryKind.EVENT, animal=animal, details=details,
        times=Times(observed=at, written=at, received=at),
    )  # fmt: skip


def begun(*more, facts=None):
    return [opened(facts=facts or {"species": "cat"}), happened(2, "anaesthesia began"), *more]


def step(order, key, met="yes", minute=1.0, animal=""):
    return happened(order, "recovery step", minute, animal, step=key, met=met)


def all_met(animal="", first=3):
    return [
        step(first + at, one.key, minute=1.0 + at, animal=animal) for at, one in enumerate(STEPS)
    ]


def test_a_case_closes_when_every_step_is_met():
    assert may_case_close(begun(), STEPS).verdict is Verdict.NOT_YET
    assert may_case_close(begun(*all_met()), STEPS).verdict is Verdict.FINE


def test_an_animal_that_gets_worse_opens_it_again():
    lines = begun(*all_met(), step(20, "sternal", "no", minute=30.0))
    answer = may_case_close(lines, STEPS)
    assert answer.verdict is Verdict.NOT_YET
    assert "no longer holds" in answer.steps[0].note


@pytest.mark.parametrize("word", ["died", "killed"])
def test_of_a_dead_animal_no_recovery_is_asked(word):
    lines = begun(happened(3, word, 12.0))
    (end,) = animal_ends(lines, STEPS)
    assert (end.died, end.died_at, end.is_over) == (word, BEGAN + timedelta(minutes=12), True)
    assert may_case_close(lines, STEPS).verdict is Verdict.FINE


def test_a_case_that_never_began_asks_for_no_recovery():
    assert may_case_close([opened()], STEPS).verdict is Verdict.FINE


@pytest.mark.parametrize(
    ("more", "about"),
    [({"gas_flows": True}, "gas"), ({"waiting": 1}, "not taken"), ({"waiting": 3}, "not taken")],
)
def test_gas_that_flows_and_what_waits_keep_it_open(more, about):
    answer = may_case_close(begun(*all_met()), STEPS, **more)
    assert answer.verdict is Verdict.NOT_YET
    assert [one.what for one in answer.steps] == [about]


def test_who_is_named_closes_it_all_the_same_and_what_is_open_is_said():
    answer = may_case_close(begun(), STEPS, override=WHO)
    assert answer.verdict is Verdict.LOOK_AGAIN
    assert "(recovery); Anneke Vray answers for it" in answer.sentence
    half = Override(by="Anneke Vray")
    assert may_case_close(begun(), STEPS, override=half).verdict is Verdict.NOT_YET


GROUP = {"species": "mouse", "group": "yes", "animals": "M1; M2"}


def test_each_animal_of_a_group_is_asked_about():
    lines = begun(*all_met("M1"), facts=GROUP)
    assert animals_in(lines) == ("M1", "M2")
    assert [one.is_over for one in animal_ends(lines, STEPS)] == [True, False]
    assert [one.what for one in may_case_close(lines, STEPS).steps] == ["recovery of M2"]
    dead = [*lines, happened(30, "died", 9.0, "M2")]
    assert may_case_close(dead, STEPS).verdict is Verdict.FINE


def test_an_entry_that_names_no_animal_counts_for_all_of_a_group():
    assert may_case_close(begun(*all_met(), facts=GROUP), STEPS).verdict is Verdict.FINE


def test_an_animal_that_entries_name_is_of_the_group_though_nobody_listed_it():
    lines = begun(happened(3, "connected", animal="M9"), facts=GROUP)
    assert animals_in(lines) == ("M1", "M2", "M9")
    assert animals_in(begun(happened(3, "connected", animal="M9"))) == ()


NAMES = st.lists(st.text("abcXYZ 019-", min_size=1).map(str.strip).filter(bool), max_size=8)


@given(NAMES)
def test_the_animals_of_a_group_are_read_as_they_were_written(names):
    lines = [opened(facts={**GROUP, "animals": animals_text(names)})]
    assert animals_in(lines) == tuple(dict.fromkeys(names))


def test_steps_of_recovery_tell_the_clock_of_the_place():
    lines = begun(step(3, "sternal", "yes", minute=16.0))
    place = timezone(timedelta(hours=12))
    notes = [one.note for end in animal_ends(lines, STEPS, place) for one in end.answer.steps]

    # 09:16 UTC is 21:16 there
    assert [one[:14] for one in notes if one] == ["Seen at 21:16 "]
