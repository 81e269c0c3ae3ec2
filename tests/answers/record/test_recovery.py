"""Recovery: steps by species, what is unmet, and an animal that gets worse again."""

from datetime import timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.answers.record.cases import BEGAN
from ullage.answers import Verdict, WhereFrom
from ullage.answers.record.recovery import (
    RecoverySaid,
    RecoveryStep,
    recovery_left,
    recovery_steps,
)
from ullage.core.errors import InvalidQuantity, PlanUnreadable, UnknownReference

RUMINANT = ("chest_down", "head_up", "mouth_checked", "tube_late")


def keys(species, **more):
    return [one.key for one in recovery_steps(species, **more)]


def said(step, is_met=True, minute=0, by=""):
    return RecoverySaid(step=step, is_met=is_met, at=BEGAN + timedelta(minutes=minute), by=by)


def all_met(steps, minute=0):
    return [said(one.key, minute=minute) for one in steps]


@pytest.mark.parametrize("species", ["sheep", "goat", "cattle", "llama", "alpaca", "Sheep "])
def test_ruminants_are_turned_drained_and_keep_their_tube(species):
    steps = {one.key: one for one in recovery_steps(species)}

    assert tuple(steps)[1:5] == RUMINANT
    assert "cuff partly inflated" in steps["tube_late"].text
    assert "nose low" in steps["head_up"].text
    assert {steps[one].where_from.how_known for one in RUMINANT} == {"common"}


@pytest.mark.parametrize("species", ["cat", "mouse", "pig", "chicken", "unicorn"])
def test_no_other_animal_is_asked_for_them(species):
    assert not set(keys(species)) & set(RUMINANT)


@pytest.mark.published("records_standards")
def test_rodents_recover_alone_over_half_a_pad_until_they_groom():
    # records_standards REC-029 (Wayne State): heat under half of cage, recover singly, walking
    # normally and grooming; REC-037: sternal, warm
    steps = {one.key: one for one in recovery_steps("mouse")}

    assert {"single", "half_heat", "grooms", "walks", "sternal", "warm"} <= set(steps)
    assert {one.where_from.how_known for one in steps.values()} == {"seen"}
    assert [one.key for one in steps.values() if one.is_criterion] == [
        "sternal",
        "warm",
        "walks",
        "grooms",
    ]


def test_a_person_stays_with_every_animal():
    assert all(keys(one)[0] == "person" for one in ("mouse", "sheep", "cat", "chicken"))


@pytest.mark.parametrize("species", ["cat", "mouse"])
def test_no_number_is_asked_for_unless_the_site_sets_one(species):
    assert "temperature" not in keys(species)
    answer = recovery_left(recovery_steps(species), [])

    assert answer.assumptions[0].startswith("No number is asked for; 36.7 °C or more is in use")
    assert "memory" in {one.how_known for one in answer.where_from}


def test_a_site_sets_its_own_temperature():
    steps = recovery_steps("dog", temperature_c=37.0)
    one = next(one for one in steps if one.key == "temperature")

    assert one.text == "Its temperature is 37 °C or more."
    assert one.where_from.how_known == "site"
    assert recovery_left(steps, []).assumptions == ()


@pytest.mark.parametrize("temperature", [0.0, 98.6, float("nan"), -1.0])
def test_a_temperature_that_no_animal_has_is_refused(temperature):
    with pytest.raises(InvalidQuantity, match="temperature_c"):
        recovery_steps("dog", temperature_c=temperature)


def test_a_site_adds_and_takes_out_steps():
    own = RecoveryStep(
        key="drinks",
        text="It drinks.",
        where_from=WhereFrom(source="site_rule", how_known="site", text="Asked for by the site."),
    )

    assert keys("mouse", own=[own], without=["grooms"])[-1] == "drinks"
    assert "grooms" not in keys("mouse", without=["grooms"])
    with pytest.raises(UnknownReference, match="'grooms' is no step of recovery for a cat"):
        recovery_steps("cat", without=["grooms"])


@pytest.mark.parametrize("species", ["cat", "mouse", "sheep"])
def test_a_case_closes_only_when_every_step_is_met(species):
    steps = recovery_steps(species)
    for left_out in steps:
        words = [one for one in all_met(steps) if one.step != left_out.key]
        answer = recovery_left(steps, words)
        assert answer.verdict is Verdict.NOT_YET
        assert answer.value == 1.0
        assert answer.settles.startswith("Is it so: ")

    whole = recovery_left(steps, all_met(steps))
    assert whole.verdict is Verdict.FINE
    assert whole.value == 0.0
    assert whole.sentence == "Recovery is over: every step is met."


def test_what_nobody_said_is_not_recorded():
    answer = recovery_left(recovery_steps("cat"), [])

    assert {one.result for one in answer.steps} == {"not recorded"}
    assert answer.sentence == "Recovery is open: 4 of 4 steps are unmet."


def test_a_word_of_no_is_not_met_and_names_who_said_so():
    answer = recovery_left(recovery_steps("cat"), [said("sternal", False, 12, "M. Orr")])
    line = next(one for one in answer.steps if one.what.startswith("It lies on"))

    assert (line.result, line.note) == ("not met", "Seen at 09:12 UTC by M. Orr.")


def test_an_animal_that_gets_worse_opens_its_recovery_again():
    steps = recovery_steps("cat")
    answer = recovery_left(steps, [*all_met(steps), said("sternal", False, 30)])

    assert answer.verdict is Verdict.NOT_YET
    assert answer.sentence == (
        "Recovery is open again: it lies on its chest by itself no longer holds."
    )
    assert answer.todo.startswith("Go to the animal")
    assert "no longer met" in {one.result for one in answer.steps}


def test_the_later_word_counts_in_whatever_order_they_arrive():
    steps = recovery_steps("cat")
    words = [said("sternal", True, 40), *all_met(steps), said("sternal", False, 30)]

    assert recovery_left(steps, words).verdict is Verdict.FINE


def test_words_on_steps_that_are_not_asked_for_change_nothing():
    steps = recovery_steps("cat")

    assert recovery_left(steps, [*all_met(steps), said("grooms", False, 50)]).value == 0.0


def test_a_word_without_a_zone_is_refused():
    with pytest.raises(PlanUnreadable, match="needs its zone"):
        RecoverySaid(step="warm", is_met=True, at=BEGAN.replace(tzinfo=None))


def test_without_any_step_nothing_is_over():
    answer = recovery_left((), [])

    assert answer.verdict is Verdict.NOT_YET
    assert answer.sentence == "Nothing says when this recovery is over."


@given(
    st.lists(
        st.tuples(
            st.sampled_from(["person", "sternal", "warm", "walks"]),
            st.booleans(),
            st.integers(0, 500),
        ),
        unique_by=lambda one: one[2],
    )
)
def test_unmet_are_those_whose_last_word_is_not_yes(words):
    steps = recovery_steps("cat")
    last = {step: is_met for step, is_met, _ in sorted(words, key=lambda one: one[2])}
    answer = recovery_left(steps, [said(*one) for one in words])

    assert answer.value == sum(not last.get(one.key, False) for one in steps)
    assert (answer.verdict is Verdict.FINE) == (answer.value == 0.0)
