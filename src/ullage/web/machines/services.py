"""Every write to machines and to what was found along their chains."""

from collections.abc import Mapping
from datetime import datetime
from typing import Any
from uuid import UUID

from django.db import transaction
from django.utils import timezone

from ullage.core.errors import RuleBroken
from ullage.web.accounts.selectors import User
from ullage.web.machines.models import ChainRecord, Machine, MachineChange
from ullage.web.sites.selectors import Site

__all__ = ["chain_record_add", "machine_add", "machine_back", "machine_change", "machine_out"]


def _refuse_twice(site: Site, name: str, machine: Machine | None = None) -> None:
    others = Machine.objects.filter(site=site, name__iexact=name)
    if (others.exclude(pk=machine.pk) if machine else others).exists():
        raise RuleBroken(f"There is a machine {name} already; give this one another name.")


@transaction.atomic
def machine_add(*, site: Site, name: str, **facts: Any) -> Machine:
    """Add a machine; a name stands once at a site."""
    _refuse_twice(site, name)
    return Machine.objects.create(site=site, name=name, order=site.machines.count(), **facts)


@transaction.atomic
def machine_change(*, machine: Machine, by: User, facts: Mapping[str, Any]) -> Machine:
    """Change a machine's facts; the change is kept with who, when, before and after."""
    if "name" in facts:
        _refuse_twice(machine.site, facts["name"], machine)
    before = {field: getattr(machine, field) for field in facts}
    after = {field: value for field, value in facts.items() if value != before[field]}
    if not after:
        return machine
    for field, value in after.items():
        setattr(machine, field, value)
    machine.save(update_fields=list(after))
    MachineChange.objects.create(
        machine=machine,
        by=by,
        before={field: _kept(before[field]) for field in after},
        after={field: _kept(value) for field, value in after.items()},
    )
    return machine


def _kept(value: Any) -> Any:
    """A value as the log keeps it: plain ones as they are, a room by its name."""
    return value if isinstance(value, (str, int, float, bool, type(None))) else str(value)


@transaction.atomic
def machine_out(*, machine: Machine, by: User, reason: str) -> None:
    """Take a machine out of use, and say why."""
    machine_change(machine=machine, by=by, facts={"out_of_use": reason})


@transaction.atomic
def machine_back(*, machine: Machine, by: User) -> None:
    """Bring a machine back into use; that it was out, and why, stays in its log."""
    machine_change(machine=machine, by=by, facts={"out_of_use": ""})


@transaction.atomic
def chain_record_add(
    *,
    machine: Machine,
    by: User,
    source_code: UUID,
    found: Mapping[str, Mapping[str, Any]],
    at: datetime,
) -> ChainRecord:
    """Keep what a person found along a chain; earlier looks stay as they are.

    Raises
    ------
    RuleBroken : nothing was looked at, or a time that has not come yet.
    """
    if not any(found.values()):
        raise RuleBroken("Nothing was looked at: answer at least one question.")
    if at > timezone.now():
        raise RuleBroken("This time has not come yet; write when you looked.")
    kept = {part: dict(fields) for part, fields in found.items()}
    return ChainRecord.objects.create(
        machine=machine, by=by, source_code=source_code, found=kept, at=at
    )
