"""A case is made ready and begins: the record opens, and the first gas flows."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime

from django.db import transaction
from django.utils import timezone

from ullage.answers import Verdict
from ullage.answers.record.beginning import Override, group_allowed
from ullage.answers.record.closing import ANIMALS, animals_text
from ullage.answers.record.things import EntryKind
from ullage.core.errors import RuleBroken
from ullage.web.accounts.selectors import User
from ullage.web.cases.models import CaseState, Record
from ullage.web.cases.selectors.ready import ready_of
from ullage.web.cases.selectors.rules import rules_of
from ullage.web.cases.services.chain import record_locked
from ullage.web.cases.services.entries import Seen, event, setting, write_seen
from ullage.web.cases.services.life import Opening, facts_write, record_open, state_write
from ullage.web.days.services import case_begin
from ullage.web.sites.selectors import Site

__all__ = ["AnimalSaid", "BeginSaid", "case_ready", "case_run"]


@dataclass(frozen=True, slots=True, kw_only=True)
class AnimalSaid:
    """One animal of a group: its id, and its weight as it was typed, where it was weighed."""

    name: str
    weight: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class BeginSaid:
    """What a person says at the beginning: when gas first flowed, and what is set.

    ``settings`` by variable, as typed. ``override`` where something is missing.
    """

    at: datetime
    settings: Mapping[str, str] = field(default_factory=dict)
    override: Override | None = None


@transaction.atomic
def case_ready(
    *, site: Site, opening: Opening, by: User, animals: Sequence[AnimalSaid] = ()
) -> Record:
    """Open the record of a case, with what is known of machine and gas in its first line.

    Raises
    ------
    RuleBroken : several animals where the rule asks for a record each, or none of a group.
    """
    now = timezone.now()
    facts = {**opening.facts, **ready_of(opening.machine, now).facts}
    if opening.is_group:
        rule = group_allowed(opening.species, by_site=rules_of(site).groups)
        if rule.verdict is not Verdict.FINE:
            raise RuleBroken(rule.sentence)
        if not animals:
            raise RuleBroken("Name the animals of the group, one on each line.")
        facts[ANIMALS] = animals_text(one.name for one in animals)
    record = record_open(site=site, opening=replace(opening, facts=facts), by=by)
    if record.count > 1:  # the same form a moment ago
        return record
    write_seen(record=record, seen=[_weighed(one, now) for one in animals if one.weight], by=by)
    record.refresh_from_db()
    return record


def _weighed(one: AnimalSaid, now: datetime) -> Seen:
    return Seen(kind=EntryKind.VITAL, what="weight", typed=one.weight, at=now, animal=one.name)


@transaction.atomic
def case_run(*, record: Record, said: BeginSaid, by: User) -> Record:
    """The first gas flows: what was missing, who answers for it, and what is set are written.

    Raises
    ------
    RuleBroken : the machine is out of use, or something is missing and nobody answers for it;
        the plan of the case has ended or was cancelled.
    """
    locked = record_locked(record)
    if locked.state == CaseState.RUNNING:
        return locked
    ready = ready_of(locked.machine, timezone.now(), said.override)
    if ready.answer.verdict in {Verdict.STOP, Verdict.NOT_YET}:
        raise RuleBroken(f"{ready.answer.sentence} {ready.answer.todo}".strip())
    override = said.override if "override_by" in ready.facts else None
    why = override.reason if override else "As it stood when the case began."
    facts_write(record=locked, facts=ready.facts, by=by, reason=why)
    state_write(
        record=locked, to=CaseState.RUNNING, by=by, reason=override.reason if override else ""
    )
    Record.objects.filter(pk=locked.pk).update(began_at=said.at)
    seen = [event("anaesthesia began", said.at)]
    seen += [setting(what, typed, said.at) for what, typed in said.settings.items() if typed]
    write_seen(record=locked, seen=seen, by=by)
    planned = locked.planned
    if planned is not None and planned.state != "running":
        case_begin(case=planned, by=by, at=said.at)
    locked.refresh_from_db()
    return locked
