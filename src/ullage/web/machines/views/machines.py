"""Pages of machines: the list, one machine, its facts."""

from typing import Any
from uuid import UUID

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods

from ullage.core.errors import RuleBroken
from ullage.web.machines.forms import SYSTEMS, MachineForm
from ullage.web.machines.selectors import (
    Machine,
    fact_brief,
    fields_on_parts,
    machine_changes,
    machine_moves,
    machine_parts,
    machines_fed,
    may_lift,
    readiness_of,
    sources_of,
    state_changes,
    undo_of,
)
from ullage.web.machines.services import machine_add, machine_change
from ullage.web.machines.views.chain import chain_brief
from ullage.web.machines.views.entering import machine_at
from ullage.web.shared.access import at_site
from ullage.web.shared.http import SiteRequest
from ullage.web.sites.selectors import rooms_of

__all__ = ["add", "edit", "listed", "one"]


@require_GET
@at_site("look")
def listed(request: SiteRequest) -> HttpResponse:
    """The machines of the site."""
    machines = machines_fed(request.site)
    ready = readiness_of(machines, timezone.now())
    known = {"machines": machines, "rows": [(one, ready[one.pk]) for one in machines]}
    return render(request, "machines/list.html", known)


@require_GET
@at_site("look")
def one(request: SiteRequest, code: UUID) -> HttpResponse:
    """One machine: its facts, what feeds it, and what its chains come to."""
    machine = machine_at(request, code)
    chains = [chain_brief(machine, source) for source in sources_of(machine)]
    known = {
        "machine": machine,
        "chains": chains,
        "changes": _changes(request, machine),
        "states": state_changes(machine),
        "moves": machine_moves(machine),
        "parts": [(part, fact_brief(part, request.site)) for part in machine_parts(machine)],
        "ready": readiness_of([machine], timezone.now())[machine.pk],
        "may_lift": may_lift(machine, request.membership.role),
        "undo": undo_of(machine, request.user, timezone.now()),
    }
    return render(request, "machines/machine.html", known)


def _changes(request: SiteRequest, machine: Machine) -> list[dict[str, Any]]:
    """The last changes in words."""
    form = MachineForm(site=request.site, rooms=())
    return [
        {
            "by": change.by,
            "at": change.at,
            "lines": [
                (
                    str(form.fields[field].label),
                    _words(form, field, change.before[field]),
                    _words(form, field, value),
                )
                for field, value in change.after.items()
            ],
        }
        for change in machine_changes(machine)
    ]


def _words(form: MachineForm, field: str, value: Any) -> str:
    return str(value or "not set") if field == "room" else form.words(field, value)


@require_http_methods(["GET", "HEAD", "POST"])
@at_site("manage")
def add(request: SiteRequest) -> HttpResponse:
    """Add a machine."""
    return _form(request, None)


@require_http_methods(["GET", "HEAD", "POST"])
@at_site("look")
def edit(request: SiteRequest, code: UUID) -> HttpResponse:
    """Change the facts of a machine."""
    return _form(request, machine_at(request, code, "manage"))


def _form(request: SiteRequest, machine: Machine | None) -> HttpResponse:
    stored = {name: getattr(machine, name) for name in MachineForm.base_fields} if machine else {}
    if machine and machine.room:
        stored["room"] = str(machine.room.pk)
    form = MachineForm(
        request.POST or None,
        site=request.site,
        rooms=rooms_of(request.site),
        on_parts=fields_on_parts(machine) if machine else (),
        initial=stored,
    )
    saved = _saved(request, form, machine) if request.method == "POST" else None
    if saved is not None:
        messages.success(request, f"{saved}: saved.")
        return redirect("machines:machine", code=saved.code)
    known = {"form": form, "machine": machine, "systems": SYSTEMS}
    return render(request, "machines/form.html", known, status=422 if form.errors else 200)


def _saved(request: SiteRequest, form: MachineForm, machine: Machine | None) -> Machine | None:
    """The machine as written; None with the reason in the form."""
    if not form.is_valid():
        return None
    try:
        if machine is None:
            return machine_add(site=request.site, **form.cleaned_data)
        return machine_change(machine=machine, by=request.user, facts=form.cleaned_data)
    except RuleBroken as refusal:
        form.add_error("name", str(refusal))
        return None
