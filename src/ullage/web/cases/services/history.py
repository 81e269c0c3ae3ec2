"""A record that was kept elsewhere is brought in: its lines with their own times and authors."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from uuid import uuid4

from django.db import transaction

from ullage.answers.record.things import AnyLine, CaseOpened, SignatureText
from ullage.core.errors import RuleBroken
from ullage.web.accounts.selectors import User
from ullage.web.cases.models import CaseState, Record
from ullage.web.cases.selectors import author_text
from ullage.web.cases.services.chain import head_register, line_write
from ullage.web.cases.services.heads import head_keep, head_sign_if_can
from ullage.web.cases.services.life import Opening, record_number
from ullage.web.sites.selectors import Site

__all__ = ["ToldLine", "record_write"]


@dataclass(frozen=True, slots=True, kw_only=True)
class ToldLine:
    """One line as it was written, by whom; its order and record are found here."""

    line: AnyLine
    by: User


@transaction.atomic
def record_write(*, site: Site, opening: Opening, told: Sequence[ToldLine]) -> Record:
    """Write a record line by line, in the order in which they were received.

    Parameters
    ----------
    site : whose record it is.
    opening : what it is found by; its facts stand in the lines.
    told : the first says who and what it is of; each later fact "state" is the state from then on.

    Raises
    ------
    RuleBroken : no line, or the first says nothing of the case.
    """
    if not told or not isinstance(told[0].line, CaseOpened):
        raise RuleBroken("A record begins with what it is of.")
    opened_at = told[0].line.times.received
    record = Record.objects.create(
        site=site,
        number=record_number(site, opened_at),
        planned=opening.planned,
        machine=opening.machine,
        name=opening.name,
        species=opening.species,
        is_group=opening.is_group,
        opened_at=opened_at,
    )
    first = told[0].line
    facts = {"number": record.number, **first.facts}
    _write(record, ToldLine(line=replace(first, facts=facts), by=told[0].by))
    head_register(record=record)
    for one in told[1:]:
        _write(record, one)
        if _is_vouched_for(one.line):
            head_sign_if_can(record=record)
    head_keep(record=record)
    return record


def _is_vouched_for(line: AnyLine) -> bool:
    """Whether the head is signed after this line: a state, a signature."""
    return isinstance(line, SignatureText) or (
        isinstance(line, CaseOpened) and "state" in line.facts
    )


def _write(record: Record, told: ToldLine) -> None:
    line = told.line
    line_write(
        record=record,
        made=lambda order, at: replace(
            line,
            id=line.id or str(uuid4()),
            record=str(record.code),
            order=order,
            author=author_text(told.by),
            times=replace(line.times, received=at),
        ),
        by=told.by,
        at=line.times.received,
    )
    state = line.facts.get("state") if isinstance(line, CaseOpened) else None
    if state:
        _state(record, CaseState(state), line)


def _state(record: Record, state: CaseState, line: AnyLine) -> None:
    record.state = state
    if state is CaseState.RUNNING:
        record.began_at = record.began_at or line.times.observed
    record.closed_at = line.times.received if record.is_closed else None
    record.save(update_fields=["state", "began_at", "closed_at"])
