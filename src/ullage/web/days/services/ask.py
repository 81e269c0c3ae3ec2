"""Asking for the answers of a day: queued once the write behind it is safe."""

from datetime import date, datetime, timedelta
from typing import Any

from django.db import transaction
from django.utils import timezone

from ullage.web.accounts.selectors import User
from ullage.web.days.models import CaseEvent, PlannedCase
from ullage.web.days.selectors.answers import day_subject
from ullage.web.days.selectors.cases import today_at
from ullage.web.sites.selectors import Site
from ullage.web.supply.services import Worked, answers_store

__all__ = ["case_note", "day_ask", "day_refresh", "today_ask"]

#: Answers older than this are worked out again when somebody looks at them.
REFRESH = timedelta(minutes=10)


def day_ask(*, site: Site, day: date) -> None:
    """Queue the answers of a day; the page shows the old ones with their time until then."""
    from ullage.web.days.tasks import work_out_day

    asked = Worked(subject=day_subject(site, day), payloads={"asked": {}})
    answers_store(site=site, worked=asked, at=timezone.now())
    transaction.on_commit(lambda: work_out_day.enqueue(site.pk, day.isoformat()))


def today_ask(*, site: Site) -> None:
    """Queue the answers of the site's today."""
    day_ask(site=site, day=today_at(site))


def day_refresh(*, site: Site, day: date, asked_at: datetime | None) -> bool:
    """Ask once more when the day was last asked about some time ago; say whether it was."""
    if asked_at is not None and timezone.now() - asked_at < REFRESH:
        return False
    day_ask(site=site, day=day)
    return True


def case_note(*, case: PlannedCase, kind: str, by: User | None, **details: Any) -> CaseEvent:
    """Write one line of what happened to a case; it is never changed."""
    kept = {name: value for name, value in details.items() if value not in (None, "")}
    return CaseEvent.objects.create(case=case, kind=kind, at=timezone.now(), by=by, details=kept)
