"""The papers of a machine and of a part: what an inspector reads, on screen and on paper."""

from typing import Any
from uuid import UUID

from django.http import HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_GET

from ullage.web.machines.selectors import machine_anywhere, part_for, part_moves, state_changes
from ullage.web.service.drawing import trend_drawn
from ullage.web.service.papers import machine_paper, paper_data
from ullage.web.service.selectors import due_on_part, events_of, site_today, trend_of
from ullage.web.shared.access import at_site, enter
from ullage.web.shared.http import SiteRequest
from ullage.web.shared.print import render_pdf

__all__ = ["machine", "machine_pdf", "part"]


@require_GET
@at_site("look")
def machine(request: SiteRequest, code: UUID) -> HttpResponse:
    """One machine as an inspector reads it."""
    found = machine_anywhere(request.user, code)
    enter(request, found.site)
    paper = machine_paper(found, timezone.now())
    return render(request, "service/machine.html", {"paper": paper, "machine": found})


@require_GET
@at_site("look")
def machine_pdf(request: SiteRequest, code: UUID) -> HttpResponse:
    """The same on paper."""
    found = machine_anywhere(request.user, code)
    enter(request, found.site)
    made = render_pdf("machine", paper_data(machine_paper(found, timezone.now())))
    return HttpResponse(
        made,
        content_type="application/pdf",
        headers={"Content-Disposition": f'inline; filename="machine-{found.code}.pdf"'},
    )


@require_GET
@at_site("look")
def part(request: SiteRequest, code: UUID) -> HttpResponse:
    """One part: what is due, what was done, where it has been, and how a vaporizer drifts."""
    found = part_for(request.user, code)
    enter(request, found.site)
    today, events = site_today(found.site), events_of(parts=(found,))
    context: dict[str, Any] = {
        "part": found,
        "lines": due_on_part(found, today),
        "events": events,
        "moves": part_moves(found),
        "states": state_changes(found),
    }
    if found.kind == "vaporizer" and found.facts.get("agent"):
        trend = trend_of(found, events, today)
        context |= {"trend": trend, "drawn": trend_drawn(trend, today)}
    return render(request, "service/part.html", context)
