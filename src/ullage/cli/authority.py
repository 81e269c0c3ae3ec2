"""A certificate authority for one local network: made once, then certificates of the site.

The authority can vouch for nothing but the names and addresses it was made for (name constraints,
RFC 5280 section 4.2.1.10), and for no other authority (path length 0).
"""

import os
import re
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta
from ipaddress import IPv4Address, IPv6Address, ip_address, ip_network
from pathlib import Path
from typing import TYPE_CHECKING

from ullage.core.errors import RuleBroken

if TYPE_CHECKING:
    from cryptography import x509
    from cryptography.hazmat.primitives.asymmetric.ec import EllipticCurvePrivateKey

__all__ = [
    "AUTHORITY_DAYS",
    "LEAF_DAYS",
    "Kept",
    "authority_new",
    "leaf_new",
    "own_alone",
    "read_names",
]

AUTHORITY_DAYS = 3_650
#: From memory: browsers and tablets refuse certificates of sites that run for much longer.
LEAF_DAYS = 397
_EARLY = timedelta(days=1)
_ALWAYS = ("localhost", "127.0.0.1", "::1")
_LABEL = re.compile(r"(?!-)[a-z0-9-]{1,63}(?<!-)")

type Address = IPv4Address | IPv6Address


@dataclass(frozen=True, slots=True)
class Kept:
    """The four files of a folder of certificates."""

    folder: Path

    @property
    def authority(self) -> Path:
        """What tablets are told to trust."""
        return self.folder / "ullage-authority.crt"

    @property
    def authority_key(self) -> Path:
        """The secret of the authority."""
        return self.folder / "ullage-authority.key"

    @property
    def site(self) -> Path:
        """The certificate of the site."""
        return self.folder / "site.crt"

    @property
    def site_key(self) -> Path:
        """The secret of the site."""
        return self.folder / "site.key"


@dataclass(frozen=True, slots=True)
class Names:
    """What a certificate is for: names people type, and addresses."""

    hosts: tuple[str, ...]
    addresses: tuple[Address, ...]

    @property
    def typed(self) -> tuple[str, ...]:
        """All of them as text, those of this computer last."""
        found = [*self.hosts, *map(str, self.addresses)]
        return tuple(sorted(found, key=lambda one: one in _ALWAYS))


def read_names(typed: Iterable[str]) -> Names:
    """Names and addresses as typed, with this computer's own.

    Raises
    ------
    RuleBroken : none given, or one that is neither a name nor an address.
    """
    hosts: list[str] = []
    addresses: list[Address] = []
    given = [one.strip().rstrip(".").lower() for one in typed]
    if not given:
        raise RuleBroken("Say by which names or addresses tablets reach the site: --name, twice.")
    for one in (*given, *_ALWAYS):
        try:
            addresses.append(ip_address(one))
        except ValueError:
            hosts.append(_host(one))
    return Names(tuple(dict.fromkeys(hosts)), tuple(dict.fromkeys(addresses)))


def own_alone(name: str) -> bool:
    """Say whether a name reaches the site from its own computer alone."""
    return name in _ALWAYS


def _host(typed: str) -> str:
    try:
        # The form in which names with other letters stand in certificates.
        found = typed.encode("idna").decode("ascii")
    except UnicodeError:
        found = ""
    labels = found.split(".")
    numbers = labels[-1].isdigit()
    if len(found) > 253 or numbers or not all(_LABEL.fullmatch(one) for one in labels):
        raise RuleBroken(f"{typed[:60]!r} is neither the name of a computer nor an address.")
    return found


def authority_new(kept: Kept, names: Names, now: datetime) -> None:
    """Make the authority; nothing is written over.

    Parameters
    ----------
    kept : where.
    names : all that it may ever vouch for.
    now : the time, with its zone.

    Raises
    ------
    RuleBroken : there is one already.
    """
    from cryptography import x509
    from cryptography.hazmat.primitives.asymmetric import ec

    there = [one for one in (kept.authority, kept.authority_key) if one.exists()]
    if there:
        raise RuleBroken(
            f"There is {there[0]} already, and tablets may trust it. For a new certificate of the "
            "site add --renew. For another authority move the folder away first."
        )
    key = ec.generate_private_key(ec.SECP256R1())
    called = _called(f"Ullage for {names.typed[0]}")
    builder = _builder(called, called, key, now, AUTHORITY_DAYS)
    limits = x509.NameConstraints(permitted_subtrees=_subtrees(names), excluded_subtrees=None)
    made = (
        builder.add_extension(x509.BasicConstraints(ca=True, path_length=0), critical=True)
        .add_extension(limits, critical=True)
        .add_extension(_usage(signs=True), critical=True)
    )
    _write(kept, kept.authority, kept.authority_key, _signed(made, key), key)


