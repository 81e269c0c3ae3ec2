"""Author tickets: who was signed in at a device, signed by the server, so that it can be proved.

A device keeps the ticket beside what is entered; what reaches the server days later, in the session
of somebody else or in none, still has the author that it had when it was written.
"""

from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from typing import Any

from django.core import signing
from django.utils import timezone

from ullage.core.errors import RuleBroken
from ullage.web.accounts.selectors import User
from ullage.web.cases.models import Tablet

__all__ = ["Ticket", "ticket_new", "ticket_read"]

_SALT = "ullage.cases.author"
_HOURS = timedelta(hours=12)
#: So long after its end a ticket still proves who wrote what lies within it.
_PROVES = timedelta(days=60)
#: Clocks of devices and what was measured of them differ by so much at most.
_CLOCKS = timedelta(minutes=5)
_LONGEST = 1000


@dataclass(frozen=True, slots=True, kw_only=True)
class Ticket:
    """Who was signed in at which device, from when until when."""

    user: int
    username: str
    tablet: str
    begins: datetime
    ends: datetime

    def covers(self, written: datetime, offset_s: float) -> bool:
        """Whether something written then, by a clock that ran ahead so much, lies within it."""
        at = written.timestamp() - offset_s
        slack = _CLOCKS.total_seconds()
        return self.begins.timestamp() - slack <= at <= self.ends.timestamp() + slack


def ticket_new(*, user: User, tablet: Tablet | None) -> tuple[str, Ticket]:
    """Sign that a person is at a device now; for one that is not enrolled, without its name."""
    now = timezone.now().replace(microsecond=0)
    made = Ticket(
        user=user.pk,
        username=user.username,
        tablet=str(tablet.code) if tablet else "",
        begins=now,
        ends=now + _HOURS,
    )
    said = {
        "user": made.user,
        "name": made.username,
        "tablet": made.tablet,
        "from": int(made.begins.timestamp()),
    }
    return signing.dumps(said, salt=_SALT), made


def ticket_read(text: str) -> Ticket:
    """The ticket that a text is.

    Raises
    ------
    RuleBroken : not signed by this server, or too old to prove anything.
    """
    if len(text) > _LONGEST:
        raise RuleBroken("The ticket of its author is none of ours.")
    try:
        said = signing.loads(text, salt=_SALT, max_age=_HOURS + _PROVES)
    except signing.SignatureExpired:
        raise RuleBroken("The ticket of its author is too old to prove anything.") from None
    except (signing.BadSignature, ValueError):
        raise RuleBroken("The ticket of its author is none of ours.") from None
    return _read(said)


def _read(said: Any) -> Ticket:
    begins = datetime.fromtimestamp(said["from"], tz=UTC)
    return Ticket(
        user=said["user"],
        username=said["name"],
        tablet=said["tablet"],
        begins=begins,
        ends=begins + _HOURS,
    )
