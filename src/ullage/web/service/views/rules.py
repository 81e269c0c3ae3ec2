"""Which intervals and which limit hold here, who set them, and setting them."""

from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_http_methods

from ullage.answers.service import TASKS, limit_of, published_limits, thing_words
from ullage.core.errors import RuleBroken
from ullage.web.service.forms import IntervalForm, LimitForm
from ullage.web.service.selectors import OutputRule, limit_at, limit_rows, rule_lines
from ullage.web.service.services import interval_set, limit_set
from ullage.web.shared.access import at_site
from ullage.web.shared.http import SiteRequest

__all__ = ["interval", "limit", "listed"]


@require_GET
@at_site("look")
def listed(request: SiteRequest) -> HttpResponse:
    """Every interval that holds and the limit of vaporizers, with where each is from."""
    lines = [
        {
            "interval": one.interval,
            "row": one.row,
            "task": TASKS[one.interval.task].name,
            "thing": _named(one.interval.thing, one.interval.agent),
        }
        for one in rule_lines(request.site)
    ]
    context = {
        "lines": lines,
        "limit": limit_at(request.site),
        "limits": [(_words(one), one) for one in limit_rows(request.site)],
        "published": published_limits(),
    }
    return render(request, "service/rules.html", context)


def _named(thing: str, agent: str) -> str:
    words = thing_words(thing)
    return f"{words} for {agent}" if agent else words


def _words(row: OutputRule) -> str:
    found = limit_of(row.key, row.of_dial_share)
    return found.words if found else row.key


@require_http_methods(["GET", "HEAD", "POST"])
@at_site("rule")
def interval(request: SiteRequest) -> HttpResponse:
    """Set an interval."""
    known = {name: request.GET.get(name, "") for name in ("thing", "task")}
    form = IntervalForm(request.POST or None, initial=known)
    if request.method == "POST" and form.is_valid():
        return _saved(request, form, interval_set, "The interval holds from now on.")
    return _page(request, form, "Set an interval", "Where nobody sets one, a published one holds.")


@require_http_methods(["GET", "HEAD", "POST"])
@at_site("rule")
def limit(request: SiteRequest) -> HttpResponse:
    """Set the limit that vaporizers are held to."""
    form = LimitForm(request.POST or None, site=request.site)
    if request.method == "POST" and form.is_valid():
        return _saved(request, form, limit_set, "The limit holds for tests from now on.")
    return _page(
        request,
        form,
        "Set the limit for vaporizers",
        "Published limits disagree. Tests that were written down keep what they came to.",
    )


def _saved(request: SiteRequest, form: Any, write: Any, told: str) -> HttpResponse:
    try:
        write(site=request.site, by=request.user, **form.cleaned_data)
    except RuleBroken as refusal:
        form.add_error(None, str(refusal))
        return _page(request, form, "Set a rule", "")
    messages.success(request, told)
    return redirect("service:rules")


def _page(request: SiteRequest, form: Any, title: str, about: str) -> HttpResponse:
    known = {"form": form, "title": title, "about": about}
    return render(request, "service/rule.html", known, status=422 if form.errors else 200)
