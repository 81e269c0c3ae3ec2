"""What every page knows: the caution line, the site, the way round."""

from dataclasses import dataclass
from typing import Any, cast

from django.http import Http404, HttpRequest
from django.urls import NoReverseMatch, reverse

from ullage.answers import CAUTION_LINE
from ullage.web.shared.access import stand_at
from ullage.web.shared.http import SiteRequest
from ullage.web.sites.selectors import Membership, role_may

__all__ = ["Place", "page", "places"]

#: Label, icon, and the names under which its page may be found; no page, no entry.
_NAV = (
    ("Today", "today", "days:today"),
    ("Plan", "plan", "days:plan"),
    ("Cases", "cases", "cases:home"),
    ("Machines", "machine", "machines:list"),
    ("Checks", "check", "checks:home"),
    ("Supplies", "supply", "supply:list"),
    ("Stock", "supply", "stock:list"),
    ("Service", "service", "service:due"),
    ("Waste gas", "waste", "exposure:home"),
    ("Catalogue", "book", "catalogue:home"),
    ("Settings", "settings", "sites:settings"),
)
_TABS = (
    ("Today", "today", "days:today"),
    ("Plan", "plan", "days:plan"),
    ("Scan", "scan", "supply:scan"),
    ("Cases", "cases", "cases:home"),
    ("More", "more", "sites:more"),
)


#: Pages that stand under another place than their address says.
_UNDER = {"/records/": "/cases/"}


@dataclass(frozen=True, slots=True)
class Place:
    """One entry of the navigation."""

    label: str
    icon: str
    url: str
    is_here: bool


def places(entries: tuple[tuple[str, str, str], ...], path: str) -> list[Place]:
    """The entries whose pages exist; the one that is open is marked."""
    path = next((under for begin, under in _UNDER.items() if path.startswith(begin)), path)
    found = []
    for label, icon, name in entries:
        try:
            url = reverse(name)
        except NoReverseMatch:
            continue
        found.append((label, icon, url))
    here = max((url for *_, url in found if path.startswith(url)), key=len, default="")
    if here == "/" != path:
        here = ""
    return [Place(label, icon, url, url == here) for label, icon, url in found]


def page(request: HttpRequest) -> dict[str, Any]:
    """The caution line; behind `at_site` also the site, the role and the way round."""
    is_locked = getattr(request, "is_locked", False)
    known: dict[str, Any] = {"caution_line": CAUTION_LINE, "is_locked": is_locked}
    membership = None if is_locked else _membership(request)
    if membership is not None:
        known |= {
            "site": membership.site,
            "membership": membership,
            "memberships": getattr(request, "memberships", [membership]),
            "may_operate": role_may(membership.role, "operate"),
            "may_manage": role_may(membership.role, "manage"),
            "nav": places(_NAV, request.path),
            "tabs": places(_TABS, request.path),
        }
    return known


def _membership(request: HttpRequest) -> Membership | None:
    """Who stands where; pages without `at_site` (the door, errors) find out here."""
    found: Membership | None = getattr(request, "membership", None)
    user = getattr(request, "user", None)
    if found is not None or user is None or not user.is_authenticated or user.one_time_until:
        return found
    try:
        return stand_at(cast("SiteRequest", request))
    except Http404:
        return None
