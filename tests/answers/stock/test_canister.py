"""Charcoal by weight, by what flowed to it, and by hours: against printed rows and each other."""

import pytest

from ullage.answers.agent_use import Delivery
from ullage.answers.answer import Verdict
from ullage.answers.stock import Canister, canister_full, held_g
from ullage.core.errors import InvalidQuantity, UnknownReference
from ullage.reference import fact


def flow(agent="isoflurane", percent=2.0, l_min=1.0, hours=1.0):
    return Delivery(
        agent=agent, fraction=percent / 100.0, fresh_gas_l_min=l_min, minutes=60.0 * hours
    )


# University rules of 50 g (Buffalo, Connecticut, Wayne State), and arithmetic.
@pytest.mark.published("machine_S138")
@pytest.mark.parametrize(
    ("row", "given"),
    [
        ("CC01", flow()),
        ("CC02", flow(percent=1.5, l_min=0.5)),
        ("CC03", flow(percent=5.0, l_min=2.0)),
        ("CC04", flow("sevoflurane", percent=3.0)),
    ],
)
def test_hours_until_it_is_fifty_grams_heavier(row, given):
    printed = fact("machine_checks", row)

    assert 50.0 / held_g(given) == pytest.approx(printed.number, abs=float(printed.spread))


# University of Buffalo, SOP 4.A.16: 50 g or 12 h, whichever first; below that keep, and warn.
@pytest.mark.published("machine_S138")
@pytest.mark.parametrize(
    ("row", "now_g", "hours", "words"),
    [
        ("CC07", 859.0, 12.5, "replace"),
        ("CC08", 863.0, 3.0, "replace"),
        ("CC09", 850.0, 5.0, "keep"),
    ],
)
def test_the_printed_decisions(row, now_g, hours, words):
    answer = canister_full(Canister(start_g=812.0, now_g=now_g, hours_h=hours))

    assert fact("machine_checks", row).value == words
    assert answer.verdict is (Verdict.STOP if words == "replace" else Verdict.FINE)


# Smith and Bolon 2003: agent passed canisters that were not yet 50 g heavier.
@pytest.mark.published("machine_S143")
def test_weight_alone_is_said_to_be_no_proof_whatever_the_verdict():
    for now_g in (815.0, 870.0):
        answer = canister_full(Canister(start_g=812.0, now_g=now_g, hours_h=1.0))

        assert any("46, 8 and 27 %" in line for line in answer.cautions)
        assert "machine_S143" in answer.sources


def test_it_is_full_by_what_flowed_before_its_weight_says_so():
    passed = (flow(hours=3.0), flow(percent=5.0, l_min=1.0, hours=1.0))
    answer = canister_full(Canister(start_g=212.0, now_g=243.0, hours_h=4.0, passed=passed))

    # 3 h of 2 % and 1 h of 5 %, by hand: 3 x 9.389 + 24.213 g.
    assert answer.value == pytest.approx(52.38, abs=0.01)
    assert answer.verdict is Verdict.STOP
    assert "whatever it weighs" in answer.sentence


def test_a_weight_below_the_start_is_asked_about_and_counts_in_nothing():
    answer = canister_full(Canister(start_g=812.0, now_g=790.0, hours_h=2.0))

    assert answer.verdict is Verdict.LOOK_AGAIN
    assert answer.value is None
    assert "same canister" in answer.settles
    assert any("counts in no sum" in step.note for step in answer.steps)


def test_a_weight_that_lags_far_behind_what_flowed_is_looked_into():
    passed = (flow(hours=4.0),)
    lagging = canister_full(Canister(start_g=200.0, now_g=205.0, hours_h=4.0, passed=passed))
    following = canister_full(Canister(start_g=200.0, now_g=230.0, hours_h=4.0, passed=passed))

    assert lagging.verdict is Verdict.LOOK_AGAIN
    assert "Find where the rest goes" in lagging.todo
    assert following.verdict is Verdict.FINE


@pytest.mark.parametrize(
    ("canister", "asks"),
    [
        (Canister(), "when it was new"),
        (Canister(start_g=200.0, hours_h=1.0), "weigh now"),
        (Canister(start_g=200.0, now_g=210.0), "How many hours"),
    ],
)
def test_what_nobody_has_said_is_asked(canister, asks):
    answer = canister_full(canister)

    assert answer.verdict is Verdict.NOT_YET
    assert asks in answer.settles


def test_a_larger_one_lasts_longer_and_each_view_stands_beside_it():
    known = {"start_g": 200.0, "now_g": 260.0, "hours_h": 3.0}

    assert canister_full(Canister(**known)).verdict is Verdict.STOP
    answer = canister_full(Canister(**known, limit_g=100.0))
    assert answer.verdict is Verdict.FINE
    assert {view.result for view in answer.views} >= {"change at 100 g"}


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"nitrous_oxide": True}, "Nitrous oxide flowed to it"),
        ({"lay_down": True}, "It lay on its side"),
        ({"passed": (flow(l_min=5.0, hours=0.1),)}, "less is held above 2 L/min"),
    ],
)
def test_what_charcoal_does_not_hold_well_is_said(changes, words):
    answer = canister_full(Canister(start_g=200.0, now_g=210.0, hours_h=1.0, **changes))

    assert answer.verdict is Verdict.LOOK_AGAIN
    assert any(words in line for line in answer.reasons)


def test_the_hours_left_at_the_flow_that_comes_next():
    coming = Canister(start_g=200.0, now_g=231.2, hours_h=2.0, coming=flow())
    steps = {step.what: step.result for step in canister_full(coming).steps}

    assert steps["until it is full at that"] == "2 h"  # 18.8 g at 9.39 g/h


def test_the_band_of_what_flowed_is_that_of_the_vaporizer():
    answer = canister_full(Canister(passed=(flow(hours=2.0),)))

    assert answer.low < answer.value < answer.high
    assert answer.covers


def test_what_cannot_be_is_refused():
    with pytest.raises(InvalidQuantity, match="start_g is 0"):
        Canister(start_g=0.0)
    with pytest.raises(InvalidQuantity, match="hours_h is -1"):
        Canister(hours_h=-1.0)
    with pytest.raises(InvalidQuantity, match="now_g is 812000"):
        Canister(now_g=812_000.0)
    with pytest.raises(UnknownReference, match="in no vaporizer"):
        canister_full(Canister(passed=(flow("xenon"),)))
