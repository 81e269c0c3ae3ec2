"""How long a session may last and lie untouched, and what is asked of it at each request."""

from collections.abc import Mapping
from datetime import datetime, timedelta
from typing import Any

from django.conf import settings
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect, JsonResponse
from django.urls import reverse
from django.utils import timezone
from django.utils.http import urlencode
from django_htmx.http import HttpResponseClientRedirect

from ullage.web.accounts.selectors import Sitting, User
from ullage.web.shared.access import SITE_IN_SESSION
from ullage.web.sites.selectors import memberships_of

__all__ = ["LOCKED", "is_over", "lock_minutes", "locked_response", "may_be_held", "touched_at"]

#: The status of a page that is behind the lock: nothing is wrong with the request.
LOCKED = 423
#: Where a site has set nothing.
_USUAL_LOCK_MIN = 5
#: htmx and scripts say how many seconds ago somebody touched the screen.
_TOUCHED = "X-Ullage-Touched"
_MOST_HELD = 100_000
#: A form with one of these is not kept: it is typed again.
_SECRETS = ("password", "credential", "secret", "pin_again")


def is_over(request: HttpRequest, sitting: Sitting, now: datetime) -> bool:
    """Say whether a session lasted too long, or lay untouched too long."""
    kind = "usual" if request.session.get_expire_at_browser_close() else "remembered"
    whole_h, untouched_h = settings.SESSION_LIMITS_H[kind]
    return now - sitting.began_at > timedelta(hours=whole_h) or now - sitting.touched_at > (
        timedelta(hours=untouched_h)
    )


def lock_minutes(request: HttpRequest, user: User) -> int:
    """After how many untouched minutes the screen locks at the site where this person stands."""
    found = memberships_of(user)
    chosen = request.session.get(SITE_IN_SESSION)
    here = next((one for one in found if one.site_id == chosen), found[0] if found else None)
    return here.site.quick_lock_min if here else _USUAL_LOCK_MIN


def touched_at(request: HttpRequest, now: datetime) -> datetime | None:
    """When somebody last touched the screen, as far as a request shows; polling shows nothing."""
    said = request.headers.get(_TOUCHED, "")
    if said.isascii() and said.isdigit() and len(said) < 9:
        return now - timedelta(seconds=int(said))
    by_script = request.headers.get("HX-Request") == "true" or _is_script(request)
    return None if by_script else now


def locked_response(request: HttpRequest) -> HttpResponse:
    """To the lock page, in the form that the asker understands."""
    there = f"{reverse('accounts:locked')}?{urlencode({'next': _back_to(request)})}"
    if request.headers.get("HX-Request") == "true":
        moved = HttpResponseClientRedirect(there)
        moved.status_code = LOCKED
        return moved
    if _is_script(request):
        return JsonResponse({"says": "The screen is locked. Unlock it first."}, status=LOCKED)
    return HttpResponseRedirect(there)


def _is_script(request: HttpRequest) -> bool:
    """Say whether a script asks, for which a page is no answer."""
    mode = request.headers.get("Sec-Fetch-Mode")
    if mode is not None:
        return mode != "navigate"
    return "text/html" not in request.headers.get("Accept", "text/html")


def _back_to(request: HttpRequest) -> str:
    """The page to go back to: the one that was asked for, or the one a form was on."""
    if request.method in {"GET", "HEAD"} and request.headers.get("HX-Request") != "true":
        return request.get_full_path()
    return "/"


def may_be_held(request: HttpRequest) -> Mapping[str, Any] | None:
    """What was sent, to be kept until the person is back; nothing that holds a secret or files."""
    if request.method != "POST" or request.FILES or "json" in (request.content_type or ""):
        return None
    kept = [
        (name, one)
        for name, some in request.POST.lists()
        for one in some
        if name != "csrfmiddlewaretoken"
    ]
    has_secret = any(word in name for name, _ in kept for word in _SECRETS)
    if not kept or has_secret or sum(len(one) for _, one in kept) > _MOST_HELD:
        return None
    at = timezone.now().isoformat()
    return {"path": request.get_full_path(), "fields": kept, "at": at}
