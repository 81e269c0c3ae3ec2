"""The whole life of a case on its pages: ready, begun, recovered, closed, corrected, signed."""

from uuid import uuid4

import pytest
from django.urls import reverse

from ullage.answers.record.things import CaseOpened, SignatureText
from ullage.web.cases.models import CaseState, Record, SignedHead
from ullage.web.cases.selectors import life_of, lines_of

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


def test_a_case_from_its_first_line_to_its_signature(as_operator, operator, machine):
    assert start(as_operator, machine).status_code == 302
    record = Record.objects.get()
    assert (record.state, record.name, record.species) == ("ready", "Clover", "rabbit")
    shown = page(as_operator, "about", record).content.decode()
    assert "The case may not begin yet" in shown
    assert "not recorded" in shown

    refused = page(as_operator, "begin", record, at="")
    assert refused.status_code == 422
    assert "name who answers for it" in refused.content.decode()

    begun = page(as_operator, "begin", record, agent="isoflurane", flow_oxygen="1.7", **OVERRIDE)
    assert begun.status_code == 302
    record.refresh_from_db()
    assert record.state == CaseState.RUNNING
    life = life_of(record)
    assert "check of the machine" in life.facts["started_without"]
    assert life.facts["override_by"] == "Otto Reads (otto)"
    assert [one.typed for one in life.seen.of("agent")] == ["isoflurane"]
    assert [one.typed for one in life.seen.of("flow_oxygen")] == ["1.7 L/min"]
    assert life.seen.event("anaesthesia began") is not None

    assert page(as_operator, "recovery_start", record, gas="off").status_code == 302
    record.refresh_from_db()
    assert record.state == CaseState.RECOVERING
    assert life_of(record).seen.of("flow_oxygen")[-1].typed == "0 L/min"

    refused = page(as_operator, "close", record, reason="")
    assert refused.status_code == 422
    assert "This case is still open: recovery" in refused.content.decode()

    for step in life_of(record).steps:
        told = page(as_operator, "step", record, step=step.key, met="yes", code=str(uuid4()))
        assert told.status_code == 302
    page(as_operator, "fate", record, word="awake", code=str(uuid4()))
    assert page(as_operator, "close", record, reason="").status_code == 302
    record.refresh_from_db()
    assert record.state == CaseState.CLOSED
    assert SignedHead.objects.filter(record=record, count=record.count).exists()

    signed = page(
        as_operator,
        "sign",
        record,
        meaning="I made this record",
        count=str(record.count),
        password="a long enough word",
    )
    assert signed.status_code == 302, signed.content.decode()
    assert isinstance(lines_of(record)[-1], SignatureText)
    for name in ("about", "recovery", "entries", "facts", "reopen", "sign"):
        assert page(as_operator, name, record).status_code == 200, name
    assert isinstance(lines_of(record)[0], CaseOpened)
