"""The plan of a day: its page, its print, copying from another day."""

from datetime import date, timedelta

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.dateparse import parse_date
from django.views.decorators.http import require_GET, require_http_methods
from django.views.decorators.vary import vary_on_headers

from ullage.core.errors import RuleBroken
from ullage.web.days.forms import CopyForm
from ullage.web.days.selectors import (
    CaseState,
    cases_of,
    days_around,
    plan_page,
    print_data,
    recorded,
    today_at,
)
from ullage.web.days.services import day_copy, day_refresh
from ullage.web.shared.access import at_site
from ullage.web.shared.http import SiteRequest
from ullage.web.shared.print import render_pdf
from ullage.web.sites.selectors import Site

__all__ = ["copy", "day", "pdf", "plan"]


@require_GET
@at_site("look")
def plan(request: SiteRequest) -> HttpResponse:
    """Go to the plan of a day, today where none is named."""
    wanted = _date_of(request.GET.get("day", ""))
    return redirect("days:day", day=wanted or today_at(request.site))


def _date_of(typed: str) -> date | None:
    try:
        return parse_date(typed)
    except ValueError:
        return None


@require_GET
@at_site("look")
@vary_on_headers("HX-Request")
def day(request: SiteRequest, day: date) -> HttpResponse:
    """One day: its cases, and what they come to for each source."""
    page = plan_page(request.site, day, timezone.now())
    if day >= page.today:
        day_refresh(site=request.site, day=day, asked_at=page.answers.asked_at)
    kept = recorded(request.site, [one.pk for one in page.cases]).by_plan
    return render(
        request,
        "days/day.html",
        {
            "day": day,
            "before": day - timedelta(days=1),
            "after": day + timedelta(days=1),
            "is_today": day == page.today,
            "answers": page.answers,
            "rows": [(one, unfit, kept.get(one.pk)) for one, unfit in page.rows],
            "count": page.count,
            "clock": page.clock,
            "lanes": page.lanes,
            "machines": page.machines,
            "next": page.next,
        },
    )


@require_GET
@at_site("look")
def pdf(request: SiteRequest, day: date) -> HttpResponse:
    """The plan of a day on paper, with its answers as they were last worked out."""
    made = render_pdf("day", print_data(request.site, day, timezone.now()))
    name = f"day-plan-{day.isoformat()}.pdf"
    return HttpResponse(
        made,
        content_type="application/pdf",
        headers={"Content-Disposition": f'inline; filename="{name}"'},
    )


@require_http_methods(["GET", "POST"])
@at_site("operate")
def copy(request: SiteRequest, day: date) -> HttpResponse:
    """Copy the cases of another day into this one."""
    form = CopyForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        try:
            made = day_copy(
                site=request.site, source=form.cleaned_data["day"], to=day, by=request.user
            )
        except RuleBroken as refusal:
            form.add_error(None, str(refusal))
        else:
            messages.success(request, _copied(len(made)))
            left = _left_out(request.site, form.cleaned_data["day"], len(made))
            if left:
                messages.warning(request, left)
            return redirect("days:day", day=day)
    near = sorted(days_around(request.site, day).items(), reverse=True)
    return render(
        request,
        "days/copy.html",
        {
            "form": form,
            "day": day,
            "heading": f"Copy into {day:%A} {day.day} {day:%B}",
            "days": [(one, count) for one, count in near if one != day],
        },
        status=422 if form.errors else 200,
    )


def _left_out(site: Site, day: date, made: int) -> str:
    """How many cases were not copied since their machine is out of use."""
    cases = [one for one in cases_of(site, day) if one.state != CaseState.CANCELLED]
    left = len(cases) - made
    if not left:
        return ""
    what = "One case was" if left == 1 else f"{left} cases were"
    return f"{what} left out: the machine is out of use. Plan it on another one."


def _copied(count: int) -> str:
    if count == 0:
        return "That day has no case to copy."
    what = "One case was copied" if count == 1 else f"{count} cases were copied"
    return f"{what}. Weights were not: weigh again."
