"""The whole life of a case on its pages: ready, begun, recovered, closed, corrected, signed."""

from uuid import uuid4

import pytest
from django.urls import reverse
from django.utils import timezone

from ullage.answers.record.things import SignatureText
from ullage.web.cases.models import CaseState, Record, SignedHead
from ullage.web.cases.selectors import life_of, lines_of
from ullage.web.cases.templatetags.cases_life import before_lines
from ullage.web.days.models import PlannedCase
from ullage.web.machines.models import UseState
from ullage.web.machines.services import state_set

pytestmark = [pytest.mark.web, pytest.mark.django_db]


def start(client, machine, **more):
    typed = {
        "name": "Clover",
        "species": "rabbit",
        "machine": str(machine.pk),
        "weight": "3.4 kg",
        "protocol": "P-12",
        "code": str(uuid4()),
        **more,
    }
    return client.post(reverse("cases:start"), typed)


def page(client, name, record, **typed):
    url = reverse(f"cases:{name}", args=[record.code])
    return client.post(url, typed) if typed else client.get(url)


OVERRIDE = {
    "override_by": "Otto Reads (otto)",
    "override_reason": "The dam bleeds and cannot wait.",
}


@pytest.fixture
def ready(as_operator, machine) -> Record:
    """A case that was made ready on its page."""
    assert start(as_operator, machine).status_code == 302
    return Record.objects.get()


@pytest.fixture
def running(as_operator, ready) -> Record:
    """The same, begun without a check of the machine."""
    said = {"agent": "isoflurane", "flow_oxygen": "1.7", **OVERRIDE}
    begun = page(as_operator, "begin", ready, **said)
    assert begun.url == reverse("cases:running", args=[ready.code])
    ready.refresh_from_db()
    return ready


@pytest.fixture
def recovered(as_operator, running) -> Record:
    """The same, with every step of its recovery met."""
    assert page(as_operator, "recovery_start", running, gas="off").status_code == 302
    for step in life_of(running).steps:
        told = page(as_operator, "step", running, step=step.key, met="yes", code=str(uuid4()))
        assert told.status_code == 302
    page(as_operator, "fate", running, word="awake", code=str(uuid4()))
    running.refresh_from_db()
    return running


def test_a_case_that_is_ready_says_what_keeps_it_and_shows_what_nobody_said(as_operator, ready):
    assert (ready.state, ready.name, ready.species) == ("ready", "Clover", "rabbit")
    shown = page(as_operator, "about", ready).content.decode()
    assert "The case may not begin yet" in shown
    assert "not recorded" in shown
    refused = page(as_operator, "begin", ready, at="")
    assert refused.status_code == 422
    assert "name who answers for it" in refused.content.decode()
    ready.refresh_from_db()
    assert ready.state == CaseState.READY


def test_what_it_begins_without_and_what_is_set_stand_in_the_record(running):
    assert running.state == CaseState.RUNNING
    life = life_of(running)
    assert "check of the machine" in life.facts["started_without"]
    assert life.facts["override_by"] == "Otto Reads (otto)"
    assert "Otto Reads (otto) answered for it" in before_lines(life)[-1].value
    assert [one.typed for one in life.seen.of("agent")] == ["isoflurane"]
    assert [one.typed for one in life.seen.of("flow_oxygen")] == ["1.7 L/min"]
    assert life.seen.event("anaesthesia began") is not None


def test_it_does_not_close_before_its_recovery(as_operator, running):
    page(as_operator, "recovery_start", running, gas="off")
    running.refresh_from_db()
    assert running.state == CaseState.RECOVERING
    refused = page(as_operator, "close", running, reason="")
    assert refused.status_code == 422
    assert "This case is still open: recovery" in refused.content.decode()


