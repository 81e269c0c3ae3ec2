"""What was done is written once, changes states, keeps papers, and is never overwritten."""

from dataclasses import replace
from datetime import date, timedelta

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import IntegrityError, transaction

from ullage.core.errors import InvalidQuantity, RuleBroken
from ullage.web.machines.selectors import UseState
from ullage.web.machines.services import part_retire, state_set
from ullage.web.service.models import ServiceEvent, Withdrawal
from ullage.web.service.selectors import due_on_part, events_of
from ullage.web.service.services import event_add, event_withdraw, limit_set, output_test_add
from ullage.web.shared.attachments import attachment_kept

pytestmark = pytest.mark.web

PDF = b"%PDF-1.7\ntrailer\n<<>>\n%%EOF\n"


@pytest.fixture
def limited(site, lead):
    """The site holds its vaporizers to ±15 % of the dial."""
    return limit_set(site=site, key="policy", of_dial_share=None, why="As our vet says.", by=lead)


def test_an_event_keeps_who_did_it_and_who_wrote_it(vaporizer, operator, said):
    event = event_add(thing=vaporizer, said=said(note="Seals changed."), by=operator)

    assert (event.done_by, event.by, event.note) == (
        "Marsh Instruments",
        operator,
        "Seals changed.",
    )


def test_the_same_sending_twice_is_one_event(vaporizer, operator, said):
    once = said("loan")
    first = event_add(thing=vaporizer, said=once, by=operator)
    second = event_add(thing=vaporizer, said=once, by=operator)

    assert first == second
    assert ServiceEvent.objects.count() == 1
    assert vaporizer.state_changes.count() == 1


def test_going_back_and_sending_something_else_loses_nothing(vaporizer, operator, said):
    first = said("service", note="Seals changed.")
    event_add(thing=vaporizer, said=first, by=operator)
    other = replace(first, note="Seals and wick changed.")
    second = event_add(thing=vaporizer, said=other, by=operator)

    assert {one.note for one in ServiceEvent.objects.all()} == {first.note, other.note}
    assert second.code != first.code


def test_the_same_sent_again_with_its_paper_adds_the_paper(vaporizer, operator, said):
    once = said("service")
    event_add(thing=vaporizer, said=once, by=operator)
    kept = attachment_kept(SimpleUploadedFile("certificate.pdf", PDF))
    for _ in range(2):
        event = event_add(thing=vaporizer, said=replace(once, file=kept), by=operator)

    assert ServiceEvent.objects.count() == 1
    assert event.files.count() == 1


def test_the_code_of_another_site_gives_nothing_away(vaporizer, other_part, operator, said, done):
    theirs = done(other_part, "service", 3)
    event = event_add(thing=vaporizer, said=said("service", code=theirs.code), by=operator)

    assert event != theirs
    assert event.part == vaporizer


def test_nothing_is_due_on_what_is_no_longer_kept(vaporizer, lead, today):
    part_retire(part=vaporizer, by=lead, why="Sold.")
    vaporizer.refresh_from_db()

    assert due_on_part(vaporizer, today) == []


@pytest.mark.parametrize(
    ("more", "sentence"),
    [
        ({"ago": -1}, "has not come yet"),
        ({"done_on": date(1900, 1, 1)}, "before any such machine"),
        ({"done_by": "   "}, "Say who did it"),
        ({"kind": "return"}, "not away by this record"),
        ({"kind": "output_test"}, "form of its own"),
    ],
)
def test_what_cannot_be_is_refused_and_nothing_is_written(
    vaporizer, operator, said, more, sentence
):
    with pytest.raises(RuleBroken, match=sentence):
        event_add(thing=vaporizer, said=said(**more), by=operator)
    assert not ServiceEvent.objects.exists()


def test_a_viewer_writes_nothing(vaporizer, viewer, said):
    with pytest.raises(RuleBroken, match="not change it"):
        event_add(thing=vaporizer, said=said(), by=viewer)


