"""Every write to machines and to what was found along their chains."""

from collections.abc import Mapping
from datetime import datetime
from typing import Any
from uuid import UUID

from django.db import transaction
from django.utils import timezone

from ullage.core.errors import RuleBroken
from ullage.web.accounts.selectors import User
from ullage.web.machines.models import ChainRecord, Machine, UseState
from ullage.web.machines.services.carry import carried_fields
from ullage.web.machines.services.log import change_write
from ullage.web.machines.services.states import state_set
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
    """Change a machine's facts; the change is kept with who, when, before and after.

    Raises
    ------
    RuleBroken : a name that is taken, or a fact that stands on a part of the machine.
    """
    if "name" in facts:
        _refuse_twice(machine.site, facts["name"], machine)
    _refuse_carried(machine, facts)
    return change_write(machine=machine, by=by, facts=facts)


def _refuse_carried(machine: Machine, facts: Mapping[str, Any]) -> None:
    for field, value in carried_fields(machine).items():
        if field in facts and facts[field] != value:
            words = field.replace("_l_min", "").replace("_", " ")
            raise RuleBroken(f"The {words} of {machine} stands on a part of it; change it there.")


def machine_out(*, machine: Machine, by: User, reason: str) -> None:
    """Take a machine out of use, and say why."""
    state_set(thing=machine, to=UseState.OUT, by=by, reason=reason)


def machine_back(*, machine: Machine, by: User) -> None:
    """Bring a machine back into use; that it was out, and why, stays in its log."""
    state_set(thing=machine, to=UseState.IN_USE, by=by)


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
