"""Cases: added, changed, moved, copied, cancelled, taken back, begun, ended."""

from collections.abc import Callable
from datetime import date, timedelta
from typing import Any
from uuid import UUID, uuid4
from zoneinfo import ZoneInfo

from django.contrib import messages
from django.http import HttpResponse, HttpResponseRedirect, QueryDict
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST

from ullage.core.errors import RuleBroken
from ullage.web.days.forms import CancelForm, CaseForm, CopyForm, TakeForm
from ullage.web.days.selectors import PlannedCase, case_events, case_for, day_of
from ullage.web.days.selectors.fit import unfit_for
from ullage.web.days.services import (
    CaseFacts,
    case_add,
    case_begin,
    case_cancel,
    case_change,
    case_copy,
    case_end,
    case_move,
    case_restore,
    case_take,
)
from ullage.web.machines.selectors import machines_of
from ullage.web.shared.access import at_site, enter
from ullage.web.shared.http import SiteRequest

__all__ = ["add", "again", "begin", "cancel", "case", "end", "move", "restore", "take"]


@require_http_methods(["GET", "POST"])
@at_site("operate")
def add(request: SiteRequest, day: date) -> HttpResponse:
    """Plan a case for a day."""
    form = _form(request, day, {"code": uuid4()})
    if request.method == "POST" and form.is_valid():
        try:
            made = case_add(site=request.site, facts=form.facts(), by=request.user)
        except RuleBroken as refusal:
            form.refuse(str(refusal))
        else:
            messages.success(request, f"{made} is in the plan.")
            return _to_case(made)
    return _page(request, form, day, heading="A new case", save_label="Add to the plan")


@require_http_methods(["GET", "POST"])
@at_site("operate")
def case(request: SiteRequest, code: UUID) -> HttpResponse:
    """Change a case; what it was before stays readable below."""
    found = _found(request, code)
    if request.method == "GET" and found.agent:
        return HttpResponseRedirect(reverse("days:plan_case", args=[found.code]))
    day = day_of(request.site, found.starts_at)
    form = _form(request, day, _typed(found))
    if request.method == "POST" and form.is_valid():
        try:
            case_change(case=found, facts=form.facts(), by=request.user)
        except RuleBroken as refusal:
            form.refuse(str(refusal))
        else:
            messages.success(request, f"{found} is changed.")
            return _to_case(found)
    return _page(request, form, day, heading=found.name, save_label="Save", case=found)


def _found(request: SiteRequest, code: UUID) -> PlannedCase:
    found = case_for(request.user, code)
    enter(request, found.site, "operate")
    return found


def _form(request: SiteRequest, day: date, known: dict[str, Any]) -> CaseForm:
    """The form as typed; a weight that was meant replaces the one that slipped."""
    typed: QueryDict | None = None
    if request.method == "POST":
        typed = request.POST.copy()
        meant = typed.get("weight_meant")
        if meant:
            typed["weight_kg"] = meant
    return CaseForm(
        typed, site=request.site, machines=machines_of(request.site), day=day, initial=known
    )


def _typed(found: PlannedCase) -> dict[str, Any]:
    facts = CaseFacts(
        name=found.name,
        machine=found.machine,
        starts_at=found.starts_at,
        phases=found.phases,
        species=found.species,
        weight_kg=found.weight_kg,
        system=found.system,
        extras=found.extras,
        note=found.note,
    )
    local = found.starts_at.astimezone(ZoneInfo(found.site.time_zone))
    return CaseForm.typed_from(facts, local.time())


def _page(
    request: SiteRequest,
    form: CaseForm,
    day: date,
    *,
    heading: str,
    save_label: str,
    case: PlannedCase | None = None,
) -> HttpResponse:
    context = {
        "form": form,
        "day": day,
        "heading": heading,
        "save_label": save_label,
        "tag_kind": "Case" if case else "Day plan",
        "tag_facts": f"{day:%A} {day.day} {day:%B %Y}",
        "events": case_events(case) if case else [],
        "case": case,
        "unfit": unfit_for(case, timezone.now()) if case else None,
    }
    return render(request, "days/case.html", context, status=422 if form.errors else 200)


