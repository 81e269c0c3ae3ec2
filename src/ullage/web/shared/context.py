"""What every page knows: the caution line, the site, the way round."""

from dataclasses import dataclass
from typing import Any

from django.http import HttpRequest
from django.urls import NoReverseMatch, reverse

from ullage.answers import CAUTION_LINE
from ullage.web.sites.selectors import role_may

__all__ = ["Place", "page", "places"]

#: Label, icon, and the names under which its page may be found; no page, no entry.
_NAV = (
    ("Today", "today", "days:today"),
    ("Day plan", "plan", "days:plan"),
    ("Machines", "machine", "machines:list"),
    ("Supplies", "supply", "supply:list"),
    ("Catalogue", "book", "supply:catalogue"),
    ("Settings", "settings", "sites:settings"),
)
_TABS = (
    ("Today", "today", "days:today"),
    ("Plan", "plan", "days:plan"),
    ("Scan", "scan", "supply:scan"),
    ("Supplies", "supply", "supply:list"),
    ("More", "more", "sites:more"),
)


@dataclass(frozen=True, slots=True)
class Place:
    """One entry of the navigation."""

    label: str
    icon: str
    url: str
    is_here: bool


def places(entries: tuple[tuple[str, str, str], ...], path: str) -> list[Place]:
    """The entries whose pages exist; the one that is open is marked."""
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
    known: dict[str, Any] = {"caution_line": CAUTION_LINE}
    membership = getattr(request, "membership", None)
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
