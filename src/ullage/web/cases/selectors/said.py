"""What the records say to the page of a day and to Today."""

from collections.abc import Sequence
from uuid import UUID

from django.db.models import Q
from django.urls import reverse

from ullage.web.cases.models import CaseState, Record
from ullage.web.cases.selectors.aside import waiting_count
from ullage.web.days.selectors import Recorded, RecordSaid
from ullage.web.shared.links import link
from ullage.web.sites.selectors import Site

__all__ = ["records_said"]

_OPEN = (CaseState.READY, CaseState.RUNNING, CaseState.RECOVERING)


def records_said(site: Site, plans: Sequence[int], count_waits: bool) -> Recorded:
    """The open records of a site and those of some planned cases; one query, two with waits."""
    asked = Q(state__in=_OPEN)
    if plans:
        asked |= Q(planned__in=list(plans))
    rows = Record.objects.filter(asked, site=site).order_by("opened_at", "pk")
    said = tuple(
        RecordSaid(
            name=row["name"],
            machine=row["machine__name"],
            machine_pk=row["machine"],
            planned_pk=row["planned"],
            state=CaseState(row["state"]).label,
            is_open=row["state"] in _OPEN,
            since=row["began_at"] or row["opened_at"],
            url=_url(row["state"], row["code"]),
        )
        for row in rows.values(
            "name", "machine", "machine__name", "planned", "state", "began_at", "opened_at", "code"
        )
    )
    return Recorded(
        open=tuple(one for one in said if one.is_open),
        by_plan={one.planned_pk: one for one in said if one.planned_pk is not None},
        waits=waiting_count(site) if count_waits else 0,
        waits_url=reverse("cases:not_taken") if count_waits else "",
    )


def _url(state: str, code: UUID) -> str:
    """The page that is at hand for a record in its state."""
    if state == CaseState.RECOVERING:
        return reverse("cases:recovery", args=[code])
    running = link("cases:running", code) if state == CaseState.RUNNING else ""
    return running or reverse("cases:about", args=[code])
