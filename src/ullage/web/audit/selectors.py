"""What the audit holds: lines of a site, filtered, and whether its chain is whole."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from django.db.models import Q, QuerySet

from ullage.answers.record.chained import START, link
from ullage.answers.record.fixed import FORMAT, read_fixed, utc_text
from ullage.core.errors import UllageError
from ullage.web.accounts.selectors import User
from ullage.web.audit.models import AuditLine, Kind
from ullage.web.sites.selectors import Site, people_of

__all__ = [
    "CHAIN",
    "AuditLine",
    "Kind",
    "Wanted",
    "breaks_of",
    "content_of",
    "lines_about",
    "lines_of",
    "people_at",
]

#: The name of the chain in its sums.
CHAIN = "audit"


@dataclass(frozen=True, slots=True, kw_only=True)
class Wanted:
    """What is looked for; empty: everything."""

    person: str = ""
    kind: str = ""
    day: date | None = None


def lines_of(site: Site, wanted: Wanted) -> QuerySet[AuditLine]:
    """Lines of a site, and failed sign-ins under names that nobody has; the newest first."""
    found = AuditLine.objects.filter(Q(site=site) | Q(site=None)).order_by("-at", "-pk")
    if wanted.person:
        found = found.filter(person__username=wanted.person)
    if wanted.kind:
        found = found.filter(kind=wanted.kind)
    if wanted.day is not None:
        begins = datetime.combine(wanted.day, datetime.min.time(), ZoneInfo(site.time_zone))
        ends = datetime.combine(
            wanted.day + timedelta(days=1), datetime.min.time(), ZoneInfo(site.time_zone)
        )
        found = found.filter(at__gte=begins, at__lt=ends)
    return found


def lines_about(site: Site, about: str, kinds: Iterable[Kind] = ()) -> QuerySet[AuditLine]:
    """What was done with one thing, the newest first; of some kinds where they are named."""
    found = AuditLine.objects.filter(site=site, about=about).order_by("-number")
    wanted = [one.value for one in kinds]
    return found.filter(kind__in=wanted) if wanted else found


def people_at(site: Site) -> list[User]:
    """Who can be asked for: who works here, and who is named in a line but does so no longer."""
    here = [member.user for member in people_of(site)]
    named = AuditLine.objects.filter(site=site).exclude(person=None).order_by()
    ids = set(named.values_list("person", flat=True).distinct()) - {one.pk for one in here}
    return here + list(User.objects.filter(pk__in=ids).order_by("username"))


def content_of(line: AuditLine, site: Site | None) -> dict[str, Any]:
    """What the fixed text of a line says."""
    return {
        "format": FORMAT,
        "order": line.number,
        "site": str(site.code) if site else "",
        "at": utc_text(line.at),
        "kind": line.kind,
        "person": line.name,
        "said": line.said,
        "about": line.about,
        "address": line.address,
        "device": line.device,
    }


def breaks_of(site: Site | None) -> Iterator[str]:
    """Where the chain of a site does not hold: a sentence each."""
    before, expected = START, 1
    for line in AuditLine.objects.filter(site=site).order_by("number").iterator():
        if line.number != expected:
            yield f"Line {expected} is missing or out of order: {line.number} stands in its place."
        if link(before, line.text, CHAIN) != line.digest:
            yield f"Line {line.number} does not fit its sum: it or the line before was changed."
        elif not _says_its_text(line, site):
            yield f"Line {line.number} shows something else than its text."
        before, expected = line.digest, line.number + 1


def _says_its_text(line: AuditLine, site: Site | None) -> bool:
    try:
        return read_fixed(line.text) == content_of(line, site)
    except UllageError:
        return False