def leaf_new(kept: Kept, names: Names | None, now: datetime) -> Names:
    """Make the certificate of the site, in place of one that is there.

    Parameters
    ----------
    kept : where the authority is.
    names : of the site; None: all that the authority may vouch for.
    now : the time, with its zone.

    Returns
    -------
    The names it is for.

    Raises
    ------
    RuleBroken : no authority, one that has run out, or names it may not vouch for.
    """
    from cryptography import x509
    from cryptography.hazmat.primitives.asymmetric import ec
    from cryptography.x509.oid import ExtendedKeyUsageOID

    authority, authority_key = _read(kept)
    if authority.not_valid_after_utc <= now:
        raise RuleBroken("The authority has run out. Move its folder away and make another.")
    may = _may(authority)
    wanted = names or may
    outside = sorted({*wanted.typed} - {*may.typed})
    if outside:
        raise RuleBroken(
            f"The authority may not vouch for {', '.join(outside)}. Move its folder away, make "
            "another authority, and install that on every tablet."
        )
    key = ec.generate_private_key(ec.SECP256R1())
    days = min(LEAF_DAYS, (authority.not_valid_after_utc - now).days + 1)
    builder = _builder(authority.subject, _called(wanted.typed[0]), key, now, days)
    alternative = x509.SubjectAlternativeName(
        [*map(x509.DNSName, wanted.hosts), *map(x509.IPAddress, wanted.addresses)]
    )
    made = (
        builder.add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
        .add_extension(alternative, critical=False)
        .add_extension(_usage(signs=False), critical=True)
        .add_extension(x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH]), critical=False)
        .add_extension(
            x509.AuthorityKeyIdentifier.from_issuer_public_key(authority_key.public_key()),
            critical=False,
        )
    )
    _write(kept, kept.site, kept.site_key, _signed(made, authority_key), key)
    return wanted


def runs_out(pem: Path) -> datetime:
    """When a certificate runs out.

    Raises
    ------
    RuleBroken : no certificate.
    """
    from cryptography import x509

    try:
        return x509.load_pem_x509_certificate(pem.read_bytes()).not_valid_after_utc
    except (OSError, ValueError) as why:
        raise RuleBroken(f"{pem} is no certificate in PEM text.") from why


def _called(name: str) -> "x509.Name":
    from cryptography import x509
    from cryptography.x509.oid import NameOID

    return x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, name[:64])])


def _builder(
    issuer: "x509.Name",
    subject: "x509.Name",
    key: "EllipticCurvePrivateKey",
    now: datetime,
    days: int,
) -> "x509.CertificateBuilder":
    """The parts that every certificate has; a day early, for tablets whose clock is behind."""
    from cryptography import x509

    begins = now - _EARLY
    builder = x509.CertificateBuilder(
        issuer, subject, key.public_key(), x509.random_serial_number()
    )
    builder = builder.not_valid_before(begins).not_valid_after(begins + timedelta(days=days))
    known = x509.SubjectKeyIdentifier.from_public_key(key.public_key())
    return builder.add_extension(known, critical=False)


def _usage(*, signs: bool) -> "x509.KeyUsage":
    from cryptography import x509

    return x509.KeyUsage(
        digital_signature=not signs,
        content_commitment=False,
        key_encipherment=False,
        data_encipherment=False,
        key_agreement=False,
        key_cert_sign=signs,
        crl_sign=signs,
        encipher_only=False,
        decipher_only=False,
    )


def _subtrees(names: Names) -> "list[x509.GeneralName]":
    from cryptography import x509

    hosts = [x509.DNSName(one) for one in names.hosts]
    return [*hosts, *(x509.IPAddress(ip_network(one)) for one in names.addresses)]


def _may(authority: "x509.Certificate") -> Names:
    """What an authority may vouch for, as it says itself."""
    from cryptography import x509

    limits = authority.extensions.get_extension_for_class(x509.NameConstraints).value
    subtrees = limits.permitted_subtrees or []
    hosts = [one.value for one in subtrees if isinstance(one, x509.DNSName)]
    networks = [one.value for one in subtrees if isinstance(one, x509.IPAddress)]
    return Names(tuple(hosts), tuple(ip_address(str(one).split("/")[0]) for one in networks))


def _signed(made: "x509.CertificateBuilder", key: "EllipticCurvePrivateKey") -> "x509.Certificate":
    from cryptography.hazmat.primitives import hashes

    return made.sign(key, hashes.SHA256())


def _read(kept: Kept) -> "tuple[x509.Certificate, EllipticCurvePrivateKey]":
    from cryptography import x509
    from cryptography.hazmat.primitives.asymmetric.ec import EllipticCurvePrivateKey
    from cryptography.hazmat.primitives.serialization import load_pem_private_key

    try:
        authority = x509.load_pem_x509_certificate(kept.authority.read_bytes())
        key = load_pem_private_key(kept.authority_key.read_bytes(), password=None)
        authority.extensions.get_extension_for_class(x509.NameConstraints)
    except (OSError, ValueError, TypeError, x509.ExtensionNotFound) as why:
        raise RuleBroken(
            f"There is no authority of ours in {kept.folder} that can be read; leave out --renew "
            "to make one, or bring its key back from where it is kept."
        ) from why
    if not isinstance(key, EllipticCurvePrivateKey) or key.public_key() != authority.public_key():
        raise RuleBroken(f"{kept.authority_key} is not the key of {kept.authority}.")
    return authority, key


def _write(
    kept: Kept,
    pem: Path,
    private: Path,
    made: "x509.Certificate",
    key: "EllipticCurvePrivateKey",
) -> None:
    from cryptography.hazmat.primitives import serialization

    kept.folder.mkdir(parents=True, exist_ok=True, mode=0o700)
    secret = key.private_bytes(
        serialization.Encoding.PEM,
        serialization.PrivateFormat.PKCS8,
        serialization.NoEncryption(),
    )
    _replace(private, secret, 0o600)
    _replace(pem, made.public_bytes(serialization.Encoding.PEM), 0o644)


def _replace(path: Path, data: bytes, mode: int) -> None:
    """Write a file whole: it is there as it was, or as it becomes, and readable as said."""
    beside = path.with_name(f".{path.name}.{os.getpid()}")
    with os.fdopen(os.open(beside, os.O_WRONLY | os.O_CREAT | os.O_EXCL, mode), "wb") as opened:
        opened.write(data)
        opened.flush()
        os.fsync(opened.fileno())
    beside.replace(path)
