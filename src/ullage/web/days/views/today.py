"""The Today board."""

from django.http import HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_GET
from django.views.decorators.vary import vary_on_headers

from ullage.web.days.drawing import hours_svg
from ullage.web.days.selectors import board_of, due_of, next_of, recorded, stored_of, today_at
from ullage.web.days.services import day_refresh
from ullage.web.shared.access import at_site
from ullage.web.shared.http import SiteRequest, wants_part
from ullage.web.shared.links import link
from ullage.web.upkeep.selectors import upkeep_warning

__all__ = ["today"]


@require_GET
@at_site("look")
@vary_on_headers("HX-Request")
def today(request: SiteRequest) -> HttpResponse:
    """Every machine of the site: may it begin, what is left, and its day."""
    site, now = request.site, timezone.now()
    board = board_of(site, today_at(site), now)
    links = {
        "add_url": link("machines:add"),
        "settings_url": link("sites:settings"),
        "supply_url": link("supply:list"),
    }
    if board.is_empty:
        return render(request, "days/first.html", links)
    day_refresh(site=site, day=board.day, asked_at=board.answers.asked_at)
    due = due_of(board, site)
    context = {
        **links,
        "board": board,
        "recorded": recorded(site, count_waits=request.may("manage")),
        "hours": hours_svg(board.clock),
        "due": due,
        "next": next_of(board, due),
        "stored": stored_of(site, board),
        "day_url": link("days:day", board.day),
        "is_part": wants_part(request),
        "upkeep": upkeep_warning(now) if request.may("manage") else "",
    }
    template = "days/today_part.html" if wants_part(request) else "days/today.html"
    return render(request, template, context)
