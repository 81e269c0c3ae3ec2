"""Recovery step by step, its end, and an animal that gets worse after its record was closed."""

from collections.abc import Callable
from typing import Any
from uuid import UUID, uuid4

from django import forms
from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from ullage.core.errors import RuleBroken
from ullage.web.cases.forms.moments import moment_of
from ullage.web.cases.forms.recovery import (
    CloseForm,
    FateForm,
    GasForm,
    RecoveryForm,
    ReopenForm,
    StepForm,
)
from ullage.web.cases.selectors import CaseState, Record, author_text, life_of
from ullage.web.cases.services import (
    StepSaid,
    Worse,
    case_close,
    fate_say,
    gas_off,
    person_say,
    recovery_reopen,
    recovery_start,
    step_say,
)
from ullage.web.cases.views.found import found_record, running_url
from ullage.web.shared.access import at_site
from ullage.web.shared.http import SiteRequest
from ullage.web.sites.selectors import Site, people_of, role_may

__all__ = ["close", "fate", "gas", "person", "recovery", "reopen", "start", "step"]


@require_GET
@at_site("look")
def recovery(request: SiteRequest, code: UUID) -> HttpResponse:
    """Each animal with the steps of its recovery; before it, how recovery begins."""
    return _page(request, found_record(request, code))


def _page(
    request: SiteRequest, record: Record, form: RecoveryForm | None = None, status: int = 200
) -> HttpResponse:
    life, now = life_of(record), timezone.now()
    ends = [
        {
            "end": one,
            "steps": [(step, one.said.get(step.key), uuid4()) for step in life.steps],
            "due": life.due(now, one.animal),
            "code": uuid4(),
            "awake": life.awake_at(one.animal),
        }
        for one in life.ends
    ]
    context = {
        "record": record,
        "life": life,
        "ends": ends,
        "is_recovering": record.state == CaseState.RECOVERING,
        "is_running": record.state == CaseState.RUNNING,
        "form": form or RecoveryForm(),
        "gas_form": GasForm(),
        "answer": life.may_close(),
        "running_url": running_url(record),
        "person": life.person_stays,
        "token": uuid4(),
    }
    return render(request, "cases/recovery.html", context, status=status)


@require_POST
@at_site("look")
def start(request: SiteRequest, code: UUID) -> HttpResponse:
    """The agent is off: recovery begins."""
    record = found_record(request, code, "operate")
    form = RecoveryForm(request.POST)
    if form.is_valid():
        typed = form.cleaned_data
        try:
            recovery_start(
                record=record,
                at=moment_of(typed["at"], record.site),
                by=request.user,
                gas_is_off=typed["gas"] == "off",
            )
        except (RuleBroken, forms.ValidationError) as refusal:
            form.add_error(None, _words(refusal))
        else:
            messages.success(request, f"{record.name} recovers. Stay with it.")
            return _back(record)
    return _page(request, record, form, status=422)


def _words(refusal: Exception) -> str:
    return " ".join(getattr(refusal, "messages", [str(refusal)]))


def _back(record: Record) -> HttpResponse:
    return redirect("cases:recovery", code=record.code)


def _do(
    request: SiteRequest, code: UUID, form: forms.Form, work: Callable[[Record, Any], Any]
) -> HttpResponse:
    """Do one thing of a small form and go back; what is refused is said there."""
    record = found_record(request, code, "operate")
    if not form.is_valid():
        sentences = [str(one) for errors in form.errors.values() for one in errors]
        messages.error(request, f"Nothing was written. {' '.join(sentences)}")
        return _back(record)
    try:
        work(record, form.cleaned_data)
    except (RuleBroken, forms.ValidationError) as refusal:
        messages.error(request, f"Nothing was written. {_words(refusal)}")
    return _back(record)


