"""Sources: added, looked at, changed, taken out; and the flow that runs from them."""

from typing import Any
from uuid import UUID

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from ullage.core.errors import RuleBroken, UllageError
from ullage.web.machines.selectors import machines_of
from ullage.web.shared.access import at_site, enter
from ullage.web.shared.http import SiteRequest
from ullage.web.supply.forms import FlowForm, KindForm, SourceForm
from ullage.web.supply.selectors import Source, source_for, source_page, sources_of
from ullage.web.supply.services import (
    SourceFacts,
    flow_start,
    flow_stop,
    source_add,
    source_duty,
    source_edit,
    source_restore,
    source_retire,
)

__all__ = ["add", "duty", "edit", "flow", "restore", "retire", "source"]


def _found(request: SiteRequest, code: UUID, what: str = "look") -> Source:
    found = source_for(request.user, code)
    enter(request, found.site, what)
    return found


@require_http_methods(["GET", "POST"])
@at_site("manage")
def add(request: SiteRequest) -> HttpResponse:
    """Add a source: first its kind, then what belongs to it."""
    kind = request.GET.get("kind") or request.POST.get("kind") or ""
    chosen = KindForm({"kind": kind} if kind else None)
    if not chosen.is_valid():
        status = 422 if kind else 200
        return render(request, "supply/source_kind.html", {"form": chosen}, status=status)
    form = _form(request, kind)
    if request.method == "POST" and form.is_valid():
        made = _added(request, form)
        if made is not None:
            messages.success(request, f"{made} is in the list.")
            return redirect("supply:source", code=made.code)
    status = 422 if form.errors else 200
    return render(request, "supply/source_form.html", {"form": form, "kind": kind}, status=status)


def _added(request: SiteRequest, form: SourceForm) -> Source | None:
    try:
        return source_add(
            site=request.site,
            facts=_facts(request, form),
            machines=_machines(request, form),
            by=request.user,
        )
    except RuleBroken as refusal:
        form.add_error("name", str(refusal))
        return None


def _form(request: SiteRequest, kind: str, **more: Any) -> SourceForm:
    this = more.pop("this", None)
    before = [
        (str(one.code), one.name)
        for one in sources_of(request.site)
        if this is None or one.pk != this.pk
    ]
    named = [(str(one.code), one.name) for one in machines_of(request.site)]
    return SourceForm(
        request.POST or None, site=request.site, kind=kind, machines=named, before=before, **more
    )


def _facts(request: SiteRequest, form: SourceForm) -> SourceFacts:
    behind = form.cleaned_data.get("reserve_of")
    other = source_for(request.user, UUID(behind)) if behind else None
    return SourceFacts(**form.facts(), reserve_of=other)


def _machines(request: SiteRequest, form: SourceForm) -> list[Any]:
    chosen = set(form.cleaned_data.get("machines", ()))
    return [one for one in machines_of(request.site) if str(one.code) in chosen]


@require_GET
@at_site("look")
def source(request: SiteRequest, code: UUID) -> HttpResponse:
    """One source: its cylinders, what it feeds, what runs, what was changed."""
    found = _found(request, code)
    return _page(request, found, FlowForm(site=found.site))


def _page(request: SiteRequest, found: Source, form: FlowForm, status: int = 200) -> HttpResponse:
    context = {"source": found, "page": source_page(found), "form": form}
    return render(request, "supply/source.html", context, status=status)


@require_http_methods(["GET", "POST"])
@at_site("manage")
def edit(request: SiteRequest, code: UUID) -> HttpResponse:
    """Write new facts about a source; the old ones stay in its log."""
    found = _found(request, code, "manage")
    form = _form(request, found.kind, this=found, initial=_as_typed(found))
    if request.method == "POST" and form.is_valid():
        try:
            source_edit(
                source=found,
                facts=_facts(request, form),
                machines=_machines(request, form),
                by=request.user,
            )
        except RuleBroken as refusal:
            form.add_error(None, str(refusal))
        else:
            messages.success(request, "Written. The old values stay in its log.")
            return redirect("supply:source", code=code)
    status = 422 if form.errors else 200
    context = {"form": form, "kind": found.kind, "source": found}
    return render(request, "supply/source_form.html", context, status=status)


def _as_typed(found: Source) -> dict[str, Any]:
    trapped = found.trapped_ml
    return {
        "name": found.name,
        "gas": found.gas,
        "room": str(found.room_id or ""),
        "machines": [str(one.code) for one in found.machines.all()],
        "reserve_of": str(found.reserve_of.code) if found.reserve_of else "",
        "line_gauge": found.line_gauge_kpa,
        "change_over": found.change_over_kpa,
        "flow_limit": found.flow_limit_l_min,
        "oxygen_percent": found.oxygen_fraction,
        "liquid_l": found.liquid_l,
        "daily_loss_percent": found.daily_loss_share,
        "trapped_ml": None if trapped is None else trapped / 1000.0,
        "fall_limit": found.fall_limit_kpa,
        "fall_limit_min": found.fall_limit_min,
    }


@require_POST
@at_site("operate")
def flow(request: SiteRequest, code: UUID) -> HttpResponse:
    """Note the flow that runs now, or that all flows are off."""
    found = _found(request, code, "operate")
    form = FlowForm(request.POST, site=found.site)
    try:
        if "off" in request.POST:
            flow_stop(source=found, by=request.user)
        elif form.is_valid():
            typed = form.cleaned_data
            flow_start(source=found, flow_l_min=typed["flow"], why=typed["why"], by=request.user)
        else:
            return _page(request, found, form, status=422)
    except UllageError as refusal:
        messages.error(request, str(refusal))
    there = request.POST.get("next", "")
    if url_has_allowed_host_and_scheme(there, allowed_hosts=None):
        return redirect(there)
    return redirect("supply:source", code=code)


@require_POST
@at_site("operate")
def duty(request: SiteRequest, code: UUID) -> HttpResponse:
    """Note which bank of a manifold gives gas now."""
    found = _found(request, code, "operate")
    try:
        source_duty(source=found, bank=request.POST.get("bank", ""), by=request.user)
    except RuleBroken as refusal:
        messages.error(request, str(refusal))
    return redirect("supply:source", code=code)


@require_POST
@at_site("manage")
def retire(request: SiteRequest, code: UUID) -> HttpResponse:
    """Take a source out of the list."""
    found = _found(request, code, "manage")
    try:
        source_retire(source=found, by=request.user)
    except RuleBroken as refusal:
        messages.error(request, str(refusal))
    else:
        messages.success(request, f"{found} is out of the list. It can be put back here.")
    return redirect("supply:source", code=code)


@require_POST
@at_site("manage")
def restore(request: SiteRequest, code: UUID) -> HttpResponse:
    """Put a source back into the list."""
    found = _found(request, code, "manage")
    try:
        source_restore(source=found, by=request.user)
    except RuleBroken as refusal:
        messages.error(request, str(refusal))
    return redirect("supply:source", code=code)
