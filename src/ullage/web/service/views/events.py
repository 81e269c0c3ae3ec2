"""Writing down what was done, and reading it again."""

from typing import Any
from uuid import UUID

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from ullage.answers import Verdict
from ullage.core.errors import InvalidQuantity, RuleBroken
from ullage.web.machines.selectors import Machine, Part, machine_anywhere, part_for
from ullage.web.service.forms import DoneForm, EventForm, OutputTestForm, WithdrawForm
from ullage.web.service.selectors import (
    EventKind,
    ServiceEvent,
    answer_of,
    certificate_for,
    event_for,
    limit_at,
)
from ullage.web.service.services import EventSaid, event_add, event_withdraw, output_test_add
from ullage.web.shared.access import at_site, enter
from ullage.web.shared.attachments import attachment_response
from ullage.web.shared.http import SiteRequest

__all__ = ["machine_add", "one", "paper", "part_add", "test", "withdraw"]


def _said(form: DoneForm, kind: str, **more: Any) -> EventSaid:
    """What a form says, as the service takes it."""
    names = ("code", "done_on", "done_by", "note", "file")
    return EventSaid(kind=kind, **{name: form.cleaned_data[name] for name in names}, **more)


@require_http_methods(["GET", "HEAD", "POST"])
@at_site("look")
def machine_add(request: SiteRequest, code: UUID) -> HttpResponse:
    """Write down what was done to a machine."""
    machine = machine_anywhere(request.user, code)
    enter(request, machine.site, "operate")
    return _add(request, machine, has_date=False)


@require_http_methods(["GET", "HEAD", "POST"])
@at_site("look")
def part_add(request: SiteRequest, code: UUID) -> HttpResponse:
    """Write down what was done to a part."""
    part = part_for(request.user, code)
    enter(request, part.site, "operate")
    has_date = any(one.name == "replace_by" for one in part.row.facts)
    return _add(request, part, has_date=has_date)


def _add(request: SiteRequest, thing: Machine | Part, *, has_date: bool) -> HttpResponse:
    form = EventForm(
        request.POST or None, request.FILES or None, site=request.site, has_date=has_date
    )
    if request.method == "POST" and form.is_valid():
        replace_by = form.cleaned_data.get("replace_by")
        said = _said(form, form.cleaned_data["kind"], replace_by=replace_by)
        try:
            event = event_add(thing=thing, said=said, by=request.user)
        except RuleBroken as refusal:
            form.add_error(None, str(refusal))
        else:
            messages.success(request, _kept(thing, event))
            return redirect("service:event", code=event.code)
    known = {"form": form, "thing": thing, "is_part": isinstance(thing, Part)}
    return render(request, "service/add.html", known, status=422 if form.errors else 200)


def _kept(thing: Machine | Part, event: ServiceEvent) -> str:
    told = {
        EventKind.LOAN: f"Kept. {thing} is out of use until it is back.",
        EventKind.RETURN: f"Kept. {thing} is in doubt until somebody has checked it.",
    }
    return told.get(EventKind(event.kind), "Kept, with the day and your name.")


@require_http_methods(["GET", "HEAD", "POST"])
@at_site("look")
def test(request: SiteRequest, code: UUID) -> HttpResponse:
    """Write down an output test; what it comes to is shown once it is kept."""
    part = part_for(request.user, code)
    enter(request, part.site, "operate")
    form = OutputTestForm(request.POST or None, request.FILES or None, site=request.site)
    if request.method == "POST" and form.is_valid():
        try:
            said = _said(form, EventKind.OUTPUT_TEST, facts=form.facts())
            event, answer = output_test_add(part=part, said=said, by=request.user)
        except (RuleBroken, InvalidQuantity) as refusal:
            form.add_error(None, str(refusal))
        else:
            _tell(request, part, answer.verdict)
            return redirect("service:event", code=event.code)
    known = {"form": form, "part": part, "limit": limit_at(part.site)}
    return render(request, "service/test.html", known, status=422 if form.errors else 200)


def _tell(request: SiteRequest, part: Part, verdict: Verdict | None) -> None:
    if verdict is Verdict.STOP:
        messages.error(request, f"Kept. {part} is out of use: it is beyond the limit.")
    elif verdict is Verdict.LOOK_AGAIN:
        messages.warning(request, f"Kept. {part} is in doubt: test it again.")
    else:
        messages.success(request, "Kept, with the day and your name.")


@require_GET
@at_site("look")
def one(request: SiteRequest, code: UUID) -> HttpResponse:
    """One event: what was done, by whom, what it came to, its paper."""
    event = event_for(request.user, code)
    enter(request, event.site)
    return _event_page(request, event, WithdrawForm())


def _event_page(
    request: SiteRequest, event: ServiceEvent, form: WithdrawForm, status: int = 200
) -> HttpResponse:
    may_withdraw = request.may("manage") or event.by_id == request.user.pk
    known = {
        "event": event,
        "answer": answer_of(event),
        "withdrawal": getattr(event, "withdrawal", None),
        "form": form,
        "may_withdraw": may_withdraw and request.may("operate"),
    }
    return render(request, "service/event.html", known, status=status)


@require_POST
@at_site("look")
def withdraw(request: SiteRequest, code: UUID) -> HttpResponse:
    """Say that an event was written by mistake."""
    event = event_for(request.user, code)
    enter(request, event.site, "operate")
    form = WithdrawForm(request.POST)
    if form.is_valid():
        try:
            event_withdraw(event=event, by=request.user, reason=form.cleaned_data["reason"])
        except RuleBroken as refusal:
            form.add_error("reason", str(refusal))
        else:
            messages.success(request, "Withdrawn: it stays readable and counts for nothing.")
            return redirect("service:event", code=event.code)
    return _event_page(request, event, form, status=422)


@require_GET
@at_site("look")
def paper(request: SiteRequest, code: UUID) -> HttpResponse:
    """A certificate, as a download."""
    found = certificate_for(request.user, code)
    enter(request, found.event.site)
    return attachment_response(found)
