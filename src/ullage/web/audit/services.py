"""The one place where the audit gets its lines."""

from dataclasses import dataclass

from django.db import connection, transaction
from django.http import HttpRequest
from django.utils import timezone

from ullage.answers.record.chained import START, link
from ullage.answers.record.fixed import fixed_text
from ullage.web.accounts.selectors import User
from ullage.web.audit.models import AuditLine, Kind
from ullage.web.audit.selectors import CHAIN, content_of
from ullage.web.shared.device import address_of, device_of
from ullage.web.sites.selectors import Site, memberships_of

__all__ = ["Kind", "Seen", "audit", "audit_line", "audit_person", "seen_in"]

#: The first half of the key under which PostgreSQL lets one writer at a time add to a chain.
_LOCK = 0x554C4C41


@dataclass(frozen=True, slots=True, kw_only=True)
class Seen:
    """From where something was done: network address, and the device in words."""

    address: str = ""
    device: str = ""


def seen_in(request: HttpRequest | None) -> Seen:
    """From where a request comes."""
    if request is None:
        return Seen()
    return Seen(address=address_of(request), device=device_of(request))


def audit(request: HttpRequest, kind: Kind, said: str, about: str = "") -> AuditLine:
    """Write down what the person of a request did, at the site where they stand."""
    person = request.user if isinstance(request.user, User) else None
    site = getattr(request, "site", None)
    return audit_line(kind, said, site=site, person=person, about=about, seen=seen_in(request))


def audit_person(
    kind: Kind,
    person: User,
    said: str,
    *,
    request: HttpRequest | None = None,
    by: User | None = None,
) -> None:
    """Write down what concerns a person, once at each site that they belong to."""
    sites: list[Site | None] = [one.site for one in memberships_of(person)]
    for site in sites or [None]:
        audit_line(kind, said, site=site, person=by or person, seen=seen_in(request))


@transaction.atomic
def audit_line(
    kind: Kind,
    said: str,
    *,
    site: Site | None,
    person: User | None = None,
    about: str = "",
    seen: Seen | None = None,
) -> AuditLine:
    """Add one line to the chain of a site, in the same transaction as what it tells of."""
    _alone_in(site)
    seen = seen or Seen()
    last = AuditLine.objects.filter(site=site).order_by("-number").first()
    line = AuditLine(
        site=site,
        number=last.number + 1 if last else 1,
        at=timezone.now(),
        kind=kind.value,
        person=person,
        name=_clean(f"{person.full_name or person.username} ({person.username})", 300)
        if person
        else "",
        said=_clean(said, 400),
        about=_clean(about, 200),
        address=_clean(seen.address, 64),
        device=_clean(seen.device, 80),
    )
    line.text = fixed_text(content_of(line, site))
    line.digest = link(last.digest if last else START, line.text, CHAIN)
    line.save(force_insert=True)
    return line


def _alone_in(site: Site | None) -> None:
    """One writer at a time adds to a chain; SQLite has one writer anyway."""
    if connection.vendor == "postgresql":
        with connection.cursor() as cursor:
            cursor.execute("SELECT pg_advisory_xact_lock(%s, %s)", [_LOCK, site.pk if site else 0])


def _clean(text: str, most: int) -> str:
    """Text as every database and every file takes it: no halves of letters, no control signs."""
    whole = text.encode("utf-8", "replace").decode("utf-8")
    return "".join(one if one.isprintable() else " " for one in whole)[:most]