def test_it_is_closed_and_signed_by_who_shows_who_they_are(as_operator, recovered):
    assert page(as_operator, "close", recovered, reason="").status_code == 302
    recovered.refresh_from_db()
    assert recovered.state == CaseState.CLOSED
    assert SignedHead.objects.filter(record=recovered, count=recovered.count).exists()
    said = {"meaning": "I made this record", "count": str(recovered.count)}
    wrong = page(as_operator, "sign", recovered, **said, password="another word")
    assert wrong.status_code == 422
    assert not any(isinstance(one, SignatureText) for one in lines_of(recovered))
    signed = page(as_operator, "sign", recovered, **said, password="a long enough word")
    assert signed.status_code == 302
    assert isinstance(lines_of(recovered)[-1], SignatureText)


def test_what_was_not_read_is_not_signed(as_operator, recovered):
    said = {"meaning": "I made this record", "count": "3", "password": "a long enough word"}
    reply = page(as_operator, "sign", recovered, **said)
    assert reply.status_code == 422
    assert "went on to line" in reply.content.decode()


def test_every_page_of_it_opens_to_whoever_may_look(as_viewer, as_operator, recovered):
    for name in ("about", "recovery", "entries"):
        assert page(as_viewer, name, recovered).status_code == 200, name
    for name in ("about", "recovery", "entries", "facts", "close", "sign"):
        assert page(as_operator, name, recovered).status_code == 200, name
    page(as_operator, "close", recovered, reason="")
    about = reverse("cases:about", args=[recovered.code])
    assert as_operator.get(about, follow=True).status_code == 200
    for name in ("recovery", "entries", "facts", "reopen", "sign"):
        assert page(as_operator, name, recovered).status_code == 200, name


def test_a_planned_case_begins_with_its_record_and_ends_with_its_gas(as_operator, site, machine):
    planned = PlannedCase.objects.create(
        site=site, machine=machine, name="Furze", species="rabbit", weight_kg=3.0,
        starts_at=timezone.now(), minutes=60.0, phases=[{"name": "Procedure", "minutes": 60.0}],
    )  # fmt: skip
    url = reverse("cases:start_planned", args=[planned.code])
    shown = as_operator.get(url).content.decode()
    assert 'name="weight" value' not in shown  # offered by a button, never filled in
    assert 'data-value="3 kg"' in shown
    typed = {"name": "Furze", "species": "rabbit", "machine": str(machine.pk)}
    assert as_operator.post(url, {**typed, "code": str(uuid4())}).status_code == 302
    record = Record.objects.get(planned=planned)
    assert as_operator.get(url).url == reverse("cases:about", args=[record.code])
    page(as_operator, "begin", record, **OVERRIDE)
    planned.refresh_from_db()
    assert planned.state == "running"
    day = as_operator.get(reverse("days:plan"), follow=True).content.decode()
    assert "Record, running" in day
    assert "Furze" in as_operator.get("/").content.decode()
    page(as_operator, "recovery_start", record, gas="flows")
    planned.refresh_from_db()
    assert planned.state == "running"
    page(as_operator, "gas_off", record, at="")
    planned.refresh_from_db()
    assert planned.state == "done"


def test_a_second_form_for_one_plan_loses_nothing_that_was_typed(as_operator, site, machine):
    planned = PlannedCase.objects.create(
        site=site, machine=machine, name="Furze", species="rabbit", starts_at=timezone.now(),
        minutes=60.0, phases=[],
    )  # fmt: skip
    url = reverse("cases:start_planned", args=[planned.code])
    typed = {"name": "Furze", "species": "rabbit", "machine": str(machine.pk)}
    as_operator.post(url, {**typed, "code": str(uuid4())})
    again = as_operator.post(url, {**typed, "code": str(uuid4()), "endpoints": "as item 12"})
    assert again.status_code == 422
    assert "opened for this plan by somebody else meanwhile" in again.content.decode()
    assert "as item 12" in again.content.decode()
    assert Record.objects.count() == 1


def test_a_machine_that_is_out_of_use_is_refused(as_operator, ready, machine, lead):
    state_set(thing=machine, to=UseState.OUT, by=lead, reason="The bobbin sticks.")
    reply = page(as_operator, "begin", ready, **OVERRIDE)
    assert reply.status_code == 422
    assert "The bobbin sticks." in reply.content.decode()
    ready.refresh_from_db()
    assert ready.state == CaseState.READY
