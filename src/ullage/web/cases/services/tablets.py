"""Devices that are enrolled at a site: their public keys, and what they sign.

The private half is made in the browser of the device and never leaves it. A key that was revoked
takes nothing into a record any more; what it signed is kept for a lead.
"""

import json
from base64 import urlsafe_b64decode
from binascii import Error as NotBase64
from datetime import timedelta
from functools import lru_cache
from typing import Any
from uuid import UUID

from cryptography.exceptions import InvalidSignature
from cryptography.hazmat.primitives.asymmetric.ec import (
    ECDSA,
    SECP256R1,
    EllipticCurvePublicKey,
    EllipticCurvePublicNumbers,
)
from cryptography.hazmat.primitives.asymmetric.utils import encode_dss_signature
from cryptography.hazmat.primitives.hashes import SHA256
from django.db import IntegrityError, transaction
from django.utils import timezone

from ullage.core.errors import RuleBroken
from ullage.web.accounts.selectors import User
from ullage.web.cases.models import Tablet
from ullage.web.sites.selectors import Site

__all__ = [
    "is_signed_by",
    "tablet_enrol",
    "tablet_rename",
    "tablet_revoke",
    "tablet_seen",
]

_HALF_BYTES = 32
_LONGEST_NAME = 60
_LONGEST_KEY = 1000
_LONGEST_REASON = 240
#: The last contact is written down no more often than this.
_SEEN_EVERY = timedelta(minutes=1)
_NO_KEY = "This is no public key of a device (EC, P-256, as JWK)."


def tablet_enrol(
    *, site: Site, name: str, public_key: str, by: User, code: UUID | None = None
) -> Tablet:
    """Enrol a device at a site; the same key sent twice is one device.

    Parameters
    ----------
    site : where it is used.
    name : what people call it.
    public_key : its public key as JWK text.
    by : who enrols it.
    code : under which it was enrolled before this database was restored; used if nobody has it.

    Raises
    ------
    RuleBroken : no name, no such key, or a key that was revoked.
    """
    named = _name(name)
    kept = _jwk_text(public_key)
    try:
        with transaction.atomic():
            there = Tablet.objects.filter(public_key=kept).first()
            if there is not None:
                return _same(there, site)
            taken = code is None or Tablet.objects.filter(code=code).exists()
            own: dict[str, Any] = {} if taken else {"code": code}
            return Tablet.objects.create(
                site=site, name=named, public_key=kept, enrolled_at=timezone.now(),
                enrolled_by=by, **own,
            )  # fmt: skip
    except IntegrityError:  # the same form came twice at one moment
        return _same(Tablet.objects.get(public_key=kept), site)


def _same(there: Tablet, site: Site) -> Tablet:
    if there.revoked_at is not None or there.site_id != site.pk:
        raise RuleBroken("This key was used before. Enrol the device with a new key.")
    return there


def tablet_rename(*, tablet: Tablet, name: str) -> Tablet:
    """Call a device something else."""
    tablet.name = _name(name)
    tablet.save(update_fields=["name"])
    return tablet


def tablet_revoke(*, tablet: Tablet, reason: str, by: User) -> Tablet:
    """Take a device out of use; what it sends from now on is kept, not taken.

    Raises
    ------
    RuleBroken : no reason.
    """
    said = reason.strip()
    if not said or len(said) > _LONGEST_REASON:
        raise RuleBroken(f"Say why, in {_LONGEST_REASON} letters at most.")
    changed = Tablet.objects.filter(pk=tablet.pk, revoked_at=None).update(
        revoked_at=timezone.now(), revoked_by=by, revoked_why=said
    )
    if changed:
        tablet.refresh_from_db()
    return tablet


def tablet_seen(*, tablet: Tablet) -> None:
    """Write down that a device was heard of, once a minute at most."""
    now = timezone.now()
    if tablet.seen_at is None or now - tablet.seen_at >= _SEEN_EVERY:
        Tablet.objects.filter(pk=tablet.pk).update(seen_at=now)


def is_signed_by(tablet: Tablet, text: str, signature: str) -> bool:
    """Whether a device signed a text: ECDSA P-256 with SHA-256, r and s as base64url."""
    raw = _bytes(signature)
    if len(raw) != 2 * _HALF_BYTES:
        return False
    r, s = (int.from_bytes(raw[at : at + _HALF_BYTES]) for at in (0, _HALF_BYTES))
    try:
        _key(tablet.public_key).verify(
            encode_dss_signature(r, s), text.encode("utf-8", "surrogatepass"), ECDSA(SHA256())
        )
    except (InvalidSignature, ValueError):
        return False
    return True


def _name(name: str) -> str:
    named = " ".join(name.split())
    if not named or len(named) > _LONGEST_NAME or not named.isprintable():
        raise RuleBroken(f"Give the device a name of {_LONGEST_NAME} letters at most.")
    return named


def _jwk_text(text: str) -> str:
    """A key as it is kept: the parts that count, in one order."""
    try:
        found = json.loads(text) if len(text) <= _LONGEST_KEY else None
    except (ValueError, RecursionError):
        found = None
    if not isinstance(found, dict) or "d" in found:
        raise RuleBroken(_NO_KEY)
    own = {part: found.get(part) for part in ("crv", "kty", "x", "y")}
    kept = json.dumps(own, sort_keys=True, separators=(",", ":"))
    try:
        _key(kept)
    except (TypeError, ValueError):
        raise RuleBroken(_NO_KEY) from None
    return kept


@lru_cache(maxsize=256)
def _key(jwk: str) -> EllipticCurvePublicKey:
    """The key that a JWK text is; RuleBroken or ValueError where it is none."""
    said = json.loads(jwk)
    halves = [_bytes(said[part]) for part in ("x", "y")]
    is_p256 = (said["kty"], said["crv"]) == ("EC", "P-256")
    if not is_p256 or any(len(half) != _HALF_BYTES for half in halves):
        raise RuleBroken(_NO_KEY)
    x, y = (int.from_bytes(half) for half in halves)
    return EllipticCurvePublicNumbers(x, y, SECP256R1()).public_key()


def _bytes(text: Any) -> bytes:
    """The bytes of a base64url text; none where it is no such text."""
    if not isinstance(text, str) or len(text) > _LONGEST_KEY:
        return b""
    try:
        return urlsafe_b64decode(text + "=" * (-len(text) % 4))
    except (ValueError, NotBase64):
        return b""
