"""Wrong tries slow down the next one, for one account and for one address; they never end it.

The count stands in the database, so it holds across all programs that serve the site. A try is
counted before the secret is looked at, so that many at once are not all let through.
"""

import hashlib
import hmac
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.conf import settings
from django.db import transaction
from django.utils import timezone

from ullage.core.errors import RuleBroken
from ullage.web.accounts.models import Tries, User

__all__ = [
    "LIMITS",
    "LONGEST_WAIT_MIN",
    "At",
    "TooManyTries",
    "tries_clear",
    "tries_lift",
    "tries_take",
]

#: After so many wrong tries the next one waits, twice as long each time.
LIMITS = {"account": 5, "address": 30, "again": 5, "pin": 5, "code": 5}
#: No wait is longer: nobody locks anybody out for ever.
LONGEST_WAIT_MIN = 15
#: After so long without a try the count begins anew.
_FORGOTTEN = {"account": timedelta(hours=24), "address": timedelta(hours=1)}
_FORGOTTEN_ELSE = timedelta(hours=12)


class TooManyTries(RuleBroken):
    """Too many wrong tries; the next one has to wait."""


@dataclass(frozen=True, slots=True)
class At:
    """What tries are counted at: a kind and a name, and whose account it is where that is known."""

    kind: str
    name: str
    person: User | None = None

    @property
    def key(self) -> str:
        """The digest under which it is kept."""
        said = f"{self.kind}\n{self.name}".encode()
        return hmac.new(settings.SECRET_KEY.encode(), said, hashlib.sha256).hexdigest()


@transaction.atomic
def tries_take(*places: At) -> None:
    """Count one try at each place.

    Raises
    ------
    TooManyTries : one of them still has to wait; then nothing is counted.
    """
    now, rows = timezone.now(), []
    for place in sorted(places, key=lambda one: one.key):
        made = {"kind": place.kind, "person": place.person, "last_at": now}
        kept, _ = Tries.objects.select_for_update().get_or_create(key=place.key, defaults=made)
        rows.append(kept)
    waits = [one.until for one in rows if one.until is not None and one.until > now]
    if waits:
        raise TooManyTries(_sentence(max(waits) - now))
    for kept in rows:
        _count(kept, now)


def _count(kept: Tries, now: datetime) -> None:
    if now - kept.last_at > _FORGOTTEN.get(kept.kind, _FORGOTTEN_ELSE):
        kept.count = 0
    kept.count, kept.last_at = kept.count + 1, now
    beyond = kept.count - LIMITS[kept.kind]
    wait = min(LONGEST_WAIT_MIN, 2 ** min(beyond, 10)) if beyond >= 0 else 0
    kept.until = now + timedelta(minutes=wait) if wait else None
    kept.save(update_fields=["count", "last_at", "until"])


def _sentence(left: timedelta) -> str:
    minutes = max(1, -(-int(left.total_seconds()) // 60))
    word = "minute" if minutes == 1 else "minutes"
    return f"Too many wrong tries. Wait {minutes} {word}, then try again."


@transaction.atomic
def tries_clear(*places: At) -> None:
    """Forget the tries at these places: the right secret came."""
    Tries.objects.filter(key__in=[one.key for one in places]).delete()


@transaction.atomic
def tries_lift(person: User) -> int:
    """Let somebody try again at once: all counts of their account go; how many there were."""
    gone, _ = Tries.objects.filter(person=person).delete()
    return gone
