"""Every write to sites, rooms and memberships."""

from collections.abc import Mapping
from typing import Any

from django.db import transaction

from ullage.core.errors import RuleBroken
from ullage.web.accounts.selectors import User
from ullage.web.audit.services import Kind, audit_line
from ullage.web.shared.changes import write_differing
from ullage.web.sites.models import Membership, Role, Room, Site, SiteChange

__all__ = [
    "member_add",
    "member_remove",
    "member_role_set",
    "room_add",
    "room_change",
    "site_add",
    "site_change",
]


@transaction.atomic
def site_add(*, name: str, **facts: object) -> Site:
    """Add a site; what is not given stays at its usual value."""
    return Site.objects.create(name=name, **facts)


@transaction.atomic
def site_change(
    *, site: Site, by: User, section: str, facts: Mapping[str, Any], reason: str = ""
) -> Site:
    """Change settings of a site; the change is kept with who, when, why, before and after."""
    before, after = write_differing(site, facts)
    if after:
        kept = {"section": section, "before": before, "after": after, "reason": reason.strip()}
        SiteChange.objects.create(site=site, by=by, **kept)
    return site


@transaction.atomic
def member_add(*, site: Site, user: User, role: Role, by: User | None = None) -> Membership:
    """Give a person a role at a site."""
    if Membership.objects.filter(site=site, user=user).exists():
        raise RuleBroken(f"{user} is at {site} already; change the role on the page of people.")
    audit_line(Kind.ROLE, f"{user} belongs here now: {role.value}.", site=site, person=by)
    return Membership.objects.create(site=site, user=user, role=role)


def _keep_one_who_manages(membership: Membership) -> None:
    """Refuse to take the right to manage from the last who has it."""
    managing = Membership.objects.select_for_update().filter(
        site=membership.site, role__in=[Role.LEAD, Role.VETERINARIAN]
    )
    if {one.pk for one in managing} == {membership.pk}:
        raise RuleBroken(
            f"{membership.user} is the last who may manage {membership.site}. "
            "Make somebody else a lead or a veterinarian first."
        )


@transaction.atomic
def member_role_set(*, membership: Membership, role: Role, by: User | None = None) -> None:
    """Change a person's role; the last who may manage a site keeps the right to."""
    if role in {Role.VIEWER, Role.OPERATOR}:
        _keep_one_who_manages(membership)
    said = f"{membership.user}: {role.value}, was {membership.role}."
    audit_line(Kind.ROLE, said, site=membership.site, person=by)
    membership.role = role
    membership.save(update_fields=["role"])


@transaction.atomic
def member_remove(*, membership: Membership, by: User | None = None) -> None:
    """Let a person go from a site; what they recorded stays with their name."""
    _keep_one_who_manages(membership)
    said = f"{membership.user} no longer belongs here; was {membership.role}."
    audit_line(Kind.ROLE, said, site=membership.site, person=by)
    Membership.objects.filter(pk=membership.pk).delete()


@transaction.atomic
def room_add(*, site: Site, name: str, **facts: object) -> Room:
    """Add a room; a name stands once at a site."""
    if Room.objects.filter(site=site, name__iexact=name).exists():
        raise RuleBroken(f"There is a room {name} already; give this one another name.")
    return Room.objects.create(site=site, name=name, **facts)


@transaction.atomic
def room_change(*, room: Room, **facts: object) -> Room:
    """Change a room; a name stands once at a site."""
    name = facts.get("name")
    others = Room.objects.filter(site=room.site, name__iexact=name).exclude(pk=room.pk)
    if name and others.exists():
        raise RuleBroken(f"There is a room {name} already; give this one another name.")
    for field, value in facts.items():
        setattr(room, field, value)
    room.save(update_fields=list(facts))
    return room
