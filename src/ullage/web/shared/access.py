"""Who may open a page: signed in, at a site, in a role that is large enough."""

from collections.abc import Callable
from functools import partial, wraps
from typing import Concatenate, cast
from zoneinfo import ZoneInfo

from django.contrib import messages
from django.contrib.auth import logout
from django.contrib.auth.views import redirect_to_login
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django_htmx.http import HttpResponseClientRedirect

from ullage.web.accounts.selectors import User
from ullage.web.shared.http import SiteRequest
from ullage.web.sites.selectors import Membership, Site, demand, memberships_of, role_may

__all__ = ["SITE_IN_SESSION", "at_site", "enter", "stand_at", "to_own_password", "to_sign_in"]

#: Where the session keeps the site that a person chose.
SITE_IN_SESSION = "site"


def at_site[**P](
    what: str,
) -> Callable[
    [Callable[Concatenate[SiteRequest, P], HttpResponse]],
    Callable[Concatenate[HttpRequest, P], HttpResponse],
]:
    """Let in who may look, operate, manage, rule or oversee at the chosen site.

    Not signed in: to the sign-in page. A one-time password: to the page that changes it. No
    site at all: 404. Too small a role: 403 and why.
    """

    def let_in(
        view: Callable[Concatenate[SiteRequest, P], HttpResponse],
    ) -> Callable[Concatenate[HttpRequest, P], HttpResponse]:
        @wraps(view)
        def asked(request: HttpRequest, /, *args: P.args, **kwargs: P.kwargs) -> HttpResponse:
            if not request.user.is_authenticated:
                return to_sign_in(request)
            if request.user.one_time_until is not None:
                return to_own_password(request)
            ours = cast("SiteRequest", request)
            demand(stand_at(ours), what)
            return view(ours, *args, **kwargs)

        return cast("Callable[Concatenate[HttpRequest, P], HttpResponse]", asked)

    return let_in


def stand_at(request: SiteRequest) -> Membership:
    """Find the chosen site, or the first; its clock is the clock of the page."""
    request.memberships = memberships_of(request.user)
    if not request.memberships:
        raise Http404
    chosen = request.session.get(SITE_IN_SESSION)
    found = next((one for one in request.memberships if one.site_id == chosen), None)
    return _take(request, found or request.memberships[0])


def enter(request: SiteRequest, site: Site, what: str = "look") -> None:
    """Go over to the site of the thing on the page; 404 for strangers, 403 for small roles."""
    if site.pk != request.site.pk:
        found = next((one for one in request.memberships if one.site_id == site.pk), None)
        if found is None:
            raise Http404
        request.session[SITE_IN_SESSION] = site.pk
        _take(request, found)
    demand(request.membership, what)


def _take(request: SiteRequest, membership: Membership) -> Membership:
    request.membership, request.site = membership, membership.site
    request.may = partial(role_may, membership.role)
    timezone.activate(ZoneInfo(membership.site.time_zone))
    return membership


def to_sign_in(request: HttpRequest, there: str = "") -> HttpResponse:
    """The sign-in page; htmx is told to load it whole, never into a part of a page."""
    door = redirect_to_login(there or request.get_full_path())
    if request.headers.get("HX-Request") == "true":
        return HttpResponseClientRedirect(door.url)
    return door


def to_own_password(request: HttpRequest) -> HttpResponse:
    """Who came in with a one-time password chooses their own first; one too old is void."""
    until = cast("User", request.user).one_time_until
    if until is not None and until < timezone.now():
        logout(request)
        messages.error(request, "This one-time password has run out. Ask a lead for a new one.")
        return to_sign_in(request)
    messages.info(request, "Choose your own password before you go on.")
    return redirect("account_change_password")
