"""Checks: begun, filled in step by step, ended; they can be left and taken up again."""

from typing import Any
from uuid import UUID, uuid4

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from ullage.answers import Answer
from ullage.answers.checks import ChangeKind
from ullage.core.errors import RuleBroken, UllageError, UnknownReference
from ullage.web.checks.forms import ChangeForm, EndForm, FileForm, step_form
from ullage.web.checks.selectors import (
    Check,
    Earlier,
    StepLine,
    check_for,
    check_lines,
    checks_of,
    earlier_of,
    file_for,
    lists_of,
    next_step,
    open_checks,
    standings,
)
from ullage.web.checks.services import (
    Given,
    change_say,
    check_begin,
    check_end,
    check_give_up,
    file_add,
    no_animal_say,
    step_enter,
)
from ullage.web.machines.selectors import Machine, machine_anywhere, machines_of, readiness_of
from ullage.web.shared.access import at_site, enter
from ullage.web.shared.attachments import attachment_response
from ullage.web.shared.http import SiteRequest

__all__ = [
    "attach",
    "begin",
    "changed",
    "end",
    "file",
    "give_up",
    "home",
    "machine",
    "no_animal",
    "show",
    "step",
]


def _machine(request: SiteRequest, code: UUID, what: str = "look") -> Machine:
    found = machine_anywhere(request.user, code)
    enter(request, found.site, what)
    return found


def _check(request: SiteRequest, code: UUID, what: str = "look") -> Check:
    found = check_for(request.user, code)
    enter(request, found.site, what)
    return found


@require_GET
@at_site("look")
def home(request: SiteRequest) -> HttpResponse:
    """Every machine with what its checks stand for, and the checks that were left open."""
    machines = list(machines_of(request.site))
    ready = readiness_of(machines, timezone.now())
    known = {
        "lines": [{"machine": one, "answer": ready[one.pk]} for one in machines],
        "open": open_checks(request.site),
    }
    return render(request, "checks/home.html", known)


@require_GET
@at_site("look")
def machine(request: SiteRequest, code: UUID) -> HttpResponse:
    """One machine: which list to begin, what the last checks still cover, what was found."""
    return _machine_page(request, _machine(request, code), ChangeForm())


def _machine_page(
    request: SiteRequest, found: Machine, form: ChangeForm, status: int = 200
) -> HttpResponse:
    now = timezone.now()
    stand = standings([found], now).get(found.pk, {})
    running = {one.version.key: one for one in open_checks(request.site) if one.machine == found}
    known = {
        "machine": found,
        "ready": readiness_of([found], now)[found.pk],
        "lists": [
            {"list": one.list, "stands": stand.get(one.list.key), "open": running.get(one.list.key)}
            for one in lists_of(request.site)
        ],
        "checks": checks_of(found),
        "form": form,
    }
    return render(request, "checks/machine.html", known, status=status)


@require_POST
@at_site("look")
def changed(request: SiteRequest, code: UUID) -> HttpResponse:
    """Say that something was changed on a machine: steps are due again."""
    found = _machine(request, code, "operate")
    form = ChangeForm(request.POST)
    if not form.is_valid():
        return _machine_page(request, found, form, status=422)
    kind = ChangeKind(form.cleaned_data["kind"])
    now = timezone.now()
    change_say(machine=found, kind=kind, at=now, by=request.user, note=form.cleaned_data["note"])
    messages.success(request, f"Kept: {kind.value} changed. What rests on it is due again.")
    return redirect("checks:machine", code=code)


@require_POST
@at_site("look")
def begin(request: SiteRequest, code: UUID, key: str) -> HttpResponse:
    """Begin a check, or take up the one that was left."""
    found = _machine(request, code, "operate")
    try:
        check = check_begin(machine=found, key=key, by=request.user)
    except UnknownReference:
        raise Http404 from None
    return redirect("checks:check", code=check.code)


@require_GET
@at_site("look")
def show(request: SiteRequest, code: UUID) -> HttpResponse:
    """Where a check stands: the step at hand, and every step with what it came to."""
    return _page(request, _check(request, code), request.GET.get("step", ""))