@require_POST
@at_site("look")
def step(request: SiteRequest, code: UUID) -> HttpResponse:
    """Say of one step that it is met, or that it is not."""

    def work(record: Record, typed: dict[str, Any]) -> None:
        said = StepSaid(
            step=typed["step"],
            is_met=typed["met"] == "yes",
            at=moment_of(typed["at"], record.site),
            animal=typed["animal"],
            code=str(typed["code"]),
        )
        step_say(record=record, said=said, by=request.user)

    return _do(request, code, StepForm(request.POST), work)


@require_POST
@at_site("look")
def fate(request: SiteRequest, code: UUID) -> HttpResponse:
    """Say that an animal is awake, died or was killed."""

    def work(record: Record, typed: dict[str, Any]) -> None:
        fate_say(
            record=record,
            word=typed["word"],
            at=moment_of(typed["at"], record.site),
            by=request.user,
            animal=typed["animal"],
            typed=typed["typed"].strip(),
            code=str(typed["code"]),
        )

    return _do(request, code, FateForm(request.POST), work)


@require_POST
@at_site("look")
def gas(request: SiteRequest, code: UUID) -> HttpResponse:
    """Say that all gas is off."""

    def work(record: Record, typed: dict[str, Any]) -> None:
        gas_off(record=record, at=moment_of(typed["at"], record.site), by=request.user)

    return _do(request, code, GasForm(request.POST), work)


class _PersonForm(forms.Form):
    stays = forms.ChoiceField(choices=(("yes", "yes"), ("no", "no")))
    code = forms.UUIDField()


@require_POST
@at_site("look")
def person(request: SiteRequest, code: UUID) -> HttpResponse:
    """Say that somebody stays with the animal, or nobody does."""

    def work(record: Record, typed: dict[str, Any]) -> None:
        person_say(
            record=record, stays=typed["stays"] == "yes", by=request.user, code=str(typed["code"])
        )

    return _do(request, code, _PersonForm(request.POST), work)


@require_http_methods(["GET", "POST"])
@at_site("look")
def close(request: SiteRequest, code: UUID) -> HttpResponse:
    """What is unmet, what is not recorded, what waits; then the case is closed."""
    record = found_record(request, code, "operate")
    if record.is_closed:
        return redirect("cases:about", code=code)
    life = life_of(record)
    answer = life.may_close()
    form = CloseForm(
        request.POST if request.method == "POST" else None,
        people=_people(request.site),
        is_ready=record.state == CaseState.READY,
        is_open=bool(answer.value),
    )
    if request.method == "POST" and form.is_valid():
        try:
            case_close(
                record=record,
                by=request.user,
                override=form.override(),
                reason=form.cleaned_data["reason"],
            )
        except RuleBroken as refusal:
            form.add_error(None, str(refusal))
        else:
            messages.success(request, f"The record of {record.name} is closed.")
            return redirect("cases:about", code=code)
    context = {"record": record, "life": life, "answer": answer, "form": form}
    return render(request, "cases/close.html", context, status=422 if form.errors else 200)


def _people(site: Site) -> list[str]:
    return [author_text(one.user) for one in people_of(site) if role_may(one.role, "operate")]


@require_http_methods(["GET", "POST"])
@at_site("look")
def reopen(request: SiteRequest, code: UUID) -> HttpResponse:
    """An animal got worse: its recovery is open again."""
    record = found_record(request, code, "operate")
    if not record.is_closed:
        return _back(record)
    life = life_of(record)
    form = ReopenForm(request.POST if request.method == "POST" else None, life=life)
    if request.method == "POST" and form.is_valid():
        typed = form.cleaned_data
        try:
            at = moment_of(typed["at"], record.site)
            worse = Worse(reason=typed["reason"], steps=form.worse(), at=at)
            recovery_reopen(record=record, worse=worse, by=request.user)
        except (RuleBroken, forms.ValidationError) as refusal:
            form.add_error(None, _words(refusal))
        else:
            messages.success(request, f"The recovery of {record.name} is open again.")
            return _back(record)
    context = {"record": record, "life": life, "form": form}
    return render(request, "cases/reopen.html", context, status=422 if form.errors else 200)
