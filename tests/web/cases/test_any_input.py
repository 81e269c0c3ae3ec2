"""Whatever is typed on the pages of a case's life: a line, or a sentence, never a crash or half."""

from uuid import uuid4

import pytest
from django.urls import reverse
from django.utils import timezone
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests.counts import counted
from ullage.answers.record.exported import export_chain
from ullage.answers.record.verified import verify_record
from ullage.web.cases.models import CaseState, Record
from ullage.web.cases.selectors import chain_of
from ullage.web.cases.services import state_write
from ullage.web.cases.services.entries import event, write_seen

pytestmark = [pytest.mark.web, pytest.mark.django_db, pytest.mark.soak]

TYPED = st.one_of(
    st.sampled_from(
        ["", " ", "0", "-1", "1e309", "nan", "inf", "62 kg", "25 g", "1,5", "yes", "no", "off",
         "flows", "09:30", "25:99", "2026-02-30", "0001-01-01", "9999-12-31", "person", "awake",
         "died", "mouse", "sheep", "M1; M2", "\x00", "<script>", "🐑" * 20]
    ),
    st.text(max_size=80),
    st.floats(allow_nan=True).map(str),
    st.uuids().map(str),
)  # fmt: skip
SOME = settings(
    max_examples=counted(100),
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
FACTS = ("name", "species", "animal", "weight", "sex", "protocol", "people", "severity", "why",
         "activity_ended", "animal_left")  # fmt: skip
BEGIN = ("at", "agent", "carrier", "dial", "flow_oxygen", "flow_air", "override_by",
         "override_reason")  # fmt: skip


def ways(names):
    """Some of the fields of a form, each with something typed, by chance twice."""
    return st.dictionaries(st.sampled_from(names), TYPED, max_size=len(names))


@pytest.fixture
def recovering(record, operator) -> Record:
    """The cat of the record in recovery."""
    write_seen(record=record, seen=[event("anaesthesia began", timezone.now())], by=operator)
    return state_write(record=record, to=CaseState.RECOVERING, by=operator)


def sent(client, name, record, typed, **more):
    reply = client.post(reverse(f"cases:{name}", args=[record.code, *more.values()]), typed)
    assert reply.status_code in {200, 302, 404, 422}, reply.content.decode()[:400]
    return reply


def is_whole(record) -> bool:
    """Whether the chain of a record holds from its first line to its last."""
    chain = chain_of(record)
    record.refresh_from_db()
    assert record.count == len(chain)
    return "does not hold" not in verify_record(export_chain(chain, str(record.code))).sentence


@SOME
@given(typed=ways(("name", "species", "weight", "animals", "is_group", "code", "people")))
def test_starting_a_case(as_operator, machine, typed):
    before = Record.objects.count()
    said = {"machine": str(machine.pk), "code": str(uuid4()), **typed}
    reply = as_operator.post(reverse("cases:start"), said)
    assert reply.status_code in {302, 422}
    assert Record.objects.count() == before + (reply.status_code == 302)


@SOME
@given(typed=ways(FACTS))
def test_saying_what_a_record_is_of(as_operator, recovering, typed):
    sent(as_operator, "facts", recovering, typed)
    assert is_whole(recovering)


@SOME
@given(typed=ways(BEGIN))
def test_beginning_a_case(as_operator, site, machine, typed):
    said = {"name": "A", "species": "cat", "machine": str(machine.pk), "code": str(uuid4())}
    as_operator.post(reverse("cases:start"), said)
    record = Record.objects.get(code=said["code"])
    sent(as_operator, "begin", record, typed)
    assert is_whole(record)


@SOME
@given(
    name=st.sampled_from(["step", "fate", "gas_off", "person", "close", "animal", "reopen"]),
    typed=ways(("step", "met", "at", "animal", "code", "word", "typed", "stays", "steps",
                "reason", "name", "weight", "override_by", "override_reason")),
)  # fmt: skip
def test_every_step_of_its_recovery(as_operator, recovering, name, typed):
    sent(as_operator, name, recovering, {"code": str(uuid4()), **typed})
    assert is_whole(recovering)


@SOME
@given(typed=ways(("typed", "observed", "withdrawn", "reason", "code")))
def test_a_correction(as_operator, recovering, typed):
    entry = recovering.lines.filter(kind="entry").values_list("code", flat=True)[0]
    sent(as_operator, "amend", recovering, {"code": str(uuid4()), **typed}, entry=entry)
    assert is_whole(recovering)


@SOME
@given(typed=ways(("words", "species", "from_day", "to_day", "state", "person", "page")))
def test_looking_for_a_record(as_operator, record, typed):
    assert as_operator.get(reverse("cases:all"), typed).status_code in {200, 422}


@SOME
@given(typed=ways(("meaning", "count", "password", "credential")))
def test_a_signature_without_a_proof(as_operator, recovering, typed):
    before = recovering.lines.filter(kind="signature").count()
    assert sent(as_operator, "sign", recovering, typed).status_code == 422
    assert recovering.lines.filter(kind="signature").count() == before
