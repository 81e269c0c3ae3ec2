"""Out of use, in doubt, back in use: of a machine or of a part."""

from collections.abc import Callable
from uuid import UUID

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_POST

from ullage.core.errors import RuleBroken
from ullage.web.machines.forms import StateForm
from ullage.web.machines.selectors import Machine, Part, UseState
from ullage.web.machines.services import state_set, state_undo
from ullage.web.machines.views.entering import demand_lift, machine_at, part_at
from ullage.web.shared.access import at_site
from ullage.web.shared.http import SiteRequest

__all__ = ["back", "out", "part_back", "part_out", "part_undo", "undo"]


@require_http_methods(["GET", "HEAD", "POST"])
@at_site("look")
def out(request: SiteRequest, code: UUID) -> HttpResponse:
    """Say that a machine is out of use or in doubt; an operator who finds it so may, at once."""
    return _state(request, machine_at(request, code, "operate"))


@require_http_methods(["GET", "HEAD", "POST"])
@at_site("look")
def part_out(request: SiteRequest, code: UUID) -> HttpResponse:
    """Say that a part is out of use or in doubt."""
    return _state(request, part_at(request, code, "operate"))


@require_POST
@at_site("look")
def back(request: SiteRequest, code: UUID) -> HttpResponse:
    """Bring a machine back into use; who may was said when it went out."""
    machine = machine_at(request, code, "operate")
    demand_lift(request, machine)
    return _back(request, machine)


@require_POST
@at_site("look")
def part_back(request: SiteRequest, code: UUID) -> HttpResponse:
    """Bring a part back into use."""
    part = part_at(request, code, "operate")
    demand_lift(request, part)
    return _back(request, part)


@require_POST
@at_site("look")
def undo(request: SiteRequest, code: UUID) -> HttpResponse:
    """Take one's own last word on a machine back, while it is fresh."""
    return _undo(request, machine_at(request, code, "operate"))


@require_POST
@at_site("look")
def part_undo(request: SiteRequest, code: UUID) -> HttpResponse:
    """Take one's own last word on a part back, while it is fresh."""
    return _undo(request, part_at(request, code, "operate"))


def _state(request: SiteRequest, thing: Machine | Part) -> HttpResponse:
    form = StateForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        typed = form.cleaned_data
        try:
            state_set(
                thing=thing,
                to=typed["to"],
                by=request.user,
                reason=typed["reason"],
                lift=typed["lift"],
            )
        except RuleBroken as refusal:
            form.add_error(None, str(refusal))
        else:
            said = thing.get_state_display().lower()
            messages.warning(request, f"{thing} is {said}. You may take that back for 15 minutes.")
            return _to(thing)
    known = {"form": form, "thing": thing, "is_machine": isinstance(thing, Machine)}
    return render(request, "machines/out.html", known, status=422 if form.errors else 200)


def _to(thing: Machine | Part) -> HttpResponse:
    name = "machines:machine" if isinstance(thing, Machine) else "machines:part"
    return redirect(name, code=thing.code)


def _back(request: SiteRequest, thing: Machine | Part) -> HttpResponse:
    return _do(
        request,
        thing,
        lambda: state_set(thing=thing, to=UseState.IN_USE, by=request.user),
        f"{thing} is back in use.",
    )


def _undo(request: SiteRequest, thing: Machine | Part) -> HttpResponse:
    said = f"Taken back: {thing} is as it was before. Both words stay in its log."
    return _do(request, thing, lambda: state_undo(thing=thing, by=request.user), said)


def _do(
    request: SiteRequest, thing: Machine | Part, work: Callable[[], object], said: str
) -> HttpResponse:
    """Do it and go to its page; a refusal is said there."""
    try:
        work()
    except RuleBroken as refusal:
        messages.error(request, str(refusal))
    else:
        messages.success(request, said)
    return _to(thing)
