"""Small things every view needs: who asks, at which site, for which part."""

from collections.abc import Callable

from django.http import HttpRequest

from ullage.web.accounts.selectors import User
from ullage.web.sites.selectors import Membership, Site

__all__ = ["SignedInRequest", "SiteRequest", "wants_part"]


class SignedInRequest(HttpRequest):
    """A request behind `login_required`: its user is one of ours."""

    user: User


class SiteRequest(SignedInRequest):
    """A request behind `at_site`: its person stands at a site in a role."""

    membership: Membership
    memberships: list[Membership]
    site: Site  # type: ignore[assignment]  # the stubs mean Django's own app of sites
    may: Callable[[str], bool]


def wants_part(request: HttpRequest) -> bool:
    """Say whether htmx asks for a part; going back in history needs the whole page."""
    asked = request.headers.get
    return asked("HX-Request") == "true" and asked("HX-History-Restore-Request") != "true"
