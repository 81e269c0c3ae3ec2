"""Who asks, and how often: the session of a person, with its token where something is written."""

from typing import cast

from django.conf import settings
from django.core.exceptions import PermissionDenied
from django.http import HttpRequest
from django.utils import timezone
from ninja.errors import AuthenticationError, HttpError
from ninja.security import APIKeyCookie
from ninja.throttling import SimpleRateThrottle
from ninja.utils import check_csrf

from ullage.web.accounts.selectors import User
from ullage.web.shared.access import stand_at
from ullage.web.shared.http import SiteRequest
from ullage.web.sites.selectors import demand

__all__ = ["AtSite", "Pace", "person_of", "proved"]

_NO_TOKEN = "The token of the form is missing: send the cookie csrftoken as X-CSRFToken too."  # noqa: S105  # a sentence
_NO_JSON = "Send JSON, and say so: Content-Type: application/json."


def person_of(request: HttpRequest) -> User | None:
    """Who is signed in with a password of their own, at a screen that is not locked."""
    if getattr(request, "is_locked", False):
        return None
    user = request.user
    return user if user.is_authenticated and user.one_time_until is None else None


def proved(request: HttpRequest) -> None:
    """Refuse a writing request of a session that comes without the token of its pages.

    What is no JSON is refused before: a form of another site could send it.
    """
    if request.content_type != "application/json":
        raise HttpError(422, _NO_JSON)
    if check_csrf(request) is not None:
        raise PermissionDenied(_NO_TOKEN)


class AtSite(APIKeyCookie):
    """Let in who may look or operate at the chosen site; 401, 403 or 404 with a sentence else."""

    param_name = settings.SESSION_COOKIE_NAME

    def __init__(self, what: str = "look") -> None:
        super().__init__(csrf=False)
        self.what = what
        self.openapi_name = "Session"

    def authenticate(self, request: HttpRequest, key: str | None) -> User:
        """The person, standing at a site."""
        user = person_of(request)
        if user is None:
            raise AuthenticationError(message="Sign in first.")
        if request.method not in {"GET", "HEAD"}:
            proved(request)
        try:
            demand(stand_at(cast("SiteRequest", request)), self.what)
        finally:
            timezone.deactivate()
        return user


class Pace(SimpleRateThrottle):
    """So many requests in a time, for each person, or for each address where nobody is."""

    def __init__(self, scope: str, rate: str) -> None:
        super().__init__(rate)
        self.scope = scope

    def get_cache_key(self, request: HttpRequest) -> str:
        """Whose requests are counted together."""
        user = request.user
        who = user.pk if user.is_authenticated else request.META.get("REMOTE_ADDR", "")
        return f"pace_{self.scope}_{who}"