def test_what_is_lent_is_out_of_use_and_back_is_in_doubt(vaporizer, operator, said):
    event_add(thing=vaporizer, said=said("loan", ago=5, done_by="Heath Lane"), by=operator)
    vaporizer.refresh_from_db()
    assert vaporizer.state == UseState.OUT
    assert "Heath Lane" in vaporizer.state_reason

    event_add(thing=vaporizer, said=said("return"), by=operator)
    vaporizer.refresh_from_db()
    assert vaporizer.state == UseState.IN_DOUBT
    assert "check it before the next case" in vaporizer.state_reason


def test_a_return_sent_twice_is_one_return(vaporizer, operator, said):
    event_add(thing=vaporizer, said=said("loan", ago=5), by=operator)
    back = said("return")
    first = event_add(thing=vaporizer, said=back, by=operator)

    assert event_add(thing=vaporizer, said=back, by=operator) == first
    assert ServiceEvent.objects.filter(kind="return").count() == 1


def test_a_loan_of_what_is_out_for_another_reason_keeps_that_reason(
    vaporizer, operator, lead, said
):
    state_set(thing=vaporizer, to=UseState.OUT, by=lead, reason="The dial is stiff.")
    event_add(thing=vaporizer, said=said("loan"), by=operator)
    vaporizer.refresh_from_db()

    assert "The dial is stiff." in vaporizer.state_reason
    with pytest.raises(RuleBroken, match="back into use: Away since"):
        event_add(thing=vaporizer, said=said("return"), by=operator)
    assert ServiceEvent.objects.filter(kind="return").count() == 0
    event_add(thing=vaporizer, said=said("return"), by=lead)


def test_a_machine_is_lent_as_a_part_is(machine, operator, said):
    event_add(thing=machine, said=said("loan"), by=operator)
    machine.refresh_from_db()

    assert machine.state == UseState.OUT


def test_a_new_hose_carries_its_date(hose, operator, said, today):
    later = today + timedelta(days=1500)
    event_add(thing=hose, said=said("replacement", replace_by=later), by=operator)
    hose.refresh_from_db()

    assert hose.facts["replace_by"] == later.isoformat()
    assert hose.facts["gas"] == "oxygen"
    assert hose.changes.count() == 1


def test_a_hose_replaced_without_a_date_is_not_due_by_the_old_one(hose, operator, said, today):
    event_add(thing=hose, said=said("replacement"), by=operator)
    hose.refresh_from_db()

    assert "replace_by" not in hose.facts
    assert due_on_part(hose, today) == []


def test_a_paper_is_kept_with_its_hash(vaporizer, operator, said):
    kept = attachment_kept(SimpleUploadedFile("certificate.pdf", PDF))
    event = event_add(thing=vaporizer, said=said(file=kept), by=operator)

    assert event.files.get().sha256 == kept.sha256
    assert bytes(event.files.get().content) == PDF


def test_an_event_is_about_one_thing(vaporizer, machine, operator, today, site):
    known = {"site": site, "kind": "service", "done_on": today, "done_by": "x", "by": operator}
    for things in ({}, {"part": vaporizer, "machine": machine}):
        with pytest.raises(IntegrityError, match="service_of_one_thing"), transaction.atomic():
            ServiceEvent.objects.create(**known, **things)


def test_a_test_beyond_the_limit_takes_the_vaporizer_out_of_use(
    vaporizer, operator, said, readings, limited
):
    event, answer = output_test_add(
        part=vaporizer, said=said("output_test", facts=readings(measured=0.0165)), by=operator
    )
    vaporizer.refresh_from_db()

    assert answer.verdict == "Stop"
    assert vaporizer.state == UseState.OUT
    assert "17.5 % less" in vaporizer.state_reason
    assert vaporizer.state_changes.first().record_code == event.code
    assert event.answer["verdict"] == "Stop"


