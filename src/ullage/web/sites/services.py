"""Every write to sites, rooms and memberships."""

from django.db import transaction

from ullage.core.errors import RuleBroken
from ullage.web.accounts.selectors import User
from ullage.web.sites.models import Membership, Role, Room, Site

__all__ = ["member_add", "member_role_set", "room_add", "room_change", "site_add", "site_change"]


@transaction.atomic
def site_add(*, name: str, **facts: object) -> Site:
    """Add a site; what is not given stays at its usual value."""
    return Site.objects.create(name=name, **facts)


@transaction.atomic
def site_change(*, site: Site, **facts: object) -> Site:
    """Change the settings of a site; only the fields named are written."""
    for field, value in facts.items():
        setattr(site, field, value)
    site.save(update_fields=list(facts))
    return site


@transaction.atomic
def member_add(*, site: Site, user: User, role: Role) -> Membership:
    """Give a person a role at a site."""
    if Membership.objects.filter(site=site, user=user).exists():
        raise RuleBroken(f"{user} is at {site} already; change the role on the page of people.")
    return Membership.objects.create(site=site, user=user, role=role)


@transaction.atomic
def member_role_set(*, membership: Membership, role: Role) -> None:
    """Change a person's role; the last who may manage a site keeps the right to."""
    managing = Membership.objects.select_for_update().filter(
        site=membership.site, role__in=[Role.LEAD, Role.VETERINARIAN]
    )
    if role in {Role.VIEWER, Role.OPERATOR} and {one.pk for one in managing} == {membership.pk}:
        raise RuleBroken(
            f"{membership.user} is the last who may manage {membership.site}. "
            "Make somebody else a lead or a veterinarian first."
        )
    membership.role = role
    membership.save(update_fields=["role"])


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
