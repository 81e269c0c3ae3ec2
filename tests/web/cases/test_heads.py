"""Where a record is opened, changes its state or is signed, its head is registered and signed."""

import pytest
from django.db import connection

from ullage.answers.record.chained import Head
from ullage.answers.record.signed import HeadSignature, signature_holds
from ullage.answers.record.things import Meaning
from ullage.core.errors import RuleBroken
from ullage.web.cases.models import CaseState, Line, RegisterLine, SignedHead, SignedRegister
from ullage.web.cases.services import (
    Opening,
    head_sign,
    head_sign_if_can,
    lines_take,
    record_open,
    record_sign,
    register_sign,
    state_write,
)
from ullage.web.shared import signing_key
from ullage.web.shared.append_only import unguard

pytestmark = [pytest.mark.web, pytest.mark.django_db]


def signed_of(record):
    return list(SignedHead.objects.filter(record=record).values_list("count", flat=True))


def signature_of(row):
    return HeadSignature(
        count=row.count, sum=row.sum, at=row.at, key=row.key, signature=row.signature
    )


def test_the_head_is_signed_at_opening_at_each_state_and_at_each_signature(site, machine, operator):
    opening = Opening(machine=machine, name="Clover", species="cat")
    record = record_open(site=site, opening=opening, by=operator)
    assert signed_of(record) == [1]
    state_write(record=record, to=CaseState.RUNNING, by=operator)
    assert signed_of(record) == [1, 2]
    state_write(record=record, to=CaseState.CLOSED, by=operator)
    record_sign(record=record, by=operator, meaning=Meaning.AUTHOR)
    assert signed_of(record) == [1, 2, 3, 4]

    for row in SignedHead.objects.filter(record=record):
        head = Head(kind="record", of=str(record.code), count=row.count, sum=row.sum)
        assert signature_holds(head, signature_of(row))
        assert Line.objects.get(record=record, order=row.count).sum == row.sum


def test_the_register_is_signed_with_each_of_its_lines(record, site):
    row = SignedRegister.objects.filter(site=site).last()
    last = RegisterLine.objects.filter(site=site).last()

    assert (row.count, row.sum) == (last.order, last.sum)
    head = Head(kind="register", of=str(site.code), count=row.count, sum=row.sum)
    assert signature_holds(head, signature_of(row))
    assert register_sign(site=site) == row


def test_a_site_without_a_record_has_no_register_to_sign(site):
    assert register_sign(site=site) is None


def test_what_was_signed_and_is_no_more_so_is_not_vouched_for_again(record, operator, entry):
    unguard(connection, "cases_line")
    Line.objects.filter(record=record, order=record.count).update(sum="0" * 64)
    lines_take(record=record, sent=[entry()], by=operator)

    with pytest.raises(RuleBroken, match="is no more what was signed at line 2"):
        head_sign(record=record)
    assert "is no more what was signed" in head_sign_if_can(record=record)


def test_work_goes_on_while_the_key_is_away(record, operator, monkeypatch, tmp_path):
    signing_key.signing_key_pem()
    monkeypatch.setenv("ULLAGE_SIGNING_KEY", str(tmp_path / "away.pem"))
    before = signed_of(record)

    state_write(record=record, to=CaseState.RECOVERING, by=operator)

    record.refresh_from_db()
    assert record.state == CaseState.RECOVERING
    assert signed_of(record) == before
    assert RegisterLine.objects.filter(record=record).count() == 3
