"""Pages of parts: the list of a site, one part with its history, added, changed, moved."""

from collections.abc import Callable
from typing import Any
from urllib.parse import urlencode
from uuid import UUID, uuid4

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from ullage.answers.equipment import PART_KINDS, PartKind
from ullage.core.errors import UllageError
from ullage.web.machines.forms import MoveForm, PartForm, WhyForm
from ullage.web.machines.selectors import (
    Machine,
    Part,
    PartChange,
    fact_brief,
    fact_lines,
    fact_words,
    machine_anywhere,
    machines_of,
    may_lift,
    part_changes,
    part_list,
    part_moves,
    state_changes,
    undo_of,
)
from ullage.web.machines.services import (
    part_add,
    part_change,
    part_move,
    part_move_undo,
    part_restore,
    part_retire,
)
from ullage.web.machines.views.entering import part_at
from ullage.web.shared.access import at_site
from ullage.web.shared.http import SiteRequest

__all__ = [
    "add",
    "choose",
    "edit",
    "listed",
    "move",
    "move_back",
    "one",
    "restore",
    "retire",
]

_ASKED = ("kind", "where", "find")


@require_GET
@at_site("look")
def listed(request: SiteRequest) -> HttpResponse:
    """The parts of the site, on machines and in store."""
    asked = {name: request.GET.get(name, "").replace("\0", "").strip() for name in _ASKED}
    found = part_list(request.site, page=request.GET.get("page", 1), **asked)
    known = {
        "list": found,
        "rows": [(part, fact_brief(part, request.site)) for part in found.page],
        "asked": asked,
        "kept_query": urlencode(asked),
    }
    return render(request, "machines/parts.html", known)


@require_GET
@at_site("look")
def one(request: SiteRequest, code: UUID) -> HttpResponse:
    """One part: what is written on it, where it has been, whether it may be used."""
    part = part_at(request, code)
    moves = part_moves(part)
    known = {
        "part": part,
        "lines": fact_lines(part, request.site),
        "moves": moves,
        "was_moved": len(moves) > 1,
        "changes": [_change(part, one, request) for one in part_changes(part)],
        "states": state_changes(part),
        "may_lift": may_lift(part, request.membership.role),
        "undo": undo_of(part, request.user, timezone.now()),
    }
    return render(request, "machines/part.html", known)


#: What the log calls the facts that every part has.
_LABELS = {
    "name": "Name",
    "serial": "Serial number",
    "made_on": "Made on",
    "bought_on": "Bought on",
    "retired_at": "No longer kept since",
    "why": "Why",
}


def _change(part: Part, change: PartChange, request: SiteRequest) -> dict[str, Any]:
    """One change in words: only what differs."""
    facts = {one.name: one for one in part.row.facts}
    lines = []
    for name in dict.fromkeys((*change.before, *change.after)):
        was, now = change.before.get(name), change.after.get(name)
        if was == now:
            continue
        if name in facts:
            words = [fact_words(facts[name], value, request.site) for value in (was, now)]
        else:
            words = [str(value or "not said") for value in (was, now)]
        lines.append((facts[name].label if name in facts else _LABELS.get(name, name), *words))
    return {"by": change.by, "at": change.at, "lines": lines}


@require_GET
@at_site("manage")
def choose(request: SiteRequest) -> HttpResponse:
    """Which kind of part is added."""
    known = {"kinds": PART_KINDS.values(), "machine": _asked_machine(request)}
    return render(request, "machines/part_kinds.html", known)


def _asked_machine(request: SiteRequest) -> Machine | None:
    """The machine that the address names, where it is one of this site."""
    named = request.GET.get("machine", "")
    if not named:
        return None
    try:
        machine = machine_anywhere(request.user, UUID(named))
    except ValueError as refusal:
        raise Http404 from refusal
    if machine.site_id != request.site.pk:
        raise Http404
    return machine


@require_http_methods(["GET", "HEAD", "POST"])
@at_site("manage")
def add(request: SiteRequest, kind: str) -> HttpResponse:
    """Add a part of a kind, on the machine that the address names or in store."""
    if kind not in PART_KINDS:
        raise Http404
    row, machine = PART_KINDS[kind], _asked_machine(request)
    form = PartForm(
        request.POST or None,
        site=request.site,
        kind=row,
        initial={"name": row.name, "code": uuid4()},
    )
    if request.method == "POST" and form.is_valid():
        made = _kept(
            form,
            lambda: part_add(
                site=request.site, kind=kind, said=form.said(), by=request.user, machine=machine
            ),
        )
        if made is not None:
            messages.success(request, f"{made} is kept. Print its label and fix it on.")
            return redirect("machines:part", code=made.code)
    return _form_page(request, form, row, machine, None)


