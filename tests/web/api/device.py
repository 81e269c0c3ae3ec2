"""A device as the server sees it: it words entries, keeps a ticket, signs with its own key."""

import json
from base64 import urlsafe_b64encode
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from uuid import uuid4

from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.hazmat.primitives.asymmetric.utils import decode_dss_signature
from cryptography.hazmat.primitives.hashes import SHA256
from django.test import Client

__all__ = ["Device", "base64url", "worded"]


def base64url(raw: bytes) -> str:
    return urlsafe_b64encode(raw).rstrip(b"=").decode()


def worded(record: str, **said: object) -> str:
    """A heart rate of 120, seen and written now, unless something else is said."""
    now = datetime.now(UTC).isoformat()
    content = {
        "format": 1,
        "line": "entry",
        "record": str(record),
        "id": str(uuid4()),
        "kind": "vital",
        "what": "heart_rate",
        "typed": "120",
        "details": {},
        "animal": "",
        "observed": now,
        "written": now,
        "author_confirmed": True,
        **said,
    }
    return json.dumps(content, sort_keys=True, separators=(",", ":"), ensure_ascii=False)


@dataclass(kw_only=True)
class Device:
    """A browser with its key; ``tablet`` is its code once it is enrolled."""

    client: Client
    key: ec.EllipticCurvePrivateKey = field(
        default_factory=lambda: ec.generate_private_key(ec.SECP256R1())
    )
    tablet: str | None = None
    ticket: str = ""
    ahead: timedelta = timedelta(0)

    @property
    def jwk(self) -> dict[str, str]:
        numbers = self.key.public_key().public_numbers()
        x, y = (base64url(one.to_bytes(32)) for one in (numbers.x, numbers.y))
        return {"kty": "EC", "crv": "P-256", "x": x, "y": y, "ext": True, "key_ops": ["verify"]}

    def post(self, where: str, said: object):
        return self.client.post(f"/api/{where}/", said, content_type="application/json")

    def enrol(self, name: str = "Table 1") -> "Device":
        self.tablet = self.post("tablet", {"name": name, "public_key": self.jwk}).json()["tablet"]
        return self

    def ask(self) -> "Device":
        """Fetch a ticket for whoever is signed in."""
        self.ticket = self.post("ticket", {"tablet": self.tablet}).json()["ticket"]
        return self

    def signed(self, word: str) -> str:
        r, s = decode_dss_signature(self.key.sign(word.encode("utf-8"), ec.ECDSA(SHA256())))
        return base64url(r.to_bytes(32) + s.to_bytes(32))

    def line(self, word: str, **other: str) -> dict[str, str]:
        signature = self.signed(word) if self.tablet else ""
        return {"word": word, "signature": signature, "ticket": self.ticket, **other}

    def send(self, *words: str, **other: str):
        """One request with these words."""
        return self.post_lines([self.line(one, **other) for one in words])

    def post_lines(self, lines: list[dict[str, str]]):
        sent_at = (datetime.now(UTC) + self.ahead).isoformat()
        return self.post("queue", {"tablet": self.tablet, "sent_at": sent_at, "lines": lines})
