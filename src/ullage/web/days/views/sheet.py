"""The plan of a case on one printed page."""

from uuid import UUID

from django.http import HttpResponse
from django.utils import timezone
from django.utils.text import slugify
from django.views.decorators.http import require_GET

from ullage.web.days.selectors import (
    CasePanel,
    bounds_of,
    case_for,
    case_panel,
    day_of,
    day_things,
    said_of,
)
from ullage.web.days.sheet import sheet_data
from ullage.web.days.views.plan_case import typed_now
from ullage.web.shared.access import at_site, enter
from ullage.web.shared.http import SiteRequest
from ullage.web.shared.print import render_pdf

__all__ = ["kept", "typed"]


@require_GET
@at_site("operate")
def typed(request: SiteRequest) -> HttpResponse:
    """The plan as it is typed at this moment."""
    form, day, found = typed_now(request)
    now = timezone.now()
    things = day_things(request.site, day, now, without=found).plan
    panel = case_panel(request.site, form.said(), things)
    return _pdf(panel, sheet_data(request.site, panel, day, now))


@require_GET
@at_site("look")
def kept(request: SiteRequest, code: UUID) -> HttpResponse:
    """The plan as it is kept."""
    found = case_for(request.user, code)
    enter(request, found.site, "look")
    now, day = timezone.now(), day_of(request.site, found.starts_at)
    start = bounds_of(request.site, day).minute_of(found.starts_at)
    things = day_things(request.site, day, now, without=found).plan
    panel = case_panel(request.site, said_of(found, start), things)
    return _pdf(panel, sheet_data(request.site, panel, day, now))


def _pdf(panel: CasePanel, data: dict[str, object]) -> HttpResponse:
    name = f"plan-{slugify(panel.name) or 'case'}.pdf"
    return HttpResponse(
        render_pdf("case", data),
        content_type="application/pdf",
        headers={"Content-Disposition": f'inline; filename="{name}"'},
    )