def _page(
    request: SiteRequest, check: Check, asked: str = "", form: Any = None, status: int = 200
) -> HttpResponse:
    lines = check_lines(check)
    is_open = check.ended_at is None
    at_hand = next_step(lines, asked) if is_open else None
    if at_hand is not None and form is None:
        form = step_form(at_hand.step, request.site)
    last = next((one for one in lines if one.step.key == request.GET.get("done")), None)
    known = {
        "check": check,
        "lines": lines,
        "at_hand": at_hand,
        "form": form,
        "last": last,
        "earlier": _earlier(check, at_hand),
        "is_open": is_open,
        "left": sum(1 for one in lines if one.last is None),
        "result": Answer.from_dict(check.result) if check.result else None,
        "files": list(check.files.select_related("by")),
        "file_form": FileForm(),
        "end_form": EndForm(),
        "token": uuid4(),
    }
    return render(request, "checks/check.html", known, status=status)


def _earlier(check: Check, line: StepLine | None) -> list[Earlier]:
    """What stood beside the same measurement on earlier days."""
    return earlier_of(check, line.step.key) if line is not None and line.step.measures else []


@require_POST
@at_site("look")
def step(request: SiteRequest, code: UUID, key: str) -> HttpResponse:
    """Keep what was said or measured at a step."""
    check = _check(request, code, "operate")
    line = next((one for one in check_lines(check) if one.step.key == key), None)
    if line is None:
        raise Http404
    form = step_form(line.step, request.site, request.POST)
    if not form.is_valid():
        return _page(request, check, key, form, status=422)
    given = Given(
        values=form.given(), code=form.cleaned_data["code"], note=form.cleaned_data["note"]
    )
    try:
        step_enter(check=check, key=key, given=given, by=request.user)
    except UllageError as refusal:
        form.add_error(None, str(refusal))
        return _page(request, check, key, form, status=422)
    return _back(code, f"?done={key}")


def _back(code: UUID, asked: str = "") -> HttpResponse:
    there = redirect("checks:check", code=code)
    there["Location"] += asked
    return there


@require_POST
@at_site("look")
def no_animal(request: SiteRequest, code: UUID, key: str) -> HttpResponse:
    """Keep that somebody looked: no animal is connected."""
    check = _check(request, code, "operate")
    try:
        token = UUID(request.POST.get("code", ""))
    except ValueError:
        token = uuid4()
    try:
        no_animal_say(check=check, step=key, by=request.user, code=token)
    except RuleBroken as refusal:
        messages.error(request, str(refusal))
    return _back(code, f"?step={key}")


@require_POST
@at_site("look")
def end(request: SiteRequest, code: UUID) -> HttpResponse:
    """End a check with its result."""
    check = _check(request, code, "operate")
    try:
        check_end(check=check, by=request.user)
    except RuleBroken as refusal:
        messages.error(request, str(refusal))
    return _back(code)


@require_POST
@at_site("look")
def give_up(request: SiteRequest, code: UUID) -> HttpResponse:
    """End a check without a result; what was entered stays."""
    check = _check(request, code, "operate")
    form = EndForm(request.POST)
    try:
        reason = form.cleaned_data["reason"] if form.is_valid() else ""
        check_give_up(check=check, reason=reason, by=request.user)
    except RuleBroken as refusal:
        messages.error(request, str(refusal))
    return _back(code)


@require_http_methods(["POST"])
@at_site("look")
def attach(request: SiteRequest, code: UUID) -> HttpResponse:
    """Keep a picture or a paper with a check."""
    check = _check(request, code, "operate")
    form = FileForm(request.POST, request.FILES)
    if form.is_valid() and form.cleaned_data["file"] is not None:
        kept = form.cleaned_data["file"]
        file_add(check=check, step="", kept=kept, by=request.user)
        messages.success(request, f"{kept.name} is kept with this check.")
    else:
        for sentence in form.errors.get("file", ["Choose a file first."]):
            messages.error(request, str(sentence))
    return _back(code)


@require_GET
@at_site("look")
def file(request: SiteRequest, code: UUID) -> HttpResponse:
    """Hand out a file of a check."""
    kept = file_for(request.user, code)
    enter(request, kept.in_check.site)
    return attachment_response(kept)
