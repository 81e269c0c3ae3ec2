"""A lead settles what was not taken; what was sent stays readable whatever is decided."""

import json
from datetime import timedelta
from uuid import uuid4

import pytest
from django.urls import reverse
from django.utils import timezone

from ullage.answers.record.things import Amendment, EntryKind, entries_now
from ullage.core.errors import RuleBroken
from ullage.web.cases.models import CaseState, NotTaken, Record, Settled, Why
from ullage.web.cases.selectors import author_text, lines_of
from ullage.web.cases.services import Decision, Sent, lines_take, settle, state_write
from ullage.web.cases.services.aside import Aside, aside_keep
from ullage.web.machines.models import Machine

pytestmark = [pytest.mark.web, pytest.mark.django_db]


@pytest.fixture
def late(record, operator, entry) -> NotTaken:
    """An entry that came after its record was closed."""
    state_write(record=record, to=CaseState.CLOSED, by=operator)
    lines_take(record=record, sent=[entry(typed="118", ago_min=20.0)], by=operator)
    return NotTaken.objects.get()


def test_a_late_entry_goes_in_with_its_author_and_its_times(late, record, operator, lead):
    settled = settle(kept=late, decision=Decision(reason="It is his.", into=record), by=lead)
    record.refresh_from_db()
    last = entries_now(lines_of(record))[-1]
    assert (last.typed, last.author) == ("118", author_text(operator))
    assert last.times.late_by_min == pytest.approx(20.0)
    assert settled.line.author == operator
    assert record.state == CaseState.AMENDED
    assert NotTaken.objects.get().sent == late.sent


def test_it_is_left_with_a_reason_and_settled_once(late, record, lead):
    settle(kept=late, decision=Decision(reason="It is on paper."), by=lead)
    record.refresh_from_db()
    assert record.state == CaseState.CLOSED
    with pytest.raises(RuleBroken, match=r"^This was settled already\.$"):
        settle(kept=late, decision=Decision(reason="Again."), by=lead)
    assert Settled.objects.count() == 1


def test_who_is_no_lead_settles_nothing_and_no_reason_is_none(late, operator, lead):
    with pytest.raises(RuleBroken, match=r"^A lead or a veterinarian settles"):
        settle(kept=late, decision=Decision(reason="Mine."), by=operator)
    with pytest.raises(RuleBroken, match=r"^Say why\.$"):
        settle(kept=late, decision=Decision(reason="  "), by=lead)


def test_what_can_be_no_entry_goes_in_as_free_text_word_for_word(record, operator, lead):
    word = '{"heart_rate":"NaN'
    kept = aside_keep(
        Aside(site=record.site, word=word, why=Why.IMPOSSIBLE, says="?", record=record, by=operator)
    )
    settle(kept=kept, decision=Decision(reason="Keep it.", into=record), by=lead)
    last = entries_now(lines_of(record))[-1]
    assert last.kind is EntryKind.TEXT
    assert last.typed == f"Its author is not proved. Sent word for word: {word}"
    assert last.author == author_text(lead)


def test_an_id_that_is_taken_gets_another_and_both_stand(record, operator, lead, entry):
    one = entry(typed="120")
    lines_take(record=record, sent=[one, entry(typed="121", code=one.line.id)], by=operator)
    kept = NotTaken.objects.get()
    settle(kept=kept, decision=Decision(reason="Two readings.", into=record), by=lead)
    assert [each.typed for each in entries_now(lines_of(record))] == ["120", "121"]


def test_a_word_of_a_tablet_is_read_as_its_entry(record, operator, lead):
    at = (timezone.now() - timedelta(minutes=3)).strftime("%Y-%m-%dT%H:%M:%S.%fZ")
    word = json.dumps(
        {
            "format": 1, "line": "entry", "record": str(record.code), "id": str(uuid4()),
            "kind": "vital", "what": "heart_rate", "typed": "119 /min", "details": {},
            "animal": "", "observed": at, "written": at, "author_confirmed": True,
            "offset_s": None,
        },
        sort_keys=True,
    )  # fmt: skip
    kept = aside_keep(
        Aside(
            site=record.site, word=word, why=Why.ROLE, says="?", record=record, author=operator,
            by=operator,
        )
    )  # fmt: skip
    settle(kept=kept, decision=Decision(reason="He was an operator then.", into=record), by=lead)
    last = entries_now(lines_of(record))[-1]
    assert (last.what, last.number) == ("heart_rate", "119"), last.typed


def test_a_record_of_another_site_takes_nothing(late, other_site, lead):
    far = Machine.objects.create(site=other_site, name="Far")
    there = Record.objects.create(
        site=other_site, number="2026-1", machine=far, name="X", species="cat",
        opened_at=timezone.now(),
    )  # fmt: skip
    with pytest.raises(RuleBroken, match=r"^This record is of another site\.$"):
        settle(kept=late, decision=Decision(reason="There.", into=there), by=lead)


def test_an_operator_sees_what_is_their_own(late, as_operator, as_lead, client_of, person, site):
    url = reverse("cases:not_taken")
    assert "Heart rate 118" in as_operator.get(url).content.decode()
    assert "Decide" in as_lead.get(url).content.decode()
    other = client_of(person("Nia Other", site, "operator"))
    assert "Nothing waits." in other.get(url).content.decode()


def test_a_correction_of_a_closed_record_amends_it(record, operator, entry):
    one = entry(typed="12")
    lines_take(record=record, sent=[one], by=operator)
    record = state_write(record=record, to=CaseState.CLOSED, by=operator)
    said = Amendment(
        id=str(uuid4()), record="", order=1, author="", times=one.line.times, of=one.line.id,
        reason="digit missing", typed="120", number="120", unit="/min",
    )  # fmt: skip
    taken = lines_take(record=record, sent=[Sent(line=said, user=operator)], by=operator)
    record.refresh_from_db()
    assert taken[0].outcome == "taken"
    assert record.state == CaseState.AMENDED
