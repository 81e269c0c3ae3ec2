"""Records of a site as somebody looks for them."""

from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from django.db.models import Exists, OuterRef, Q, QuerySet

from ullage.web.cases.models import Line, Record
from ullage.web.sites.selectors import Site

__all__ = ["records_found"]


def records_found(
    site: Site,
    *,
    words: str | None = None,
    species: str | None = None,
    from_day: date | None = None,
    to_day: date | None = None,
    **more: str | int | None,
) -> QuerySet[Record]:
    """The records that answer to all that is asked, the latest first.

    Parameters
    ----------
    site : whose records.
    words : in name or number, or in what was said of the case: identification, protocol, procedure.
    species : as it was said.
    from_day, to_day : between which it was opened, on the clock of the site.
    more : ``state``, and ``person``, who wrote a line of it.
    """
    rows = Record.objects.filter(site=site).select_related("machine")
    if words:
        said = Line.objects.filter(record=OuterRef("pk"), kind="case", text__icontains=words)
        rows = rows.filter(Q(name__icontains=words) | Q(number__icontains=words) | Exists(said))
    if species:
        rows = rows.filter(species__icontains=species.strip())
    if from_day:
        rows = rows.filter(opened_at__gte=_midnight(site, from_day))
    if to_day:
        rows = rows.filter(opened_at__lt=_midnight(site, to_day + timedelta(days=1)))
    if more.get("state"):
        rows = rows.filter(state=more["state"])
    if more.get("person"):
        wrote = Line.objects.filter(record=OuterRef("pk"), author=more["person"])
        rows = rows.filter(Exists(wrote))
    return rows


def _midnight(site: Site, day: date) -> datetime:
    return datetime.combine(day, time(), ZoneInfo(site.time_zone))