@require_http_methods(["GET", "HEAD", "POST"])
@at_site("look")
def edit(request: SiteRequest, code: UUID) -> HttpResponse:
    """Change what is written down of a part."""
    part = part_at(request, code, "manage")
    stored = {
        "name": part.name,
        "serial": part.serial,
        "made_on": part.made_on,
        "bought_on": part.bought_on,
        **part.facts,
    }
    form = PartForm(request.POST or None, site=request.site, kind=part.row, initial=stored)
    if request.method == "POST" and form.is_valid():
        made = _kept(form, lambda: part_change(part=part, said=form.said(), by=request.user))
        if made is not None:
            messages.success(request, f"{made}: saved.")
            return redirect("machines:part", code=code)
    return _form_page(request, form, part.row, part.machine, part)


def _kept(form: PartForm, work: Callable[[], Part]) -> Part | None:
    """The part as written; None with the reason in the form."""
    try:
        return work()
    except UllageError as refusal:
        form.add_error(None, str(refusal))
        return None


def _form_page(
    request: SiteRequest, form: PartForm, kind: PartKind, machine: Machine | None, part: Part | None
) -> HttpResponse:
    known = {"form": form, "kind": kind, "machine": machine, "part": part}
    return render(request, "machines/part_form.html", known, status=422 if form.errors else 200)


@require_http_methods(["GET", "HEAD", "POST"])
@at_site("look")
def move(request: SiteRequest, code: UUID) -> HttpResponse:
    """Take a part to another machine, or to the store."""
    part = part_at(request, code, "operate")
    machines = [one for one in machines_of(request.site) if one.pk != part.machine_id]
    form = MoveForm(request.POST or None, machines=machines)
    if request.method == "POST" and form.is_valid():
        typed = form.cleaned_data
        try:
            part_move(
                part=part,
                to_machine=form.target(),
                by=request.user,
                why=typed["why"],
                at=typed["at"],
            )
        except UllageError as refusal:
            form.add_error(None, str(refusal))
        else:
            where = f"on {form.target()}" if form.target() else "in store"
            messages.success(request, f"{part} is {where} now. Check what the change calls for.")
            return redirect("machines:part", code=code)
    known = {"form": form, "part": part}
    return render(request, "machines/part_move.html", known, status=422 if form.errors else 200)


@require_POST
@at_site("look")
def move_back(request: SiteRequest, code: UUID) -> HttpResponse:
    """Take the last move of a part back."""
    part = part_at(request, code, "operate")
    said = f"{part} is back where it came from; both moves stay readable."
    return _do(request, part, lambda: part_move_undo(part=part, by=request.user), said)


@require_http_methods(["GET", "HEAD", "POST"])
@at_site("look")
def retire(request: SiteRequest, code: UUID) -> HttpResponse:
    """A part is no longer kept; it stays readable and can be taken back."""
    part = part_at(request, code, "manage")
    form = WhyForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        part_retire(part=part, by=request.user, why=form.cleaned_data["reason"])
        messages.success(request, f"{part} is no longer kept; it can be taken back.")
        return redirect("machines:part", code=code)
    known = {"form": form, "part": part}
    return render(request, "machines/part_retire.html", known, status=422 if form.errors else 200)


@require_POST
@at_site("look")
def restore(request: SiteRequest, code: UUID) -> HttpResponse:
    """A part that was let go is kept again."""
    part = part_at(request, code, "manage")
    said = f"{part} is kept again; it lies in store."
    return _do(request, part, lambda: part_restore(part=part, by=request.user), said)


def _do(request: SiteRequest, part: Part, work: Callable[[], object], said: str) -> HttpResponse:
    """Do it and go to the page of the part; a refusal is said there."""
    try:
        work()
    except UllageError as refusal:
        messages.error(request, str(refusal))
    else:
        messages.success(request, said)
    return redirect("machines:part", code=part.code)
