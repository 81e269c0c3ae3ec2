"""Change of cylinder, step by step; it can be left and taken up again."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any
from uuid import UUID

from django import forms
from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_POST

from ullage.core.errors import RuleBroken, UllageError
from ullage.web.shared.access import at_site, enter
from ullage.web.shared.http import SiteRequest
from ullage.web.supply.forms import (
    AnimalForm,
    CheckForm,
    CloseOldForm,
    NeedleForm,
    ReadingForm,
    ReasonForm,
    SealForm,
)
from ullage.web.supply.selectors import (
    CylinderChange,
    change_for,
    change_lines,
    cylinder_for,
    cylinder_thing,
    full_ones,
    open_watch,
    source_for,
)
from ullage.web.supply.services import (
    FullOne,
    Seen,
    change_animal,
    change_back,
    change_begin,
    change_check,
    change_close_old,
    change_flows_off,
    change_give_up,
    change_open,
    change_refused,
    change_reopen,
    change_seal,
    change_take,
    change_watch_begin,
    change_watch_end,
)

__all__ = ["back", "begin", "give_up", "show", "step", "take"]


@require_POST
@at_site("operate")
def begin(request: SiteRequest, code: UUID) -> HttpResponse:
    """Begin the change at a source, or take up the one that runs there."""
    source = source_for(request.user, code)
    enter(request, source.site, "operate")
    old, new = (_named(request, name) for name in ("old", "new"))
    bank = request.POST.get("bank", "")
    try:
        change = change_begin(source=source, by=request.user, old=old, new=new, bank=bank)
    except RuleBroken as refusal:
        messages.error(request, str(refusal))
        return redirect("supply:source", code=code)
    return redirect("supply:change", code=change.code)


@require_POST
@at_site("operate")
def take(request: SiteRequest, code: UUID) -> HttpResponse:
    """The full one was scanned: it is the one that this change takes."""
    change = _found(request, code, "operate")
    cylinder = _named(request, "cylinder")
    if cylinder is None:
        raise Http404
    try:
        change_take(change=change, cylinder=cylinder, by=request.user)
    except RuleBroken as refusal:
        messages.error(request, str(refusal))
    return redirect("supply:change", code=code)


def _named(request: SiteRequest, name: str) -> Any:
    code = request.POST.get(name)
    try:
        return cylinder_for(request.user, UUID(code)) if code else None
    except ValueError:
        raise Http404 from None


def _found(request: SiteRequest, code: UUID, what: str) -> CylinderChange:
    change = change_for(request.user, code)
    enter(request, change.source.site, what)
    return change


@require_GET
@at_site("look")
def show(request: SiteRequest, code: UUID) -> HttpResponse:
    """Where a change stands: what was done, what is next, what follows."""
    change = _found(request, code, "look")
    return _page(request, change, _form(change, None))


def _page(
    request: SiteRequest, change: CylinderChange, form: forms.Form | None, status: int = 200
) -> HttpResponse:
    context = {
        "change": change,
        "lines": change_lines(change),
        "form": form,
        "watch": open_watch(change.new) if change.new and change.step == "watch" else None,
        "is_running": change.finished_at is None and change.given_up_at is None,
        "reason_form": ReasonForm(prefix="end"),
    }
    return render(request, "supply/change.html", context, status=status)


def _form(change: CylinderChange, data: Any) -> forms.Form | None:
    """The form of the step that is next; some steps are one button."""
    site = change.source.site
    if change.step == "animal":
        return AnimalForm(data)
    if change.step == "check":
        full = [(str(one.code), _words(one)) for one in full_ones(site, change.source.gas)]
        first = {"cylinder": change.new.code} if change.new else None
        return CheckForm(data, full_ones=full, initial=first)
    if change.step == "old":
        return CloseOldForm(data)
    if change.step == "seal":
        return SealForm(data)
    if change.step == "open" and change.new:
        needle = {"unit": site.pressure_unit}
        return ReadingForm(data, site=site, thing=cylinder_thing(change.new), initial=needle)
    if change.step == "watch" and change.new:
        return NeedleForm(data, site=site, thing=cylinder_thing(change.new))
    return None


def _words(cylinder: Any) -> str:
    state = cylinder.get_state_display().partition(",")[0].lower()
    return f"{cylinder.name}, {state}, {cylinder.size or f'{cylinder.water_capacity_l:g} L'}"


@dataclass(frozen=True, slots=True)
class _Asked:
    """A step that was sent: the change, what was typed, who."""

    request: SiteRequest
    change: CylinderChange
    typed: dict[str, Any]
    form: Any

    @property
    def who(self) -> dict[str, Any]:
        return {"change": self.change, "by": self.request.user}


@require_POST
@at_site("operate")
def step(request: SiteRequest, code: UUID, name: str) -> HttpResponse:
    """Do one step; what does not pass stays on the page as it was typed."""
    if name not in _STEPS:
        raise Http404
    change = _found(request, code, "operate")
    if change.step != name or change.given_up_at is not None:
        messages.warning(request, "This step was done already; here is where the change is.")
        return redirect("supply:change", code=code)
    form = _form(change, request.POST)
    if form is not None and not form.is_valid():
        return _page(request, change, form, status=422)
    asked = _Asked(request, change, form.cleaned_data if form else {}, form)
    try:
        _STEPS[name](asked)
    except UllageError as refusal:
        if form is None:
            messages.error(request, str(refusal))
            return redirect("supply:change", code=code)
        form.add_error(None, str(refusal))
        return _page(request, change, form, status=422)
    return _onward(request, change)


def _onward(request: SiteRequest, change: CylinderChange) -> HttpResponse:
    """The next step; after the last one the page of the cylinder that is on."""
    change.refresh_from_db()
    if change.finished_at is None or change.new is None:
        return redirect("supply:change", code=change.code)
    messages.success(request, f"{change.new} is on and open. Tag it 'in use'.")
    return redirect("supply:cylinder", code=change.new.code)


def _animal(asked: _Asked) -> None:
    change_animal(how=asked.typed["how"], **asked.who)


def _flows(asked: _Asked) -> None:
    change_flows_off(**asked.who)


def _check(asked: _Asked) -> None:
    typed = asked.typed
    found = FullOne(
        cylinder=cylinder_for(asked.request.user, typed["cylinder"]),
        label_gas=typed["label_gas"],
        label_agrees=typed["label_agrees"] == "yes",
        size_agrees=typed["size_agrees"] == "yes",
        outlet_clean=typed["outlet_clean"] == "yes",
        contents=typed["contents"],
    )
    try:
        change_check(found=found, **asked.who)
    except RuleBroken as refusal:
        change_refused(found=found, said=str(refusal), **asked.who)
        raise


def _old(asked: _Asked) -> None:
    change_close_old(is_empty=asked.typed["tag"] == "empty", **asked.who)


def _seal(asked: _Asked) -> None:
    change_seal(seal=asked.typed["seal"], reason=asked.typed["reason"], **asked.who)


def _open(asked: _Asked) -> None:
    change_open(seen=Seen(**asked.form.seen()), **asked.who)


def _watch(asked: _Asked) -> None:
    seen = Seen(at=timezone.now(), **asked.form.seen())
    new = asked.change.new
    if new is None or open_watch(new) is None or "anew" in asked.request.POST:
        change_watch_begin(seen=seen, **asked.who)
        return
    verdict = change_watch_end(seen=seen, **asked.who)
    if verdict == "Stop":
        messages.error(
            asked.request,
            "The needle fell too far. Close the valve, let the line run down, fit a new seal, "
            "and watch again.",
        )
    elif verdict == "Not yet":
        messages.warning(asked.request, "Too early to say; read the needle again later.")


def _reopen(asked: _Asked) -> None:
    change_reopen(**asked.who)


_STEPS: dict[str, Callable[[_Asked], None]] = {
    "animal": _animal,
    "flows": _flows,
    "check": _check,
    "old": _old,
    "seal": _seal,
    "open": _open,
    "watch": _watch,
    "reopen": _reopen,
}


@require_POST
@at_site("operate")
def back(request: SiteRequest, code: UUID) -> HttpResponse:
    """Take back the last step, as long as nothing was fitted."""
    change = _found(request, code, "operate")
    try:
        change_back(change=change, by=request.user)
    except RuleBroken as refusal:
        messages.error(request, str(refusal))
    return redirect("supply:change", code=code)


@require_POST
@at_site("operate")
def give_up(request: SiteRequest, code: UUID) -> HttpResponse:
    """End a change before its last step, with the reason."""
    change = _found(request, code, "operate")
    form = ReasonForm(request.POST, prefix="end")
    if not form.is_valid():
        messages.error(request, "Say why the change ends here.")
        return _page(request, change, _form(change, None), status=422)
    try:
        change_give_up(change=change, reason=form.cleaned_data["reason"], by=request.user)
    except RuleBroken as refusal:
        messages.error(request, str(refusal))
    return redirect("supply:change", code=code)
