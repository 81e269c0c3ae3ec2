"""Pages of canisters and fillings: in use, one with its notes, put in, weighed, taken out."""

from typing import Any
from uuid import UUID, uuid4

from django import forms
from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from ullage.core.errors import UllageError
from ullage.web.machines.selectors import machines_of, parts_of
from ullage.web.shared.access import at_site, enter
from ullage.web.shared.http import SiteRequest
from ullage.web.stock.forms import (
    CanisterForm,
    FillingForm,
    FillingLookForm,
    FlowForm,
    LayForm,
    OutForm,
    WeightForm,
)
from ullage.web.stock.selectors import (
    Fitted,
    FittedKind,
    FittedNote,
    fitted_for,
    fitted_items,
    fitted_page,
    fitted_rows,
    fitted_since,
    note_for,
)
from ullage.web.stock.services import (
    FittedFacts,
    fitted_note,
    fitted_note_take_back,
    fitted_put_in,
    fitted_said,
    fitted_take_out,
)

__all__ = ["add", "back", "listed", "note", "one", "out", "said"]

_PUT_IN: dict[str, type[CanisterForm] | type[FillingForm]] = {
    FittedKind.CANISTER: CanisterForm,
    FittedKind.ABSORBENT: FillingForm,
}
#: What may be written of each kind, in the order of the page.
_NOTES: dict[str, dict[str, type[Any]]] = {
    FittedKind.CANISTER: {"weight": WeightForm, "flow": FlowForm, "look": LayForm},
    FittedKind.ABSORBENT: {"look": FillingLookForm},
}
#: The part of a machine that each belongs to.
_PART = {FittedKind.CANISTER: "scavenging", FittedKind.ABSORBENT: "absorber"}


@require_GET
@at_site("look")
def listed(request: SiteRequest) -> HttpResponse:
    """Canisters and fillings in use, the gravest first, and what was taken out."""
    known = {
        "rows": fitted_rows(request.site),
        "gone": fitted_since(request.site),
        "kinds": FittedKind.choices,
    }
    return render(request, "stock/fitted_list.html", known)


@require_http_methods(["GET", "HEAD", "POST"])
@at_site("operate")
def add(request: SiteRequest, kind: str) -> HttpResponse:
    """Put a canister or a filling in; what was there before is taken out."""
    if kind not in FittedKind.values:
        raise Http404
    form = _PUT_IN[kind](
        request.POST or None,
        site=request.site,
        machines=machines_of(request.site),
        items=fitted_items(request.site, kind),
        initial={"code": uuid4(), "machine": request.GET.get("machine", "")},
    )
    if request.method == "POST" and form.is_valid():
        known = form.known()
        try:
            part = _part_of(kind, known["machine"])
            facts = FittedFacts(part=part, **known)
            made = fitted_put_in(site=request.site, kind=kind, facts=facts, by=request.user)
        except UllageError as refusal:
            form.add_error(None, str(refusal))
        else:
            messages.success(request, f"{made}: put in.")
            return redirect("stock:fitted", code=made.code)
    page = {"form": form, "kind": FittedKind(kind)}
    return render(request, "stock/fitted_form.html", page, status=422 if form.errors else 200)


def _part_of(kind: str, machine: Any) -> Any:
    """The absorber, or the charcoal scavenging, of a machine; None where it has none."""
    if machine is None:
        return None
    parts = parts_of(machine.site, _PART[FittedKind(kind)])
    return next((one for one in parts if one.machine_id == machine.pk), None)


def _at(request: SiteRequest, code: UUID, what: str = "look") -> Fitted:
    found = fitted_for(request.user, code)
    enter(request, found.site, what)
    return found


@require_GET
@at_site("look")
def one(request: SiteRequest, code: UUID) -> HttpResponse:
    """One canister or filling: its answer, what was written, what is asked."""
    return _page(request, _at(request, code))


def _page(
    request: SiteRequest, found: Fitted, status: int = 200, **bound: forms.Form
) -> HttpResponse:
    made = {
        kind: bound.get(kind)
        or form(site=request.site, initial={"code": uuid4()}, auto_id=f"{kind}_%s")
        for kind, form in _NOTES[found.kind].items()
    }
    known = {
        "row": fitted_page(found),
        "fitted": found,
        "forms": made,
        "out_form": bound.get("out") or OutForm(auto_id="out_%s"),
        "open": next(iter(bound), ""),
    }
    return render(request, "stock/fitted.html", known, status=status)


@require_POST
@at_site("look")
def note(request: SiteRequest, code: UUID, kind: str) -> HttpResponse:
    """Keep a weight, what flowed, or what was seen."""
    found = _at(request, code, "operate")
    if kind not in _NOTES[found.kind]:
        raise Http404
    form = _NOTES[found.kind][kind](request.POST, site=request.site, auto_id=f"{kind}_%s")
    if not form.is_valid():
        return _page(request, found, 422, **{kind: form})
    facts = dict(form.cleaned_data)
    at, made = facts.pop("at"), facts.pop("code")
    try:
        kept = fitted_note(fitted=found, kind=kind, facts=facts, by=request.user, at=at, code=made)
    except UllageError as refusal:
        form.add_error(None, str(refusal))
        return _page(request, found, 422, **{kind: form})
    if kept.asked:
        messages.warning(request, f"Kept, and asked about: {kept.asked}")
    else:
        messages.success(request, "Kept, with the time and your name. It can be taken back.")
    return redirect("stock:fitted", code=code)


@require_POST
@at_site("look")
def out(request: SiteRequest, code: UUID) -> HttpResponse:
    """Take it out; its notes stay."""
    found = _at(request, code, "operate")
    form = OutForm(request.POST, auto_id="out_%s")
    if not form.is_valid():
        return _page(request, found, 422, out=form)
    try:
        fitted_take_out(fitted=found, by=request.user, **form.cleaned_data)
    except UllageError as refusal:
        messages.error(request, str(refusal))
    else:
        messages.success(request, f"{found}: taken out. Test for leaks after the next is put in.")
    return redirect("stock:fitted", code=code)


def _note_at(request: SiteRequest, code: UUID) -> FittedNote:
    found = note_for(request.user, code)
    enter(request, found.fitted.site, "operate")
    return found


@require_POST
@at_site("look")
def back(request: SiteRequest, code: UUID) -> HttpResponse:
    """Take a note back: it stays readable and counts in no sum."""
    found = _note_at(request, code)
    try:
        fitted_note_take_back(note=found, by=request.user)
    except UllageError as refusal:
        messages.error(request, str(refusal))
    else:
        messages.success(request, "Taken back; it stays readable.")
    return redirect("stock:fitted", code=found.fitted.code)


@require_POST
@at_site("look")
def said(request: SiteRequest, code: UUID) -> HttpResponse:
    """Answer what was asked about a weight."""
    found = _note_at(request, code)
    choice = request.POST.get("choice", "")
    if choice not in {"right", "wrong"}:
        messages.error(request, "Choose one of the two answers.")
        return redirect("stock:fitted", code=found.fitted.code)
    words = "It is right" if choice == "right" else "It is not right: a note only"
    try:
        fitted_said(note=found, is_right=choice == "right", said=words)
    except UllageError as refusal:
        messages.error(request, str(refusal))
    return redirect("stock:fitted", code=found.fitted.code)
