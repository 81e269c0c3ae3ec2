"""That somebody showed again who they are: for one purpose, at one device, once, and not for long.

``proof_new`` is called after the password or the passkey was found right, ``proof_take`` by the
service that does what the proof is for, inside its own transaction.
"""

import hashlib
from datetime import timedelta
from secrets import token_urlsafe

from django.db import transaction
from django.utils import timezone

from ullage.core.errors import RuleBroken
from ullage.web.accounts.models import Proof, Sitting, User

__all__ = ["PROOF_MINUTES", "NotProven", "proof_new", "proof_take"]

#: How long a proof holds.
PROOF_MINUTES = 2


class NotProven(RuleBroken):
    """There is no proof, or none for this."""


def _digest(code: str) -> str:
    return hashlib.sha256(code.encode("utf-8", "replace")).hexdigest()


@transaction.atomic
def proof_new(*, user: User, sitting: Sitting, purpose: str, method: str) -> str:
    """Make a proof; its code is returned once and kept as a digest.

    Parameters
    ----------
    user : who showed it.
    sitting : at which device; the proof is worth nothing at another.
    purpose : for what, in words that the person saw.
    method : "password" or "passkey".
    """
    now, code = timezone.now(), token_urlsafe(32)
    Proof.objects.filter(until__lt=now - timedelta(days=1)).delete()
    Proof.objects.create(
        digest=_digest(code),
        user=user,
        sitting=sitting,
        purpose=purpose[:300],
        method=method,
        made_at=now,
        until=now + timedelta(minutes=PROOF_MINUTES),
    )
    return code


@transaction.atomic
def proof_take(code: str, *, user: User, sitting: Sitting, purpose: str) -> str:
    """Use a proof up; returns by what it was shown, "password" or "passkey".

    Raises
    ------
    NotProven : no such proof, of another person, device or purpose, too old, or taken already.
    """
    now = timezone.now()
    mine = Proof.objects.filter(
        digest=_digest(code), user=user, sitting=sitting, purpose=purpose[:300]
    )
    taken = mine.filter(taken_at=None, until__gte=now, sitting__ended_at=None).update(taken_at=now)
    if not taken:
        raise NotProven("Show again who you are: the password or a passkey, then go on at once.")
    return mine.get().method
