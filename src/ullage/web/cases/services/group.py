"""The animals of a group: one more joins, with a line of its own."""

from datetime import datetime

from django.db import transaction

from ullage.answers.record.closing import ANIMALS, animals_in, animals_text
from ullage.answers.record.things import EntryKind
from ullage.core.errors import RuleBroken
from ullage.web.accounts.selectors import User
from ullage.web.cases.models import Record
from ullage.web.cases.selectors import lines_of
from ullage.web.cases.services.begin import AnimalSaid
from ullage.web.cases.services.chain import record_locked
from ullage.web.cases.services.entries import Seen, event, write_seen
from ullage.web.cases.services.life import facts_write

__all__ = ["animal_join"]


@transaction.atomic
def animal_join(
    *, record: Record, animal: AnimalSaid, at: datetime, by: User, code: str = ""
) -> Record:
    """One more animal joins a group that is not closed; the same form sent twice adds one.

    Raises
    ------
    RuleBroken : no group, closed, an id that is there already or none.
    """
    locked = record_locked(record)
    if code and locked.lines.filter(code=code).exists():
        return locked
    name = animal.name.strip()
    _refuse(locked, name)
    names = animals_in(lines_of(locked))
    if name in names:
        raise RuleBroken(f"{name} is in this record already; give this animal another id.")
    facts = {ANIMALS: animals_text([*names, name])}
    facts_write(record=locked, facts=facts, by=by, reason=f"{name} joined.")
    seen = [event("connected", at, animal=name)]
    if code:
        seen = [Seen(kind=EntryKind.EVENT, what="connected", at=at, animal=name, code=code)]
    if animal.weight.strip():
        weight = animal.weight.strip()
        seen.append(Seen(kind=EntryKind.VITAL, what="weight", typed=weight, at=at, animal=name))
    write_seen(record=locked, seen=seen, by=by)
    locked.refresh_from_db()
    return locked


def _refuse(record: Record, name: str) -> None:
    if not record.is_group:
        raise RuleBroken(f"{record} is of one animal; open a record for the other one.")
    if record.is_closed:
        raise RuleBroken(f"{record} is closed; no animal joins it any more.")
    if not name or ";" in name:
        raise RuleBroken("Give the animal an id, without ';'.")
