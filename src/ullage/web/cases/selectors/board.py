"""Every case that is not closed at a site: what is due, what is left, what is warned of."""

from dataclasses import dataclass
from datetime import datetime

from ullage.web.cases.models import CaseState, Record
from ullage.web.cases.selectors.records import records_open
from ullage.web.cases.selectors.running import RunningPage, running_page
from ullage.web.sites.selectors import Site

__all__ = ["CaseTab", "board_of", "others_of"]


@dataclass(frozen=True, slots=True, kw_only=True)
class CaseTab:
    """Another open case, to change over to."""

    record: Record
    due_at: datetime | None
    is_overdue: bool


def board_of(site: Site, now: datetime) -> list[RunningPage]:
    """The open cases of a site, those that run first."""
    order = {CaseState.RUNNING: 0, CaseState.RECOVERING: 1, CaseState.READY: 2}
    rows = list(records_open(site).select_related("site", "machine", "planned"))
    rows.sort(key=lambda one: order.get(CaseState(one.state), 3))
    return [running_page(one, now) for one in rows]


def others_of(record: Record, now: datetime) -> list[CaseTab]:
    """The other open cases of the site."""
    rows = records_open(record.site).exclude(pk=record.pk)
    found = []
    for one in rows.select_related("site", "machine", "planned"):
        due = running_page(one, now).due
        overdue = due is not None and due.at < now
        found.append(CaseTab(record=one, due_at=due.at if due else None, is_overdue=overdue))
    return found
