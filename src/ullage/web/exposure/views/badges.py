"""Pages of badges, and of the limits that they are held against."""

from dataclasses import replace
from uuid import UUID

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from ullage.answers import Answer, against_limit
from ullage.answers import badge as badge_answer
from ullage.answers.exposure_badges import badge_measures
from ullage.core.errors import RuleBroken, UllageError
from ullage.reference.exposure_limits import no_limit_words
from ullage.web.exposure.forms import GASES, BadgeForm, LimitForm, WithdrawForm
from ullage.web.exposure.reckoned import badge_beside
from ullage.web.exposure.selectors import (
    BadgeResult,
    badge_for,
    badge_read,
    badges_of,
    changes_about,
    limits_of,
)
from ullage.web.exposure.services import badge_add, badge_withdraw, limit_choose
from ullage.web.exposure.views.rooms import changes_in_words
from ullage.web.shared.access import at_site, enter
from ullage.web.shared.http import SiteRequest

__all__ = ["badge", "badge_new", "badges", "limit", "limits", "withdraw"]


@require_GET
@at_site("look")
def limits(request: SiteRequest) -> HttpResponse:
    """The limits that the site follows, by agent, with all choices side by side."""
    chosen = limits_of(request.site)
    answers = [
        (one, against_limit(one, chosen.get(one), {}, request.site.country), one in chosen)
        for one in GASES
    ]
    return render(request, "exposure/limits.html", {"answers": answers, "words": no_limit_words()})


@require_http_methods(["GET", "HEAD", "POST"])
@at_site("rule")
def limit(request: SiteRequest, agent: str) -> HttpResponse:
    """Choose the limit of one agent."""
    if agent not in GASES:
        raise Http404
    stored = {"limit": limits_of(request.site).get(agent, "")}
    form = LimitForm(request.POST or None, site=request.site, agent=agent, initial=stored)
    if request.method == "POST" and form.is_valid():
        chosen = form.cleaned_data["limit"]
        limit_choose(site=request.site, by=request.user, agent=agent, limit=chosen)
        messages.success(request, f"Limit of {agent}: saved.")
        return redirect("exposure:limits")
    context = {
        "form": form,
        "agent": agent,
        "changes": changes_in_words(changes_about(request.site, "limit", agent), form),
    }
    return render(request, "exposure/limit.html", context, status=422 if form.errors else 200)


@require_GET
@at_site("look")
def badges(request: SiteRequest) -> HttpResponse:
    """Every badge of the site, withdrawn ones too."""
    chosen = limits_of(request.site)
    rows = [(one, _limited(one, chosen)) for one in badges_of(request.site)]
    return render(request, "exposure/badges.html", {"rows": rows})


def _limited(row: BadgeResult, chosen: dict[str, str]) -> Answer:
    measures = badge_measures(badge_read(row))
    return against_limit(row.agent, chosen.get(row.agent), measures, row.site.country)


@require_http_methods(["GET", "HEAD", "POST"])
@at_site("operate")
def badge_new(request: SiteRequest) -> HttpResponse:
    """Write down what a laboratory reported."""
    form = BadgeForm(request.POST or None, site=request.site)
    if request.method == "POST" and form.is_valid():
        try:
            kept = badge_add(site=request.site, by=request.user, facts=form.facts())
        except UllageError as refusal:
            form.add_error(None, str(refusal))
        else:
            messages.success(request, "Badge kept.")
            return redirect("exposure:badge", code=kept.code)
    context = {"form": form}
    return render(request, "exposure/badge_add.html", context, status=422 if form.errors else 200)


@require_GET
@at_site("look")
def badge(request: SiteRequest, code: UUID) -> HttpResponse:
    """One badge: what it says, beside what was reckoned, against the limit."""
    row = badge_for(request.user, code)
    enter(request, row.site)
    return _show(request, row, WithdrawForm(site=row.site))


def _show(
    request: SiteRequest, row: BadgeResult, form: WithdrawForm, status: int = 200
) -> HttpResponse:
    limit = _limited(row, limits_of(row.site))
    context = {
        "badge": row,
        "gone": getattr(row, "withdrawal", None),
        "says": badge_answer(badge_read(row)),
        "beside": badge_beside(row),
        "limit": limit,
        "bare_limit": replace(limit, views=()),
        "form": form,
    }
    return render(request, "exposure/badge.html", context, status=status)


@require_POST
@at_site("operate")
def withdraw(request: SiteRequest, code: UUID) -> HttpResponse:
    """Say that a badge does not count."""
    row = badge_for(request.user, code)
    enter(request, row.site, "operate")
    form = WithdrawForm(request.POST, site=row.site)
    if form.is_valid():
        try:
            badge_withdraw(badge=row, by=request.user, reason=form.cleaned_data["reason"])
        except RuleBroken as refusal:
            form.add_error(None, str(refusal))
        else:
            messages.success(request, "Withdrawn. It stays readable and counts no more.")
            return redirect("exposure:badge", code=row.code)
    return _show(request, row, form, status=422)
