"""The life of a case: opened, begun, recovering, closed, amended; each step a line."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime
from uuid import uuid4

from django.db import IntegrityError, transaction
from django.utils import timezone

from ullage.answers.record.things import CaseOpened, Meaning, SignatureText, Times
from ullage.core.errors import RuleBroken
from ullage.web.accounts.selectors import User
from ullage.web.cases.models import CaseState, Line, Record
from ullage.web.cases.selectors import author_text
from ullage.web.cases.services.chain import line_write, record_locked
from ullage.web.cases.services.heads import head_keep, paper_wanted
from ullage.web.days.selectors import PlannedCase
from ullage.web.machines.selectors import Machine
from ullage.web.sites.selectors import Site

__all__ = ["Opening", "facts_write", "record_number", "record_open", "record_sign", "state_write"]

#: From which state a case comes into another.
_FROM = {
    CaseState.RUNNING: {CaseState.READY, CaseState.RECOVERING},
    CaseState.RECOVERING: {CaseState.RUNNING, CaseState.CLOSED, CaseState.AMENDED},
    CaseState.CLOSED: {CaseState.READY, CaseState.RUNNING, CaseState.RECOVERING},
    CaseState.AMENDED: {CaseState.CLOSED, CaseState.AMENDED},
}
_TRIES = 5


@dataclass(frozen=True, slots=True, kw_only=True)
class Opening:
    """Who and what a record is of, as a person said it; ``facts`` stand in its first line."""

    machine: Machine
    name: str
    species: str
    facts: Mapping[str, str] = field(default_factory=dict)
    planned: PlannedCase | None = None
    is_group: bool = False
    code: str = ""


def record_open(*, site: Site, opening: Opening, by: User) -> Record:
    """Open the record of a case; the same form sent twice opens one.

    Raises
    ------
    RuleBroken : a machine or plan of another site, no name or species.
    """
    if opening.machine.site_id != site.pk or (
        opening.planned is not None and opening.planned.site_id != site.pk
    ):
        raise RuleBroken(f"{opening.machine} is no machine of {site}.")
    if not opening.name.strip() or not opening.species.strip():
        raise RuleBroken("Say which animal it is, and of which species.")
    for _ in range(_TRIES):
        try:
            with transaction.atomic():
                return _opened(site, opening, by)
        except IntegrityError:  # another record took the number, or the same form came twice
            continue
    raise RuleBroken("The record could not be opened; try it once more.")


def _opened(site: Site, opening: Opening, by: User) -> Record:
    before = Record.objects.filter(site=site)
    if opening.planned is not None:
        there = before.filter(planned=opening.planned).first()
    else:
        there = before.filter(code=opening.code).first() if opening.code else None
    if there is not None:
        return there
    now = timezone.now()
    own = {"code": opening.code} if opening.code else {}
    record = Record.objects.create(
        site=site,
        number=record_number(site, now),
        planned=opening.planned,
        machine=opening.machine,
        name=opening.name.strip(),
        species=opening.species.strip().lower(),
        is_group=opening.is_group,
        opened_at=now,
        **own,
    )
    record = record_locked(record)
    said = {name: value for name, value in opening.facts.items() if value.strip()}
    facts = {
        "number": record.number,
        "name": record.name,
        "species": record.species,
        "machine": str(opening.machine),
        "group": "yes" if record.is_group else "no",
        **said,
        "state": CaseState.READY.value,
    }
    _case_line(record, facts, by, "", now)
    head_keep(record=record)
    return record


def record_number(site: Site, now: datetime) -> str:
    """The next number of a site in the year of a time."""
    year = timezone.localtime(now).year
    last = (
        Record.objects.filter(site=site, number__startswith=f"{year}-")
        .order_by("-number")
        .values_list("number", flat=True)
        .first()
    )
    return f"{year}-{int(last.partition('-')[2]) + 1 if last else 1:05d}"


def _case_line(
    record: Record, facts: Mapping[str, str], by: User, reason: str, now: datetime
) -> Line:
    return line_write(
        record=record,
        made=lambda order, at: CaseOpened(
            id=str(uuid4()),
            record=str(record.code),
            order=order,
            author=author_text(by),
            times=Times(observed=at, written=at, received=at),
            facts=dict(facts),
            reason=reason,
        ),
        by=by,
        at=now,
    )


@transaction.atomic
def facts_write(*, record: Record, facts: Mapping[str, str], by: User, reason: str) -> Line:
    """Say anew what a record is of: named facts replace those before, which stay readable.

    Raises
    ------
    RuleBroken : no reason.
    """
    if not reason.strip():
        raise RuleBroken("Say why this is different now.")
    return _case_line(record_locked(record), facts, by, reason.strip(), timezone.now())


@transaction.atomic
def state_write(*, record: Record, to: CaseState, by: User, reason: str = "") -> Record:
    """Bring a case into its next state, as a line of its record and of the site's register.

    Whether it may go there is asked before, by the rule of that step; here only the order of
    states is kept.

    Raises
    ------
    RuleBroken : it does not come from the state in which it is.
    """
    locked = record_locked(record)
    if locked.state == to and to is not CaseState.AMENDED:
        return locked
    if locked.state not in _FROM[to]:
        is_now = locked.get_state_display().lower()
        raise RuleBroken(f"{locked} is {is_now}; it cannot become {to.label.lower()} from there.")
    now = timezone.now()
    _case_line(locked, {"state": to.value}, by, reason, now)
    locked.state = to
    if to is CaseState.RUNNING and locked.began_at is None:
        locked.began_at = now
    locked.closed_at = now if to in {CaseState.CLOSED, CaseState.AMENDED} else None
    locked.save(update_fields=["state", "began_at", "closed_at"])
    head_keep(record=locked)
    if locked.is_closed:
        paper_wanted(record=locked)
    return locked


@transaction.atomic
def record_sign(*, record: Record, by: User, meaning: Meaning) -> Line:
    """Sign a record as it stands. That the person was asked again is proved by the caller.

    Raises
    ------
    RuleBroken : nothing to sign.
    """
    locked = record_locked(record)
    if locked.count == 0:
        raise RuleBroken("There is nothing to sign yet.")
    line = line_write(
        record=locked,
        made=lambda order, at: SignatureText(
            id=str(uuid4()),
            record=str(locked.code),
            order=order,
            author=author_text(by),
            times=Times(observed=at, written=at, received=at),
            printed_name=by.full_name or by.username,
            meaning=meaning,
        ),
        by=by,
    )
    head_keep(record=locked)
    paper_wanted(record=locked)
    return line