def _to_case(found: PlannedCase) -> HttpResponseRedirect:
    day = day_of(found.site, found.starts_at)
    return HttpResponseRedirect(f"{reverse('days:day', args=[day])}#case-{found.code}")


def _do(
    request: SiteRequest, found: PlannedCase, work: Callable[[], PlannedCase], said: str
) -> HttpResponse:
    """Do it and go back to the plan; a refusal is said there."""
    back = _to_case(found)
    try:
        work()
    except RuleBroken as refusal:
        messages.error(request, str(refusal))
    else:
        messages.success(request, said)
    return back


@require_POST
@at_site("operate")
def move(request: SiteRequest, code: UUID) -> HttpResponse:
    """Move a planned case to the next day, or to the day that is named."""
    found = _found(request, code)
    to = _day_after(request, found)
    if to is None:
        return _refused(request, found, f"{request.POST['day']} is no day; nothing was moved.")
    said = f"{found} is moved to {to:%A} {to.day} {to:%B}."
    return _do(request, found, lambda: case_move(case=found, to=to, by=request.user), said)


@require_POST
@at_site("operate")
def take(request: SiteRequest, code: UUID) -> HttpResponse:
    """Take another machine for a planned case."""
    found = _found(request, code)
    form = TakeForm(request.POST, machines=machines_of(request.site))
    if not form.is_valid():
        return _refused(request, found, "Choose a machine of this site; nothing was changed.")
    machine = form.chosen()
    said = f"{found} is planned on {machine} now."
    return _do(
        request, found, lambda: case_take(case=found, machine=machine, by=request.user), said
    )


@require_POST
@at_site("operate")
def again(request: SiteRequest, code: UUID) -> HttpResponse:
    """Plan the same case once more, on the next day or the day that is named."""
    found = _found(request, code)
    to = _day_after(request, found)
    if to is None:
        return _refused(request, found, f"{request.POST['day']} is no day; nothing was copied.")
    said = f"{found} is copied to {to:%A} {to.day} {to:%B}; weigh again."
    return _do(request, found, lambda: case_copy(case=found, to=to, by=request.user), said)


def _day_after(request: SiteRequest, found: PlannedCase) -> date | None:
    """The day that is named, the next where none is; None for one that is no day."""
    if not request.POST.get("day"):
        return day_of(found.site, found.starts_at) + timedelta(days=1)
    form = CopyForm(request.POST)
    named: date | None = form.cleaned_data["day"] if form.is_valid() else None
    return named


def _refused(request: SiteRequest, found: PlannedCase, sentence: str) -> HttpResponse:
    messages.error(request, sentence)
    return _to_case(found)


@require_POST
@at_site("operate")
def cancel(request: SiteRequest, code: UUID) -> HttpResponse:
    """Cancel a planned case; it stays on the page and can be taken back."""
    found, form = _found(request, code), CancelForm(request.POST)
    if not form.is_valid():
        return _refused(request, found, "Say why in at most 200 letters; nothing was cancelled.")
    reason = form.cleaned_data["reason"]
    return _do(
        request,
        found,
        lambda: case_cancel(case=found, by=request.user, reason=reason),
        f"{found} is cancelled; it can be taken back.",
    )


@require_POST
@at_site("operate")
def restore(request: SiteRequest, code: UUID) -> HttpResponse:
    """Take a cancelled case back into the plan."""
    found = _found(request, code)
    said = f"{found} is back in the plan."
    return _do(request, found, lambda: case_restore(case=found, by=request.user), said)


@require_POST
@at_site("operate")
def begin(request: SiteRequest, code: UUID) -> HttpResponse:
    """Note that the first gas flows."""
    found = _found(request, code)
    said = f"{found} runs; its flows are noted."
    return _do(request, found, lambda: case_begin(case=found, by=request.user), said)


@require_POST
@at_site("operate")
def end(request: SiteRequest, code: UUID) -> HttpResponse:
    """Note that the flows are off."""
    found = _found(request, code)
    said = f"{found} is done; its flows end here."
    return _do(request, found, lambda: case_end(case=found, by=request.user), said)
