"""From which browsers somebody signed in before: wrong tries of strangers do not slow these."""

from secrets import token_urlsafe

from django.conf import settings
from django.core import signing
from django.http import HttpRequest, HttpResponseBase

from ullage.web.accounts.selectors import User, user_named
from ullage.web.accounts.services import At
from ullage.web.shared.device import address_of

__all__ = ["COOKIE", "device_remember", "places_of"]

COOKIE = "ullage_device"
_SALT = "ullage.web.accounts.devices"
_SECONDS = 365 * 86_400
#: So many people share one tablet at most; who came longest ago is forgotten first.
_MOST_PEOPLE = 40


def _kept(request: HttpRequest) -> tuple[str, list[int]]:
    """The name of this browser and who signed in from it; empty where nobody did."""
    try:
        found = signing.loads(request.COOKIES.get(COOKIE, ""), salt=_SALT, max_age=_SECONDS)
        return str(found["device"]), [int(one) for one in found["people"]]
    except (signing.BadSignature, KeyError, TypeError, ValueError):
        return "", []


def device_remember(request: HttpRequest, response: HttpResponseBase, user: User) -> None:
    """Remember that this person signed in from this browser."""
    device, people = _kept(request)
    if people[-1:] == [user.pk]:
        return
    people = [*(one for one in people if one != user.pk), user.pk][-_MOST_PEOPLE:]
    value = {"device": device or token_urlsafe(12), "people": people}
    response.set_cookie(
        COOKIE,
        signing.dumps(value, salt=_SALT),
        max_age=_SECONDS,
        secure=settings.SESSION_COOKIE_SECURE,
        httponly=True,
        samesite="Lax",
    )


def places_of(request: HttpRequest, username: str) -> tuple[At, ...]:
    """Where tries to sign in under this name are counted, whether or not somebody has it.

    From a browser that the person came from before: at that browser alone. From elsewhere: at the
    name and at the address.
    """
    user = user_named(username)
    folded = username.strip().casefold()
    device, people = _kept(request)
    if user is not None and user.pk in people:
        return (At("account", f"{folded}|{device}", user),)
    return (At("account", f"{folded}|", user), At("address", address_of(request)))
