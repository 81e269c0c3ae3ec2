"""Heads of records and of registers are signed with the key outside the database."""

import logging
from collections.abc import Callable
from functools import partial

from django.db import transaction
from django.utils import timezone

from ullage.answers.record.chained import Head
from ullage.answers.record.fixed import utc_text
from ullage.answers.record.signed import sign_head
from ullage.core.errors import RuleBroken
from ullage.web.cases.models import Line, Record, RegisterLine, SignedHead, SignedRegister
from ullage.web.cases.services.chain import head_register
from ullage.web.shared.signing_key import signing_key_pem
from ullage.web.sites.selectors import Site

__all__ = [
    "head_keep",
    "head_sign",
    "head_sign_if_can",
    "paper_from",
    "paper_wanted",
    "register_sign",
]

logger = logging.getLogger("django.ullage.signing")

#: Who keeps the paper of a record that was signed or closed.
_PAPERS: list[Callable[[Record], None]] = []


def paper_from(keeper: Callable[[Record], None]) -> None:
    """Say who keeps the paper of a record; each is called once the record is written."""
    if keeper not in _PAPERS:
        _PAPERS.append(keeper)


def paper_wanted(*, record: Record) -> None:
    """Have the paper of a record kept as it stands, once what was written is there to stay."""
    for keeper in _PAPERS:
        transaction.on_commit(partial(keeper, record), robust=True)


@transaction.atomic
def head_keep(*, record: Record) -> None:
    """Register how far a record goes now, and sign it and the register where the key is there."""
    head_register(record=record)
    head_sign_if_can(record=record)


@transaction.atomic
def head_sign(*, record: Record) -> SignedHead:
    """Sign how far a record goes now; the same head is signed once.

    Raises
    ------
    RuleBroken : the key is not there or cannot be read, or the record is no more what was signed.
    """
    now = Record.objects.get(pk=record.pk)
    before = SignedHead.objects.filter(record=now, count=now.count, sum=now.head).first()
    if before is not None:
        return before
    _still_signed(now)
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


def _still_signed(record: Record) -> None:
    """Refuse to vouch for more of a record whose signed part is not what it was."""
    last = SignedHead.objects.filter(record=record).order_by("-count", "-pk").first()
    if last is None or not last.count:
        return
    there = Line.objects.filter(record=record, order=last.count).values_list("sum", flat=True)
    if list(there) != [last.sum]:
        raise RuleBroken(
            f"{record} is no more what was signed at line {last.count}. Verify it; nothing more "
            "of it is signed."
        )


@transaction.atomic
def register_sign(*, site: Site) -> SignedRegister | None:
    """Sign how far the register of a site goes now; the same head once; None of an empty one.

    Raises
    ------
    RuleBroken : the key is not there or cannot be read.
    """
    last = RegisterLine.objects.filter(site=site).order_by("-order").first()
    if last is None:
        return None
    known = SignedRegister.objects.filter(site=site, count=last.order, sum=last.sum).first()
    if known is not None:
        return known
    head = Head(kind="register", of=str(site.code), count=last.order, sum=last.sum)
    signed = sign_head(head, signing_key_pem(), utc_text(timezone.now()))
    return SignedRegister.objects.create(
        site=site,
        count=signed.count,
        sum=signed.sum,
        at=signed.at,
        key=signed.key,
        signature=signed.signature,
    )


def head_sign_if_can(*, record: Record) -> str:
    """Sign the heads; why not, in a sentence, where it cannot be. Work goes on without it."""
    try:
        head_sign(record=record)
        register_sign(site=record.site)
    except RuleBroken as refusal:
        logger.warning("The head of record %s was not signed: %s", record.pk, refusal)
        return f"The head of the record is not signed: {refusal}"
    return ""
