"""Parts are added, changed, moved, set aside; what they carry follows them to the machine."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, fields
from datetime import date, datetime
from typing import Any
from uuid import UUID

from django.db import IntegrityError, transaction
from django.utils import timezone

from ullage.answers.equipment import PART_KINDS, facts_read
from ullage.core.errors import RuleBroken
from ullage.web.accounts.selectors import User
from ullage.web.machines.models import Machine, Part, PartChange, PartMove
from ullage.web.machines.services.carry import carried_fields, carry, carry_all
from ullage.web.shared.changes import plain, plain_row
from ullage.web.sites.selectors import Site

__all__ = [
    "PartFacts",
    "part_add",
    "part_change",
    "part_move",
    "part_move_undo",
    "part_restore",
    "part_retire",
    "parts_write",
]

_TAKEN_BACK = "taken back"


@dataclass(frozen=True, slots=True, kw_only=True)
class PartFacts:
    """What a person says about a part; ``facts`` are those of its kind, in our own units.

    ``code`` was made with the form: the same form sent twice adds one part.
    """

    name: str
    serial: str = ""
    facts: Mapping[str, Any] = field(default_factory=dict)
    made_on: date | None = None
    bought_on: date | None = None
    code: UUID | None = None


@transaction.atomic
def part_add(
    *, site: Site, kind: str, said: PartFacts, by: User, machine: Machine | None = None
) -> Part:
    """Add a part, on a machine or in store; where it came to is its first move.

    Raises
    ------
    UnknownReference, InvalidQuantity, RuleBroken : a kind or a fact that cannot be, a day that
        has not come yet, a machine of another site.
    """
    _refuse_elsewhere(site, machine)
    row = _row(kind, said)
    again = Part.objects.filter(code=said.code).first() if said.code else None
    if again is not None and again.site_id == site.pk:
        return again
    if said.code is not None and again is None:
        row["code"] = said.code
    before = carried_fields(machine) if machine else {}
    order = list(PART_KINDS).index(kind)
    try:
        with transaction.atomic():
            part = Part.objects.create(site=site, kind=kind, machine=machine, order=order, **row)
    except IntegrityError:
        if said.code is None:
            raise
        # The same form a moment ago.
        return Part.objects.get(site=site, code=said.code)
    PartMove.objects.create(part=part, to_machine=machine, by=by, at=timezone.now(), why="added")
    if machine:
        carry(machine=machine, by=by, before=before)
    return part


@transaction.atomic
def parts_write(*, parts: Iterable[Part], by: User, at: datetime) -> list[Part]:
    """Bring in parts that were kept elsewhere, with where they are as their first move.

    Raises
    ------
    UnknownReference, InvalidQuantity, RuleBroken : a kind or a fact that cannot be.
    """
    made = list(parts)
    for part in made:
        part.facts = facts_read(part.kind, part.facts)
    Part.objects.bulk_create(made, batch_size=500)
    moves = [
        PartMove(part=part, to_machine_id=part.machine_id, by=by, at=at, why="added")
        for part in made
    ]
    PartMove.objects.bulk_create(moves, batch_size=500)
    carry_all({part.machine_id for part in made if part.machine_id is not None})
    return made


def _refuse_elsewhere(site: Site, machine: Machine | None) -> None:
    if machine is not None and machine.site_id != site.pk:
        raise RuleBroken(f"{machine} is no machine of {site}.")


def _row(kind: str, said: PartFacts) -> dict[str, Any]:
    """What was said, fit to be kept."""
    row = {one.name: getattr(said, one.name) for one in fields(said) if one.name != "code"}
    row["facts"] = facts_read(kind, said.facts)
    row["name"], row["serial"] = said.name.strip(), said.serial.strip()
    if not row["name"]:
        raise RuleBroken("Give the part a name.")
    for name in ("made_on", "bought_on"):
        if row[name] is not None and row[name] > timezone.localdate():
            raise RuleBroken("This day has not come yet; write when it was made and bought.")
    return row


@transaction.atomic
def part_change(*, part: Part, said: PartFacts, by: User) -> Part:
    """Change what is written down of a part; the change is kept with what it was before."""
    part = _held(part)
    now = _row(part.kind, said)
    before = {name: getattr(part, name) for name in now}
    after = {name: value for name, value in now.items() if value != before[name]}
    if not after:
        return part
    carried = carried_fields(part.machine) if part.machine else {}
    for name, value in after.items():
        setattr(part, name, value)
    part.save(update_fields=list(after))
    PartChange.objects.create(part=part, by=by, before=_flat(before), after=_flat(now))
    if part.machine:
        carry(machine=part.machine, by=by, before=carried)
    return part


def _flat(row: Mapping[str, Any]) -> dict[str, Any]:
    """The facts beside the rest, as the log keeps them."""
    rest = {name: value for name, value in row.items() if name != "facts"}
    return plain_row({**rest, **row["facts"]})


@transaction.atomic
def part_move(
    *,
    part: Part,
    to_machine: Machine | None,
    by: User,
    why: str = "",
    at: datetime | None = None,
) -> PartMove:
    """Take a part to another machine, or to the store; its history goes with it.

    Raises
    ------
    RuleBroken : it is there already, is no longer kept, the machine is of another site, or the
        time lies before its last move or has not come yet.
    """
    part = _held(part)
    at = at or timezone.now()
    _refuse_elsewhere(part.site, to_machine)
    if part.retired_at is not None:
        raise RuleBroken(f"{part} is no longer kept; take it back first.")
    if to_machine == part.machine:
        raise RuleBroken(f"{part} is there already.")
    if at > timezone.now():
        raise RuleBroken("This time has not come yet; write when it was moved.")
    last = part.moves.first()
    if last is not None and at < last.at:
        raise RuleBroken("It was moved again after that; write a later time.")
    return _moved(part, to_machine, by, at, why)


def _moved(part: Part, to_machine: Machine | None, by: User, at: datetime, why: str) -> PartMove:
    from_machine = part.machine
    touched = [one for one in (from_machine, to_machine) if one is not None]
    before = {one.pk: carried_fields(one) for one in touched}
    part.machine = to_machine
    part.save(update_fields=["machine"])
    for one in touched:
        carry(machine=one, by=by, before=before[one.pk])
    return PartMove.objects.create(
        part=part, from_machine=from_machine, to_machine=to_machine, by=by, at=at, why=why.strip()
    )


@transaction.atomic
def part_move_undo(*, part: Part, by: User) -> PartMove:
    """Take the last move back: the part goes where it came from, and both moves stay readable."""
    part = _held(part)
    last = part.moves.first()
    if last is None or part.moves.count() == 1:
        raise RuleBroken(f"{part} has not been moved yet.")
    return part_move(part=part, to_machine=last.from_machine, by=by, why=_TAKEN_BACK)


@transaction.atomic
def part_retire(*, part: Part, by: User, why: str) -> Part:
    """A part is no longer kept: it leaves its machine, its history stays."""
    part = _held(part)
    if not why.strip():
        raise RuleBroken("Say why it is no longer kept.")
    if part.retired_at is not None:
        return part
    if part.machine is not None:
        _moved(part, None, by, timezone.now(), why)
    _retired(part, by, timezone.now(), why)
    return part


@transaction.atomic
def part_restore(*, part: Part, by: User) -> Part:
    """A part that was let go is kept again; it lies in store."""
    part = _held(part)
    if part.retired_at is not None:
        _retired(part, by, None, _TAKEN_BACK)
    return part


def _retired(part: Part, by: User, at: datetime | None, why: str) -> None:
    before, part.retired_at = part.retired_at, at
    part.save(update_fields=["retired_at"])
    PartChange.objects.create(
        part=part,
        by=by,
        before={"retired_at": plain(before)},
        after={"retired_at": plain(at), "why": why.strip()},
    )


def _held(part: Part) -> Part:
    """The part as it stands now, held until the end of the transaction."""
    return (
        Part.objects.select_for_update(of=("self",))
        .select_related("machine", "site")
        .get(pk=part.pk)
    )
