"""Entries come in: each once, in order, chained; what cannot be taken is kept word for word."""

from dataclasses import replace
from uuid import uuid4

import pytest

from ullage.answers.answer import Verdict
from ullage.answers.record.exported import export_chain
from ullage.answers.record.things import Amendment, entries_now
from ullage.answers.record.verified import verify_record
from ullage.web.cases.models import CaseState, Line, NotTaken, Why
from ullage.web.cases.selectors import chain_of, lines_of
from ullage.web.cases.services import Sent, lines_take, state_write
from ullage.web.sites.models import Membership, Role

pytestmark = [pytest.mark.web, pytest.mark.django_db]


def test_entries_are_taken_in_order_and_the_chain_verifies(record, operator, entry):
    sent = [entry(typed=str(100 + number)) for number in range(5)]
    taken = lines_take(record=record, sent=sent, by=operator)
    assert [one.outcome for one in taken] == ["taken"] * 5
    assert [one.order for one in taken] == [3, 4, 5, 6, 7]
    whole = export_chain(chain_of(record), str(record.code))
    assert verify_record(whole).verdict is Verdict.LOOK_AGAIN  # whole; no key vouches for it
    assert [one.number for one in entries_now(lines_of(record))] == [
        "100",
        "101",
        "102",
        "103",
        "104",
    ]


def test_the_same_entry_sent_again_is_acknowledged_and_stands_once(record, operator, entry):
    one = entry()
    first = lines_take(record=record, sent=[one], by=operator)[0]
    again = lines_take(record=record, sent=[one, one], by=operator)
    assert [(each.outcome, each.order) for each in again] == [("again", first.order)] * 2
    assert Line.objects.filter(code=one.line.id).count() == 1


def test_the_same_id_with_other_content_keeps_both_and_asks_a_lead(record, operator, entry):
    one = entry(typed="120")
    other = entry(typed="121", code=one.line.id)
    assert lines_take(record=record, sent=[one, other], by=operator)[1].outcome == "kept"
    kept = NotTaken.objects.get()
    assert kept.why == Why.OTHER
    assert '"typed":"121"' in kept.sent
    assert lines_take(record=record, sent=[other], by=operator)[0].outcome == "kept"
    assert NotTaken.objects.count() == 1


def test_an_odd_value_is_taken_and_asked_about(record, operator, entry):
    taken = lines_take(record=record, sent=[entry(typed="12")], by=operator)[0]
    assert taken.outcome == "taken"
    assert taken.asks.startswith("Is 12 /min what was meant?")


def test_what_no_entry_can_be_is_kept_word_for_word(record, operator, entry):
    good = entry()
    odd = Sent(line=replace(good.line, id=str(uuid4()), what="aura"), user=operator, word="as sent")
    taken = lines_take(record=record, sent=[odd, good], by=operator)
    assert [one.outcome for one in taken] == ["kept", "taken"]
    assert NotTaken.objects.get().sent == "as sent"


def test_an_entry_after_the_end_waits_for_a_lead(record, operator, entry):
    state_write(record=record, to=CaseState.RECOVERING, by=operator)
    state_write(record=record, to=CaseState.CLOSED, by=operator)
    assert lines_take(record=record, sent=[entry()], by=operator)[0].outcome == "kept"
    assert NotTaken.objects.get().why == Why.CLOSED


def test_who_lost_the_role_loses_no_entry(record, operator, entry):
    Membership.objects.filter(user=operator).update(role=Role.VIEWER)
    assert lines_take(record=record, sent=[entry()], by=operator)[0].outcome == "kept"
    assert NotTaken.objects.get().why == Why.ROLE


def test_a_correction_names_an_entry_of_this_record(record, operator, entry):
    one = entry(typed="12")
    lines_take(record=record, sent=[one], by=operator)
    said = Amendment(
        id=str(uuid4()), record="", order=1, author="", times=one.line.times, of=one.line.id,
        reason="digit missing", typed="120", number="120", unit="/min",
    )  # fmt: skip
    lost = replace(said, id=str(uuid4()), of=str(uuid4()))
    sent = [Sent(line=each, user=operator) for each in (said, lost)]
    taken = lines_take(record=record, sent=sent, by=operator)
    assert [each.outcome for each in taken] == ["taken", "kept"]
    assert [each.number for each in entries_now(lines_of(record))] == ["120"]


def test_an_entry_is_the_same_though_its_author_was_renamed(record, operator, entry):
    one = entry()
    lines_take(record=record, sent=[one], by=operator)
    operator.full_name = "Otto Reads-Married"
    operator.save()
    assert lines_take(record=record, sent=[one], by=operator)[0].outcome == "again"


def test_the_same_words_by_another_person_are_another_entry(record, operator, lead, entry):
    one = entry()
    lines_take(record=record, sent=[one], by=operator)
    other = replace(one, user=lead)
    assert lines_take(record=record, sent=[other], by=lead)[0].outcome == "kept"
