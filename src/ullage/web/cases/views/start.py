"""A case is made ready, from the plan of the day or without one, and begins."""

from typing import Any
from uuid import UUID, uuid4

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST

from ullage.answers.record.beginning import group_allowed
from ullage.core.errors import RuleBroken
from ullage.web.cases.forms.start import BeginForm, StartForm
from ullage.web.cases.selectors import (
    Record,
    author_text,
    facts_planned,
    life_of,
    ready_of,
    record_of_plan,
    rules_of,
    settings_planned,
)
from ullage.web.cases.services import Opening, case_ready, case_run
from ullage.web.cases.views.found import found_record, page_of
from ullage.web.days.selectors import PlannedCase, case_for
from ullage.web.machines.selectors import machines_of
from ullage.web.shared.access import at_site, enter
from ullage.web.shared.http import SiteRequest
from ullage.web.sites.selectors import Site, people_of, role_may

__all__ = ["begin", "begin_form", "begin_page", "start", "start_planned"]


@require_http_methods(["GET", "POST"])
@at_site("operate")
def start(request: SiteRequest) -> HttpResponse:
    """Make a case ready that is in no plan."""
    return _start(request, None)


@require_http_methods(["GET", "POST"])
@at_site("operate")
def start_planned(request: SiteRequest, code: UUID) -> HttpResponse:
    """Make a planned case ready; one that has its record leads there."""
    planned = case_for(request.user, code)
    enter(request, planned.site, "operate")
    there = record_of_plan(planned)
    if there is not None and request.method == "GET":
        return page_of(there)
    return _start(request, planned)


def _start(request: SiteRequest, planned: PlannedCase | None) -> HttpResponse:
    offered = facts_planned(planned) if planned else {}
    known = {name: offered.get(name, "") for name in ("name", "species", "machine")}
    form = StartForm(
        request.POST if request.method == "POST" else None,
        machines=list(machines_of(request.site)),
        initial={**known, "code": uuid4()},
    )
    if request.method == "POST" and form.is_valid():
        try:
            record = case_ready(
                site=request.site,
                opening=_opening(form, planned),
                by=request.user,
                animals=form.group,
            )
        except RuleBroken as refusal:
            form.add_error(None, str(refusal))
        else:
            if record.code == form.cleaned_data["code"]:
                return redirect("cases:about", code=record.code)
            form.add_error(
                None,
                f"{record} was opened for this plan by somebody else meanwhile. Look at it, and "
                "change its facts there; what you typed is still here.",
            )
    context = {
        "form": form,
        "planned": planned,
        "offered": offered,
        "group_rule": group_allowed(
            offered.get("species") or "mouse", by_site=rules_of(request.site).groups
        ),
        "protocols": sorted(rules_of(request.site).protocols),
    }
    return render(request, "cases/start.html", context, status=422 if form.errors else 200)


def _opening(form: StartForm, planned: PlannedCase | None) -> Opening:
    typed = form.cleaned_data
    return Opening(
        machine=form.chosen(),
        name=typed["name"],
        species=typed["species"],
        facts=form.said(),
        planned=planned,
        is_group=typed["is_group"],
        code=str(typed["code"]),
    )


@require_POST
@at_site("look")
def begin(request: SiteRequest, code: UUID) -> HttpResponse:
    """The first gas flows."""
    record = found_record(request, code, "operate")
    form = begin_form(request.site, record, request.POST)
    if form.is_valid():
        try:
            begun = case_run(record=record, said=form.begin(), by=request.user)
        except RuleBroken as refusal:
            form.add_error(None, str(refusal))
        else:
            messages.success(request, f"{record.name} runs. Write down what you see as you see it.")
            return page_of(begun)
    return begin_page(request, record, form, status=422)


def begin_form(site: Site, record: Record, data: Any = None) -> BeginForm:
    """The form of the beginning, with the people who may answer for it."""
    return BeginForm(
        data,
        site=site,
        planned=settings_planned(record.planned),
        people=[author_text(one.user) for one in people_of(site) if role_may(one.role, "operate")],
    )


def begin_page(
    request: SiteRequest, record: Record, form: BeginForm | None = None, status: int = 200
) -> HttpResponse:
    """A case that is ready: may it begin, and what is set at its beginning."""
    context = {
        "record": record,
        "life": life_of(record),
        "ready": ready_of(record.machine, timezone.now()),
        "form": form or begin_form(request.site, record),
    }
    return render(request, "cases/ready.html", context, status=status)
