"""Phases, the next observation and what was seen last."""

from datetime import timedelta

from tests.answers.record.cases import BEGAN
from tests.answers.record.running import amends, seen, value, word
from ullage.answers.answer import Verdict
from ullage.answers.record.intervals import SiteInterval
from ullage.answers.record.pace import began_of, due_of, last_seen, phases_of
from ullage.answers.record.things import EntryKind


def at(minute):
    return BEGAN + timedelta(minutes=minute)


WHOLE = (
    word(-30, "midazolam", kind=EntryKind.DRUG, details={"dose": "0.3 mg/kg"}),
    value(0, "dial", "3 %"),
    value(10, "phase", "preparation"),
    word(35, "procedure began"),
)


def spans(*entries, minute=60, **about):
    found = phases_of(seen(*entries), at(minute), {key: at(one) for key, one in about.items()})
    return {one.key: one for one in found}


def test_phases_are_in_their_order_with_the_times_of_their_entries():
    found = spans(*WHOLE, recovery=145)

    assert list(found) == ["before", "induction", "preparation", "procedure", "recovery", "closed"]
    assert (found["before"].began, found["before"].ended) == (at(-30), at(0))
    assert (found["induction"].began, found["induction"].ended) == (at(0), at(10))
    assert (found["preparation"].began, found["preparation"].ended) == (at(10), at(35))
    assert found["procedure"].is_now
    assert found["procedure"].ended is None
    assert found["recovery"].about == at(145)
    assert found["recovery"].began is None
    assert [key for key, one in found.items() if one.is_ahead] == ["recovery", "closed"]


def test_a_phase_that_nobody_entered_has_no_time():
    found = spans(*WHOLE[:2], word(35, "procedure began"))

    assert found["preparation"].began is None
    assert found["induction"].ended == at(35)


def test_nothing_has_begun_before_the_first_entry():
    assert not any(one.is_now for one in phases_of(seen(), at(0)))
    assert began_of(seen()) is None


def test_only_one_phase_is_now_and_what_lies_ahead_is_not():
    found = phases_of(seen(*WHOLE), at(20))

    assert [one.key for one in found if one.is_now] == ["preparation"]


def test_nothing_is_due_before_gas_is_given():
    assert due_of(seen(*WHOLE[:1]), at(0)) is None


def test_the_next_observation_is_due_by_the_rule_that_is_shown():
    # record, interval.single_min: 5 minutes, a proposal
    lines = seen(*WHOLE, value(40, "heart_rate", "120"))
    found = due_of(lines, at(42))

    assert found.at == at(45)
    assert found.rule.value == 5.0
    assert found.answer.verdict is Verdict.FINE
    assert any(one.chosen for one in found.rule.views)


def test_settings_and_drugs_are_no_observation():
    found = due_of(seen(*WHOLE, value(40, "dial", "2 %")), at(42))

    assert found.answer.verdict is Verdict.LOOK_AGAIN
    assert found.at == at(5)


def test_the_interval_of_the_site_stands_before_the_proposal():
    lines = seen(*WHOLE, value(40, "heart_rate", "120"))

    assert due_of(lines, at(42), SiteInterval(minutes=10, why="rule 4")).at == at(50)


def test_in_recovery_it_counts_from_its_beginning():
    lines = seen(*WHOLE, value(40, "heart_rate", "120"), word(60, "anaesthesia ended"))
    found = due_of(lines, at(61))

    assert found.at == at(60) + timedelta(minutes=found.rule.value)


def test_what_was_seen_last_is_as_it_stands_after_correction():
    slip = value(10, "heart_rate", "9")
    found = last_seen(
        seen(value(5, "heart_rate", "120"), slip, amends(slip, "heart_rate", "90")), at(20)
    )

    assert found["heart_rate"].number == "90"
    assert last_seen(seen(slip), at(9)) == {}
