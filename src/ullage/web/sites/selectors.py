"""Which site a person is at, and what they may do there."""

from collections.abc import Collection
from typing import Any
from uuid import UUID

from django.core.exceptions import PermissionDenied
from django.db.models import Model, QuerySet
from django.http import Http404

from ullage.answers import Answer
from ullage.answers.site import site_air_pressure, site_reserve
from ullage.answers.things import ReservePolicy
from ullage.web.accounts.selectors import User
from ullage.web.shared.together import Statement, listed
from ullage.web.sites.models import Membership, Role, Room, Site, SiteChange

__all__ = [
    "Membership",
    "Role",
    "Room",
    "Site",
    "air_of",
    "changes_of",
    "demand",
    "first_day",
    "membership_at",
    "memberships_of",
    "own_or_404",
    "people_of",
    "policy_of",
    "reserve_of",
    "role_may",
    "roles_statement",
    "room_for",
    "rooms_of",
]

#: What each role may do.
_MAY = {
    "look": {Role.VIEWER, Role.OPERATOR, Role.LEAD, Role.VETERINARIAN},
    "operate": {Role.OPERATOR, Role.LEAD, Role.VETERINARIAN},
    "manage": {Role.LEAD, Role.VETERINARIAN},
    "rule": {Role.LEAD, Role.VETERINARIAN},
    "oversee": {Role.LEAD, Role.VETERINARIAN},
}

#: What is said to a person whose role is too small.
_REFUSED = {
    "look": "Your role here does not let you look at this.",
    "operate": "You can see this, not change it. An operator, a lead or a veterinarian can.",
    "manage": "You can see this, not change it. A lead or a veterinarian can.",
    "rule": "You can see this rule, not change it. A lead or a veterinarian can.",
    "oversee": "You cannot see this. A lead or a veterinarian can.",
}


def memberships_of(user: User) -> list[Membership]:
    """All sites a person belongs to, the first joined first; one query."""
    return list(Membership.objects.filter(user=user).select_related("site").order_by("pk"))


def membership_at(user: User, site: Site) -> Membership:
    """The person's membership of exactly this site; 404 for strangers."""
    found = Membership.objects.filter(user=user, site=site).select_related("site").first()
    if found is None:
        raise Http404
    return found


def own_or_404[T: Model](rows: QuerySet[T], user: User, code: UUID, at: str = "site") -> T:
    """The row with this code at any site that the person belongs to; 404 for strangers.

    ``at`` is the way from a row to its site.
    """
    mine: dict[str, Any] = {f"{at}__memberships__user": user, "code": code}
    found = rows.filter(**mine).first()
    if found is None:
        raise Http404
    return found


def role_may(role: str, what: str) -> bool:
    """Say whether a role may look, operate, manage, rule or oversee."""
    return role in _MAY[what]


def roles_statement(site: int, users: Collection[int]) -> Statement:
    """Asks for key and role of those of these people who are active members of a site."""
    places, values = listed([*users])
    sql = (
        'SELECT one."user_id", one."role" FROM "sites_membership" one '  # noqa: S608  # only places
        'JOIN "accounts_user" person ON person."id" = one."user_id" '
        f'WHERE one."site_id" = %s AND one."user_id" IN ({places}) AND person."is_active"'
    )
    return sql, [site, *values]


def demand(membership: Membership, what: str) -> None:
    """Refuse with a sentence (403) where the role is too small."""
    if not role_may(membership.role, what):
        raise PermissionDenied(_REFUSED[what])


def people_of(site: Site) -> list[Membership]:
    """Everybody at a site with their role, by name."""
    found = Membership.objects.filter(site=site).select_related("user")
    return list(found.order_by("user__full_name", "user__username"))


def rooms_of(site: Site) -> list[Room]:
    """The rooms of a site, by name."""
    return list(Room.objects.filter(site=site))


def room_for(site: Site, pk: int) -> Room:
    """One room of a site; any other is as if it did not exist (404)."""
    found = Room.objects.filter(site=site, pk=pk).first()
    if found is None:
        raise Http404
    return found


def air_of(site: Site) -> Answer:
    """The air pressure of a site."""
    return site_air_pressure(elevation_m=site.elevation_m, barometric_kpa=site.barometric_kpa)


def policy_of(site: Site) -> ReservePolicy:
    """What a site keeps back, and below what it does not begin."""
    return ReservePolicy(
        pressure_kpa=site.reserve_kpa,
        volume_l=site.reserve_l,
        minutes=site.reserve_min,
        begin_kpa=site.begin_kpa,
    )


def reserve_of(site: Site) -> Answer:
    """What a site keeps back, or what is proposed."""
    return site_reserve(policy_of(site))


def changes_of(site: Site, section: str, count: int = 10) -> list[SiteChange]:
    """The last changes of one part of the settings, the newest first."""
    found = SiteChange.objects.filter(site=site, section=section).select_related("by")
    return list(found[:count])


def first_day(site: Site) -> dict[str, bool]:
    """What a new site has already."""
    cylinders = site.cylinders.all()
    return {
        "machine": site.machines.exists(),
        "cylinder": cylinders.exists(),
        "reading": cylinders.filter(readings__isnull=False).exists(),
    }
