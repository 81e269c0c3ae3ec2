"""A case goes through its life, each step a line of its record and of the site's register."""

import pytest

from ullage.answers.answer import Verdict
from ullage.answers.record.chained import Chained
from ullage.answers.record.exported import export_chain
from ullage.answers.record.things import CaseOpened, Meaning, SignatureText
from ullage.answers.record.verified import verify_register
from ullage.core.errors import RuleBroken
from ullage.web.cases.models import CaseState, Record, RegisterLine
from ullage.web.cases.selectors import chain_of, lines_of
from ullage.web.cases.services import Opening, facts_write, record_open, record_sign, state_write

pytestmark = [pytest.mark.web, pytest.mark.django_db]


def _register(site) -> tuple[Chained, ...]:
    rows = RegisterLine.objects.filter(site=site).order_by("order")
    return tuple(Chained(order=one.order, text=one.text, sum=one.sum) for one in rows)


def test_records_are_numbered_by_year_and_site(site, machine, operator, record):
    opening = Opening(machine=machine, name="Vetch", species="sheep")
    second = record_open(site=site, opening=opening, by=operator)
    year = record.opened_at.year
    assert [record.number, second.number] == [f"{year}-00001", f"{year}-00002"]


def test_the_same_form_twice_opens_one(site, machine, operator):
    opening = Opening(
        machine=machine, name="Vetch", species="sheep", code="6b0c2f6e-7a1e-4c3e-9d57-0d1f3a0b7c11"
    )
    first = record_open(site=site, opening=opening, by=operator)
    assert record_open(site=site, opening=opening, by=operator) == first
    assert Record.objects.count() == 1


def test_a_machine_of_another_site_is_refused(other_site, machine, operator):
    with pytest.raises(RuleBroken, match=r"^Wren is no machine of High Saddle\.$"):
        record_open(
            site=other_site, opening=Opening(machine=machine, name="X", species="cat"), by=operator
        )


def test_every_step_stands_in_the_record_and_in_the_register(site, record, operator):
    for to in (CaseState.RECOVERING, CaseState.CLOSED, CaseState.AMENDED):
        record = state_write(record=record, to=to, by=operator, reason="as it went")
    states = [one.facts["state"] for one in lines_of(record) if isinstance(one, CaseOpened)]
    assert states == ["ready", "running", "recovering", "closed", "amended"]
    whole = export_chain(chain_of(record), str(record.code))
    register = export_chain(_register(site), str(site.code), "register")
    assert (
        verify_register(register, records=[whole]).verdict is Verdict.LOOK_AGAIN
    )  # whole; no key vouches for it
    assert len(_register(site)) == 5


def test_a_closed_case_does_not_begin_again(record, operator):
    state_write(record=record, to=CaseState.CLOSED, by=operator)
    with pytest.raises(RuleBroken, match=r"is closed; it cannot become running from there\.$"):
        state_write(record=record, to=CaseState.RUNNING, by=operator)


def test_recovery_opens_again_after_the_end(record, operator):
    state_write(record=record, to=CaseState.CLOSED, by=operator)
    again = state_write(record=record, to=CaseState.RECOVERING, by=operator, reason="lies down")
    assert (again.state, again.closed_at) == (CaseState.RECOVERING, None)


def test_facts_are_said_anew_with_a_reason(record, operator):
    facts_write(record=record, facts={"sex": "male"}, by=operator, reason="looked again")
    said = [one.facts.get("sex") for one in lines_of(record) if isinstance(one, CaseOpened)]
    assert said == ["female", None, "male"]
    with pytest.raises(RuleBroken, match=r"^Say why this is different now\.$"):
        facts_write(record=record, facts={"sex": "male"}, by=operator, reason=" ")


def test_a_signature_is_a_line_of_the_record(record, operator):
    record_sign(record=record, by=operator, meaning=Meaning.AUTHOR)
    last = lines_of(record)[-1]
    assert isinstance(last, SignatureText)
    assert (last.printed_name, last.meaning) == ("Otto Reads", Meaning.AUTHOR)
