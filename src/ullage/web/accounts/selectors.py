"""Who is who, where they are signed in, and who has to wait after wrong passwords."""

from collections.abc import Iterable
from datetime import datetime
from typing import Any

from django.contrib.sessions.models import Session
from django.db.models import Exists, OuterRef
from django.http import Http404
from django.utils import timezone

from ullage.web.accounts.models import Sitting, Tries, User

__all__ = [
    "Sitting",
    "User",
    "factors_of",
    "first_run_is_open",
    "kept_factors",
    "pin_holds",
    "sitting_by_code",
    "sittings_of",
    "user_for",
    "user_named",
    "waiting_of",
]


def first_run_is_open() -> bool:
    """Say whether nobody has an account yet."""
    return not User.objects.exists()


def user_named(username: str) -> User | None:
    """The person with this user name, whatever its case."""
    return User.objects.filter(username__iexact=username).first()


def user_for(username: str) -> User:
    """The person with exactly this user name; any other is not there (404)."""
    found = User.objects.filter(username=username).first()
    if found is None:
        raise Http404
    return found


def sitting_by_code(code: str, user: User) -> Sitting | None:
    """The sitting of this person that has not ended."""
    return Sitting.objects.filter(code=code, user=user, ended_at=None).first()


def sittings_of(user: User) -> list[Sitting]:
    """Where a person is signed in, the last touched first."""
    alive = Session.objects.filter(session_key=OuterRef("session_key"))
    alive = alive.filter(expire_date__gt=timezone.now())
    return list(Sitting.objects.filter(Exists(alive), user=user, ended_at=None))


def pin_holds(sitting: Sitting) -> bool:
    """Say whether a PIN opens this sitting."""
    until = sitting.pin_until
    return bool(sitting.pin_hash) and until is not None and until > timezone.now()


def waiting_of(people: Iterable[User]) -> dict[int, datetime]:
    """Until when the next try of each account waits, by the number of the person."""
    now = timezone.now()
    rows = Tries.objects.filter(person__in=list(people), until__gt=now).order_by("until")
    return {row.person_id: row.until for row in rows if row.person_id and row.until}


def kept_factors(user: User) -> list[Any]:
    """The second factors of a person as the library keeps them, the oldest first."""
    from allauth.mfa.models import Authenticator

    return list(Authenticator.objects.filter(user=user).order_by("created_at", "pk"))


def factors_of(user: User) -> list[str]:
    """The second factors of a person, by kind: webauthn, totp, recovery_codes."""
    return sorted(str(one.type) for one in kept_factors(user))
