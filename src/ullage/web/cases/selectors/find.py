"""Records of a site as somebody looks for them."""

from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from django.db.models import Exists, OuterRef, Q, QuerySet

from ullage.web.cases.models import Line, Record
from ullage.web.sites.selectors import Site

__all__ = ["Looked", "records_found"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Looked:
    """What somebody looks for; None asks nothing.

    ``words`` stand in name or number, or in what was said of the case: identification, protocol,
    procedure. The days are those on which it was opened, ``person`` is who wrote a line of it.
    """

    words: str | None = None
    species: str | None = None
    from_day: date | None = None
    to_day: date | None = None
    state: str | None = None
    person: int | None = None

    @property
    def is_nothing(self) -> bool:
        """Whether nothing is asked."""
        return self == Looked()


def records_found(site: Site, looked: Looked) -> QuerySet[Record]:
    """The records of a site that answer to all that is asked, the latest first."""
    rows = Record.objects.filter(site=site).select_related("machine")
    if looked.words:
        said = Line.objects.filter(record=OuterRef("pk"), kind="case", text__icontains=looked.words)
        rows = rows.filter(
            Q(name__icontains=looked.words) | Q(number__icontains=looked.words) | Exists(said)
        )
    if looked.species:
        rows = rows.filter(species__icontains=looked.species.strip())
    if looked.from_day:
        rows = rows.filter(opened_at__gte=_midnight(site, looked.from_day))
    if looked.to_day:
        rows = rows.filter(opened_at__lt=_midnight(site, looked.to_day + timedelta(days=1)))
    if looked.state:
        rows = rows.filter(state=looked.state)
    if looked.person:
        wrote = Line.objects.filter(record=OuterRef("pk"), author_id=looked.person)
        rows = rows.filter(Exists(wrote))
    return rows


def _midnight(site: Site, day: date) -> datetime:
    return datetime.combine(day, time(), ZoneInfo(site.time_zone))
