"""Heads of records are signed with the key outside the database; people sign records."""

import logging
from dataclasses import dataclass

from django.db import transaction
from django.utils import timezone

from ullage.answers.record.chained import Head
from ullage.answers.record.fixed import utc_text
from ullage.answers.record.signed import sign_head
from ullage.answers.record.things import Meaning
from ullage.core.errors import RuleBroken
from ullage.web.accounts.selectors import Sitting, User
from ullage.web.accounts.services import proof_take
from ullage.web.cases.models import Line, Record, SignedHead
from ullage.web.cases.services.chain import record_locked
from ullage.web.cases.services.life import record_sign
from ullage.web.shared.signing_key import signing_key_pem

__all__ = ["Shown", "head_sign", "head_sign_if_can", "sign_purpose", "sign_record"]

logger = logging.getLogger("django.ullage.signing")


@transaction.atomic
def head_sign(*, record: Record) -> SignedHead:
    """Sign how far a record goes now; the same head is signed once.

    Raises
    ------
    RuleBroken : the key is not there or cannot be read.
    """
    now = Record.objects.get(pk=record.pk)
    before = SignedHead.objects.filter(record=now, count=now.count, sum=now.head).first()
    if before is not None:
        return before
    head = Head(kind="record", of=str(now.code), count=now.count, sum=now.head)
    signed = sign_head(head, signing_key_pem(), utc_text(timezone.now()))
    return SignedHead.objects.create(
        record=now,
        count=signed.count,
        sum=signed.sum,
        at=signed.at,
        key=signed.key,
        signature=signed.signature,
    )


def head_sign_if_can(*, record: Record) -> str:
    """Sign the head; why not, in a sentence, where the key is away. Work goes on without it."""
    try:
        head_sign(record=record)
    except RuleBroken as refusal:
        logger.warning("The head of record %s was not signed: %s", record.pk, refusal)
        return f"The head of the record is not signed: {refusal}"
    return ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Shown:
    """That the person showed again who they are: the code of the proof, and at which device."""

    code: str
    sitting: Sitting


def sign_purpose(record: Record, meaning: Meaning, count: int) -> str:
    """For what somebody shows who they are: this record, as far as they saw it, with this meaning.

    What they read on the page is what is signed.
    """
    return f"Sign record {record.number} of {record.name} up to line {count}: {meaning.value}"


@transaction.atomic
def sign_record(*, record: Record, by: User, meaning: Meaning, count: int, shown: Shown) -> Line:
    """Write the signature of a person who was asked again just now, and sign the new head.

    Raises
    ------
    RuleBroken : the record went on since the person saw it, or the proof does not hold.
    """
    locked = record_locked(record)
    if locked.count != count:
        raise RuleBroken(
            f"The record went on to line {locked.count} since you opened this page. Look at what "
            "is new, then sign."
        )
    purpose = sign_purpose(locked, meaning, count)
    proof_take(shown.code, user=by, sitting=shown.sitting, purpose=purpose)
    line = record_sign(record=locked, by=by, meaning=meaning)
    head_sign_if_can(record=locked)
    return line
