"""Sittings: begun at sign-in, touched, locked, opened again, ended; a PIN for one of them."""

from collections.abc import Mapping
from datetime import datetime, timedelta
from itertools import pairwise
from typing import Any

from django.contrib.auth.hashers import check_password, make_password
from django.contrib.sessions.backends.db import SessionStore
from django.db import transaction
from django.http import HttpRequest
from django.utils import timezone

from ullage.core.errors import RuleBroken
from ullage.web.accounts.models import Sitting, User
from ullage.web.accounts.services.tries import At, TooManyTries, tries_clear, tries_take
from ullage.web.shared.device import address_of, device_of

__all__ = [
    "PIN_DIGITS",
    "PIN_HOURS",
    "SITTING",
    "held_take",
    "pin_open",
    "pin_set",
    "sitting_begin",
    "sitting_end",
    "sitting_hold",
    "sitting_key",
    "sitting_lock",
    "sitting_open",
    "sitting_touch",
    "sittings_end",
]

#: Where the session keeps the code of its sitting.
SITTING = "sitting"
PIN_DIGITS = 6
PIN_HOURS = 24
_KEPT = timedelta(days=30)


@transaction.atomic
def sitting_begin(request: HttpRequest, user: User) -> Sitting:
    """Begin a sitting with a sign-in; sittings of this person that ended long ago go."""
    now = timezone.now()
    Sitting.objects.filter(user=user, ended_at__lt=now - _KEPT).delete()
    sitting = Sitting.objects.create(
        user=user,
        session_key=request.session.session_key or "",
        device=device_of(request),
        address=address_of(request),
        began_at=now,
        touched_at=now,
    )
    request.session[SITTING] = str(sitting.code)
    return sitting


@transaction.atomic
def sitting_key(sitting: Sitting, session_key: str) -> None:
    """Follow the session to its new key."""
    sitting.session_key = session_key
    sitting.save(update_fields=["session_key"])


@transaction.atomic
def sitting_touch(sitting: Sitting, at: datetime) -> None:
    """Somebody touched the screen; a sitting that is locked stays as it is."""
    Sitting.objects.filter(pk=sitting.pk, locked_at=None, touched_at__lt=at).update(touched_at=at)


@transaction.atomic
def sitting_lock(sitting: Sitting) -> bool:
    """Lock; say whether it was open."""
    now = timezone.now()
    was_open = Sitting.objects.filter(pk=sitting.pk, locked_at=None).update(locked_at=now)
    sitting.locked_at = sitting.locked_at or now
    return bool(was_open)


@transaction.atomic
def sitting_open(sitting: Sitting) -> None:
    """Open again, touched now."""
    now = timezone.now()
    Sitting.objects.filter(pk=sitting.pk).update(locked_at=None, touched_at=now)
    sitting.locked_at, sitting.touched_at = None, now


@transaction.atomic
def sitting_hold(sitting: Sitting, held: Mapping[str, Any]) -> None:
    """Keep what was sent while the screen was locked, until the person is back."""
    Sitting.objects.filter(pk=sitting.pk).update(held=dict(held))


@transaction.atomic
def held_take(sitting: Sitting) -> None:
    """What was held has been sent, or is not wanted."""
    Sitting.objects.filter(pk=sitting.pk).update(held=None)


@transaction.atomic
def sitting_end(sitting: Sitting) -> None:
    """End one sitting; its session and its PIN are gone."""
    Sitting.objects.filter(pk=sitting.pk, ended_at=None).update(
        ended_at=timezone.now(), pin_hash="", pin_until=None, held=None
    )
    if sitting.session_key:
        SessionStore(sitting.session_key).delete()


def sittings_end(user: User, keep: Sitting | None = None) -> int:
    """End all sittings of a person but one; how many there were."""
    found = Sitting.objects.filter(user=user, ended_at=None)
    ended = [one for one in found if one != keep]
    for one in ended:
        sitting_end(one)
    return len(ended)


@transaction.atomic
def pin_set(sitting: Sitting, pin: str) -> None:
    """Set the PIN of this sitting: good on this device alone, until tomorrow or sign-out.

    Raises
    ------
    RuleBroken : fewer than six digits, other signs, or digits that anybody would try first.
    """
    if not (pin.isascii() and pin.isdigit() and PIN_DIGITS <= len(pin) <= 12):
        raise RuleBroken("Six to twelve digits, please.")
    steps = {(int(after) - int(before)) % 10 for before, after in pairwise(pin)}
    if len(steps) == 1 or len(set(pin)) < 3:
        raise RuleBroken("These digits are tried first; choose others.")
    sitting.pin_hash = make_password(pin)
    sitting.pin_until = timezone.now() + timedelta(hours=PIN_HOURS)
    sitting.save(update_fields=["pin_hash", "pin_until"])
    tries_clear(_pin(sitting))


def pin_open(sitting: Sitting, pin: str) -> bool:
    """Say whether this is the PIN; after five wrong ones it is gone, and the password is asked."""
    until = sitting.pin_until
    if not sitting.pin_hash or until is None or until < timezone.now():
        return False
    try:
        tries_take(_pin(sitting))
    except TooManyTries:
        _pin_gone(sitting)
        return False
    if check_password(pin, sitting.pin_hash):
        tries_clear(_pin(sitting))
        return True
    return False


@transaction.atomic
def _pin_gone(sitting: Sitting) -> None:
    sitting.pin_hash, sitting.pin_until = "", None
    sitting.save(update_fields=["pin_hash", "pin_until"])


def _pin(sitting: Sitting) -> At:
    return At("pin", str(sitting.code))
