"""The check lists of a site, how it edits them, and the limits that it chose."""

from typing import Any

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from ullage.core.errors import RuleBroken, UllageError, UnknownReference
from ullage.web.checks.forms import LimitForm, OwnLeakForm
from ullage.web.checks.list_forms import ListForm
from ullage.web.checks.selectors import (
    Line,
    ListLine,
    limit_lines,
    list_named,
    lists_of,
    versions_of,
)
from ullage.web.checks.services import limit_choose, limit_write, list_change
from ullage.web.shared.access import at_site
from ullage.web.shared.http import SiteRequest

__all__ = ["edit", "limit", "limits", "listed", "one", "own_leak"]


@require_GET
@at_site("look")
def listed(request: SiteRequest) -> HttpResponse:
    """All lists of the site."""
    return render(request, "checks/lists.html", {"lines": lists_of(request.site)})


def _list(request: SiteRequest, key: str) -> ListLine:
    try:
        return list_named(request.site, key)
    except UnknownReference:
        raise Http404 from None


@require_GET
@at_site("look")
def one(request: SiteRequest, key: str) -> HttpResponse:
    """One list: its steps, what it leaves out, and its versions."""
    known = {"line": _list(request, key), "versions": versions_of(request.site, key)}
    return render(request, "checks/list.html", known)


@require_http_methods(["GET", "HEAD", "POST"])
@at_site("manage")
def edit(request: SiteRequest, key: str) -> HttpResponse:
    """Write a new version of a list."""
    line = _list(request, key)
    form = ListForm(request.POST or None, check_list=line.list)
    if request.method == "POST" and form.is_valid():
        try:
            list_change(
                site=request.site,
                key=key,
                written=form.written(),
                reason=form.cleaned_data["reason"],
                by=request.user,
            )
        except UllageError as refusal:
            form.add_error(None, str(refusal))
        else:
            messages.success(request, f"{line.list.title}: a new version counts from now on.")
            return redirect("checks:list", key=key)
    known = {"form": form, "line": line}
    return render(request, "checks/list_edit.html", known, status=422 if form.errors else 200)


@require_GET
@at_site("look")
def limits(request: SiteRequest) -> HttpResponse:
    """The limits: all who set them side by side, and what the site chose."""
    return _limits_page(request)


def _limits_page(
    request: SiteRequest, bad: dict[str, Any] | None = None, status: int = 200
) -> HttpResponse:
    refused = bad or {}
    lines = [
        {"line": line, "form": refused.get(line.name) or _choice(line)}
        for line in limit_lines(request.site)
    ]
    known = {"lines": lines, "own": refused.get("own") or OwnLeakForm(site=request.site)}
    return render(request, "checks/limits.html", known, status=status)


def _choice(line: Line, data: Any = None) -> LimitForm:
    return LimitForm(data, offered=line.choices, auto_id=f"id_{line.name}_%s")


@require_POST
@at_site("manage")
def limit(request: SiteRequest, name: str) -> HttpResponse:
    """Choose one of the published limits."""
    line = next((one for one in limit_lines(request.site) if one.name == name), None)
    if line is None:
        raise Http404
    form = _choice(line, request.POST)
    if not form.is_valid():
        return _limits_page(request, {name: form}, status=422)
    limit_choose(site=request.site, name=name, choice=form.cleaned_data["choice"], by=request.user)
    messages.success(request, f"{line.title}: chosen. Checks from now on are held against it.")
    return redirect("checks:limits")


@require_POST
@at_site("manage")
def own_leak(request: SiteRequest) -> HttpResponse:
    """Set a leak limit of the site's own."""
    form = OwnLeakForm(request.POST, site=request.site)
    if form.is_valid():
        try:
            limit_write(site=request.site, by=request.user, **form.cleaned_data)
        except (RuleBroken, UllageError) as refusal:
            form.add_error(None, str(refusal))
        else:
            messages.success(request, "The leak limit of this site is set.")
            return redirect("checks:limits")
    return _limits_page(request, {"own": form}, status=422)
