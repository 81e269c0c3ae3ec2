"""Cases of a day; a day begins and ends at the midnights of its site."""

from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from uuid import UUID
from zoneinfo import ZoneInfo

from django.db.models import Count, QuerySet
from django.db.models.functions import TruncDate
from django.utils import timezone

from ullage.web.accounts.selectors import User
from ullage.web.days.models import CaseEvent, CaseState, PlannedCase
from ullage.web.sites.selectors import Site, own_or_404

__all__ = [
    "DayBounds",
    "bounds_of",
    "case_events",
    "case_for",
    "cases_of",
    "day_of",
    "days_around",
    "today_at",
]


@dataclass(frozen=True, slots=True, kw_only=True)
class DayBounds:
    """One day at one site: its date and the two midnights."""

    day: date
    start: datetime
    end: datetime

    def minute_of(self, moment: datetime) -> float:
        """Minutes that pass from midnight to a moment; on two days a year not the wall clock."""
        return (moment - self.start) / timedelta(minutes=1)

    def moment_of(self, minute: float) -> datetime:
        """The moment that so many minutes after midnight is."""
        return self.start + timedelta(minutes=minute)


def bounds_of(site: Site, day: date) -> DayBounds:
    """The midnights of a day on the clock of the site."""
    zone = ZoneInfo(site.time_zone)
    start = datetime.combine(day, time(), zone).astimezone(ZoneInfo("UTC"))
    end = datetime.combine(day + timedelta(days=1), time(), zone).astimezone(ZoneInfo("UTC"))
    return DayBounds(day=day, start=start, end=end)


def day_of(site: Site, moment: datetime) -> date:
    """The date of a moment on the clock of the site."""
    return moment.astimezone(ZoneInfo(site.time_zone)).date()


def today_at(site: Site) -> date:
    """The date at the site now."""
    return day_of(site, timezone.now())


def cases_of(site: Site, day: date) -> QuerySet[PlannedCase]:
    """All cases of a day, cancelled ones too, each with its machine and room."""
    bounds = bounds_of(site, day)
    found = PlannedCase.objects.filter(
        site=site, starts_at__gte=bounds.start, starts_at__lt=bounds.end
    )
    return found.select_related("machine", "machine__room").order_by("starts_at", "pk")


def case_for(user: User, code: UUID) -> PlannedCase:
    """One case with its machine and site; 404 for strangers."""
    rows = PlannedCase.objects.select_related("site", "machine", "machine__room")
    return own_or_404(rows, user, code)


def case_events(case: PlannedCase) -> list[CaseEvent]:
    """What happened to a case, the latest first."""
    return list(CaseEvent.objects.filter(case=case).select_related("by"))


def days_around(site: Site, day: date, reach: int = 7) -> dict[date, int]:
    """How many cases each day near one has, without the cancelled."""
    first = bounds_of(site, day - timedelta(days=reach)).start
    last = bounds_of(site, day + timedelta(days=reach)).end
    rows = (
        PlannedCase.objects.filter(site=site, starts_at__gte=first, starts_at__lt=last)
        .exclude(state=CaseState.CANCELLED)
        .annotate(day=TruncDate("starts_at", tzinfo=ZoneInfo(site.time_zone)))
        .values_list("day")
        .annotate(count=Count("pk"))
        .order_by("day")
    )
    return dict(rows)