def test_a_test_within_the_limit_changes_no_state(
    vaporizer, operator, lead, said, readings, limited
):
    state_set(thing=vaporizer, to=UseState.OUT, by=lead, reason="Awaits its test.")
    output_test_add(part=vaporizer, said=said("output_test", facts=readings()), by=operator)
    vaporizer.refresh_from_db()

    assert vaporizer.state == UseState.OUT


def test_what_cannot_be_told_is_in_doubt(vaporizer, operator, said, readings, limited):
    facts = readings(measured=0.0172, analyser_share=0.05)
    output_test_add(part=vaporizer, said=said("output_test", facts=facts), by=operator)
    vaporizer.refresh_from_db()

    assert vaporizer.state == UseState.IN_DOUBT


def test_without_a_limit_a_test_is_kept_and_judged_not_yet(vaporizer, operator, said, readings):
    facts = readings(measured=0.001)
    _, answer = output_test_add(part=vaporizer, said=said("output_test", facts=facts), by=operator)
    vaporizer.refresh_from_db()

    assert answer.verdict == "Not yet"
    assert vaporizer.state == UseState.IN_USE


def test_the_flow_range_is_the_vaporizers_own(vaporizer, operator, said, readings, limited):
    facts = readings(measured=0.001, fresh_gas_l_min=0.25)
    event, answer = output_test_add(
        part=vaporizer, said=said("output_test", facts=facts), by=operator
    )
    vaporizer.refresh_from_db()

    assert answer.value is None
    assert "0.3 to 12 L/min" in answer.sentence
    assert event.facts["points"] == [[0.02, 0.001]]
    assert vaporizer.state == UseState.IN_USE


def test_the_air_of_the_site_is_taken_where_none_was_read(vaporizer, operator, said, readings):
    facts = readings(barometric_kpa=None)
    event, _ = output_test_add(part=vaporizer, said=said("output_test", facts=facts), by=operator)

    assert event.facts["barometric_kpa"] == pytest.approx(100.6, abs=0.1)


def test_only_a_vaporizer_of_a_known_agent_is_tested(vaporizer, hose, operator, said, readings):
    test = said("output_test", facts=readings())
    with pytest.raises(RuleBroken, match="no vaporizer"):
        output_test_add(part=hose, said=test, by=operator)
    vaporizer.facts = {}
    with pytest.raises(RuleBroken, match="which agent"):
        output_test_add(part=vaporizer, said=test, by=operator)
    vaporizer.facts = {"agent": "isoflurane"}
    bad = said("output_test", facts=readings(measured=float("nan")))
    with pytest.raises(InvalidQuantity, match="measured_fraction"):
        output_test_add(part=vaporizer, said=bad, by=operator)
    assert not ServiceEvent.objects.exists()


def test_a_withdrawn_event_stays_and_counts_for_nothing(vaporizer, operator, done, today):
    event = done(vaporizer, "output_test", 10, facts={"points": []})
    before = due_on_part(vaporizer, today)[0].due.due_on
    event_withdraw(event=event, by=operator, reason="Another vaporizer.")

    assert before == today + timedelta(days=355)
    assert due_on_part(vaporizer, today)[0].due.due_on is None
    assert events_of(parts=[vaporizer]) == [event]


def test_who_may_withdraw(vaporizer, done, lead, person, site):
    event = done(vaporizer, "service", 10)
    other = person("Ona Other", site, "operator")
    with pytest.raises(RuleBroken, match="Somebody else wrote this"):
        event_withdraw(event=event, by=other, reason="x")
    with pytest.raises(RuleBroken, match="Say why"):
        event_withdraw(event=event, by=lead, reason=" ")
    event_withdraw(event=event, by=lead, reason="Wrong day.")
    with pytest.raises(RuleBroken, match="already"):
        event_withdraw(event=event, by=lead, reason="Again.")
    assert Withdrawal.objects.count() == 1
