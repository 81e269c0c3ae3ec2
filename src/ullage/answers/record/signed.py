"""Heads signed with a key that is kept outside the database: Ed25519, keys as PEM text.

Whoever calls hands in the chance of a new key; nothing here reads a file or rolls dice.
"""

from dataclasses import dataclass
from typing import TYPE_CHECKING

from ullage.answers.record.chained import Head
from ullage.answers.record.fixed import FORMAT, fixed_text
from ullage.core.errors import UnreadableQuantity

if TYPE_CHECKING:
    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

__all__ = [
    "SEED_BYTES",
    "HeadSignature",
    "fingerprint",
    "private_pem",
    "public_hex",
    "public_pem",
    "sign_head",
    "signature_holds",
]

#: How many bytes of chance a key is made of.
SEED_BYTES = 32


@dataclass(frozen=True, slots=True, kw_only=True)
class HeadSignature:
    """A signed head: how far, when, with which key; key and signature in hexadecimal."""

    count: int
    sum: str
    at: str
    key: str
    signature: str


def private_pem(seed: bytes) -> str:
    """A private key from chance, as PEM text.

    Parameters
    ----------
    seed : 32 bytes from a source of chance fit for keys.

    Raises
    ------
    UnreadableQuantity : another number of bytes.
    """
    from cryptography.hazmat.primitives import serialization
    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

    if len(seed) != SEED_BYTES:
        raise UnreadableQuantity(f"A key is made of {SEED_BYTES} bytes, not {len(seed)}.")
    pem = Ed25519PrivateKey.from_private_bytes(seed).private_bytes(
        serialization.Encoding.PEM,
        serialization.PrivateFormat.PKCS8,
        serialization.NoEncryption(),
    )
    return pem.decode("ascii")


def public_pem(private: str) -> str:
    """The public key of a private one, both as PEM text.

    Raises
    ------
    UnreadableQuantity : not a private Ed25519 key.
    """
    from cryptography.hazmat.primitives import serialization

    pem = (
        _private(private)
        .public_key()
        .public_bytes(serialization.Encoding.PEM, serialization.PublicFormat.SubjectPublicKeyInfo)
    )
    return pem.decode("ascii")


def public_hex(pem: str) -> str:
    """A public key in hexadecimal, as signatures carry it.

    Raises
    ------
    UnreadableQuantity : not a public Ed25519 key.
    """
    from cryptography.exceptions import UnsupportedAlgorithm
    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PublicKey
    from cryptography.hazmat.primitives.serialization import load_pem_public_key

    try:
        found = load_pem_public_key(pem.encode("utf-8"))
    except (ValueError, UnsupportedAlgorithm):
        found = None
    if not isinstance(found, Ed25519PublicKey):
        raise UnreadableQuantity("This is no public Ed25519 key in PEM text.")
    return found.public_bytes_raw().hex()


def fingerprint(key: str) -> str:
    """A short name of a public key, in groups of four, for people to compare.

    >>> fingerprint("00" * 32)
    '6668 7aad f862 bd77'
    """
    import hashlib

    digits = hashlib.sha256(bytes.fromhex(key)).hexdigest()[:16]
    return " ".join(digits[start : start + 4] for start in range(0, 16, 4))


def sign_head(head: Head, private: str, at: str) -> HeadSignature:
    """A head signed: kind, name, count, sum and time are all under the signature.

    Parameters
    ----------
    head : of a record or a register.
    private : the key, as PEM text.
    at : the time, as the record writes it.

    Raises
    ------
    UnreadableQuantity : not a private Ed25519 key.
    """
    key = _private(private)
    public = key.public_key().public_bytes_raw().hex()
    return HeadSignature(
        count=head.count,
        sum=head.sum,
        at=at,
        key=public,
        signature=key.sign(_signed(head, at)).hex(),
    )


def signature_holds(head: Head, signed: HeadSignature) -> bool:
    """Whether a signature is of this head and of the time and key that stand beside it."""
    from cryptography.exceptions import InvalidSignature
    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PublicKey

    if (signed.count, signed.sum) != (head.count, head.sum):
        return False
    try:
        key = Ed25519PublicKey.from_public_bytes(bytes.fromhex(signed.key))
        key.verify(bytes.fromhex(signed.signature), _signed(head, signed.at))
    except (ValueError, InvalidSignature):
        return False
    return True


def _signed(head: Head, at: str) -> bytes:
    kept = {"kind": head.kind, "of": head.of, "count": head.count, "sum": head.sum, "at": at}
    return f"ullage head {FORMAT}\n{fixed_text(kept)}".encode()


def _private(pem: str) -> "Ed25519PrivateKey":
    from cryptography.exceptions import UnsupportedAlgorithm
    from cryptography.hazmat.primitives.asymmetric import ed25519
    from cryptography.hazmat.primitives.serialization import load_pem_private_key

    try:
        found = load_pem_private_key(pem.encode("utf-8"), password=None)
    except (ValueError, TypeError, UnsupportedAlgorithm):
        found = None
    if not isinstance(found, ed25519.Ed25519PrivateKey):
        raise UnreadableQuantity("This is no private Ed25519 key in PEM text without a password.")
    return found
