"""Around each request of somebody who is signed in: is this sitting open, locked or over?"""

from collections.abc import Callable
from datetime import datetime, timedelta
from typing import Any, cast

from django.conf import settings
from django.contrib import messages
from django.contrib.auth import logout
from django.contrib.auth.views import redirect_to_login
from django.http import HttpRequest, HttpResponse, HttpResponseBase
from django.urls import reverse
from django.utils import timezone
from django_htmx.http import HttpResponseClientRedirect

from ullage.web.accounts.devices import device_remember
from ullage.web.accounts.locking import (
    is_over,
    lock_minutes,
    locked_response,
    may_be_held,
    touched_at,
)
from ullage.web.accounts.selectors import Sitting, User, sitting_by_code
from ullage.web.accounts.services import (
    SITTING,
    sitting_begin,
    sitting_end,
    sitting_hold,
    sitting_key,
    sitting_lock,
    sitting_touch,
)
from ullage.web.audit.services import Kind, audit_person

__all__ = ["SittingMiddleware"]

#: Less than this is not written down again.
_COARSE = timedelta(seconds=20)
#: No site locks sooner, so before this nobody needs to be asked how soon.
_SOONEST = timedelta(seconds=55)


class SittingMiddleware:
    """A session that was ended or is over leads to the door, a locked one to the lock page.

    ``request.sitting`` and ``request.is_locked`` are there for every view; a view whose name stands
    in ``settings.OPEN_WHILE_LOCKED`` is reached while the screen is locked, and has to look.
    """

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponseBase]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        """Find the sitting; afterwards remember the browser."""
        ours = cast("Any", request)
        ours.sitting, ours.is_locked = None, False
        if request.user.is_authenticated:
            refused = _stand(request, request.user)
            if refused is not None:
                return refused
        response = self.get_response(request)
        if request.user.is_authenticated:
            device_remember(request, response, request.user)
        return response

    def process_view(
        self, request: HttpRequest, view: object, args: object, kwargs: object
    ) -> HttpResponse | None:
        """Behind the lock only the lock page is reached, and what is named as open."""
        asked = cast("Any", request)
        name = request.resolver_match.view_name if request.resolver_match else ""
        if not asked.is_locked or name in settings.OPEN_WHILE_LOCKED:
            return None
        held = may_be_held(request)
        if held is not None:
            sitting_hold(asked.sitting, held)
        return locked_response(request)


def _stand(request: HttpRequest, user: User) -> HttpResponse | None:
    """Where the session stands: None while it may go on, locked or not."""
    now = timezone.now()
    sitting = _sitting(request, user)
    if sitting is None or is_over(request, sitting, now):
        return _over(request, user, sitting)
    ours = cast("Any", request)
    ours.sitting = sitting
    if sitting.locked_at is None and now - sitting.touched_at > _SOONEST:
        _lock_if_untouched(request, user, sitting, now)
    ours.is_locked = sitting.locked_at is not None
    if not ours.is_locked:
        _touch(request, sitting)
    if request.session.session_key and sitting.session_key != request.session.session_key:
        sitting_key(sitting, request.session.session_key)
    return None


def _lock_if_untouched(request: HttpRequest, user: User, sitting: Sitting, now: datetime) -> None:
    """Lock where nobody touched the screen for the minutes of the site."""
    touched = touched_at(request, now)
    last = max(touched or sitting.touched_at, sitting.touched_at)
    # A form that is sent after the time was up does not count as a touch that kept it open.
    known = sitting.touched_at if touched == now else last
    if now - known >= timedelta(minutes=lock_minutes(request, user)) and sitting_lock(sitting):
        audit_person(Kind.LOCK, user, "Locked after lying untouched.", request=request)


def _touch(request: HttpRequest, sitting: Sitting) -> None:
    touched = touched_at(request, timezone.now())
    if touched is not None and touched - sitting.touched_at > _COARSE:
        sitting_touch(sitting, touched)


def _sitting(request: HttpRequest, user: User) -> Sitting | None:
    """The sitting of this session; a session from before there were sittings gets one."""
    code = request.session.get(SITTING)
    return sitting_by_code(code, user) if code else sitting_begin(request, user)


def _over(request: HttpRequest, user: User, sitting: Sitting | None) -> HttpResponse | None:
    """Sign out, say why, and lead to the door; the page that was asked for comes after it.

    The interface for programs goes on with nobody signed in: it has its own words for that, and a
    device may prove itself without a session.
    """
    if sitting is not None:
        audit_person(Kind.SESSION, user, "The session was over.", request=request)
        sitting_end(sitting)
    there = redirect_to_login(request.get_full_path() if request.method == "GET" else "/")
    logout(request)
    if request.path_info.startswith(reverse("api:api-root")):
        return None
    messages.info(request, "This session is over. Sign in again; what was saved is saved.")
    if request.headers.get("HX-Request") == "true":
        return HttpResponseClientRedirect(there.url)
    return there
