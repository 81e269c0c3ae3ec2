"""Pages of machines: the list, one machine, its facts, its chain."""

from typing import Any
from uuid import UUID

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from ullage.answers import Verdict
from ullage.answers.chain import chain_by_part, chain_verdict
from ullage.answers.chain_links import LINKS
from ullage.answers.chain_things import Chain
from ullage.core.errors import RuleBroken
from ullage.web.machines.forms import SYSTEMS, LookForm, MachineForm, OutForm
from ullage.web.machines.selectors import (
    ASKED,
    Machine,
    asked_of,
    chain_of,
    chain_records_of,
    in_use_on,
    looks_of,
    machine_anywhere,
    machine_changes,
    machines_fed,
    source_of,
    sources_of,
    state_changes,
)
from ullage.web.machines.services import (
    chain_record_add,
    machine_add,
    machine_back,
    machine_change,
    machine_out,
)
from ullage.web.shared.access import at_site, enter
from ullage.web.shared.http import SiteRequest
from ullage.web.sites.selectors import rooms_of

__all__ = ["add", "back", "chain", "edit", "listed", "look", "one", "out"]


def _machine(request: SiteRequest, code: UUID, what: str = "look") -> Machine:
    """The machine, and its site entered; 404 for strangers, 403 for too small a role."""
    machine = machine_anywhere(request.user, code)
    enter(request, machine.site, what)
    return machine


@require_GET
@at_site("look")
def listed(request: SiteRequest) -> HttpResponse:
    """The machines of the site."""
    return render(request, "machines/list.html", {"machines": machines_fed(request.site)})


@require_GET
@at_site("look")
def one(request: SiteRequest, code: UUID) -> HttpResponse:
    """One machine: its facts, what feeds it, and what its chains come to."""
    machine = _machine(request, code)
    chains = [_chain_brief(machine, source) for source in sources_of(machine)]
    known = {
        "machine": machine,
        "chains": chains,
        "changes": _changes(request, machine),
        "states": state_changes(machine),
    }
    return render(request, "machines/machine.html", known)


def _chain_brief(machine: Machine, source: Any) -> dict[str, Any]:
    """What the chain from one source comes to, and each part of it."""
    things = chain_of(machine, source)
    parts = _parts(things, source)
    return {
        "source": source,
        "title": f"May {source.name} be used for {machine.name}?",
        "verdict": chain_verdict(things),
        "parts": parts,
        "open": sum(1 for part in parts if part["answer"].verdict == Verdict.NOT_YET),
    }


def _parts(things: Chain, source: Any) -> list[dict[str, Any]]:
    """The parts that a chain has, in the order in which gas meets them.

    Where several cylinders share the work, whether they suffice is a matter of the day plan.
    """
    answers = chain_by_part(things)
    if len(in_use_on(source)) > 1:
        answers.pop("contents", None)
    return [
        {"name": link.name, "title": link.title, "answer": answers[link.name]}
        for link in LINKS
        if link.name in answers
    ]


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
    return _form(request, _machine(request, code, "manage"))


def _form(request: SiteRequest, machine: Machine | None) -> HttpResponse:
    stored = {name: getattr(machine, name) for name in MachineForm.base_fields} if machine else {}
    if machine and machine.room:
        stored["room"] = str(machine.room.pk)
    form = MachineForm(
        request.POST or None, site=request.site, rooms=rooms_of(request.site), initial=stored
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


@require_http_methods(["GET", "HEAD", "POST"])
@at_site("look")
def out(request: SiteRequest, code: UUID) -> HttpResponse:
    """Take a machine out of use; an operator who finds it broken may, at once."""
    machine = _machine(request, code, "operate")
    form = OutForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        machine_out(machine=machine, by=request.user, reason=form.cleaned_data["reason"])
        messages.warning(request, f"{machine} is out of use.")
        return redirect("machines:machine", code=code)
    known = {"form": form, "machine": machine}
    return render(request, "machines/out.html", known, status=422 if form.errors else 200)


@require_POST
@at_site("look")
def back(request: SiteRequest, code: UUID) -> HttpResponse:
    """Bring a machine back into use; a lead or veterinarian answers for it."""
    machine = _machine(request, code, "manage")
    machine_back(machine=machine, by=request.user)
    messages.success(request, f"{machine} is back in use.")
    return redirect("machines:machine", code=code)


@require_GET
@at_site("look")
def chain(request: SiteRequest, code: UUID, source: UUID) -> HttpResponse:
    """The chain from one source to this machine, part by part, and what was found."""
    machine = _machine(request, code)
    return _chain_page(request, machine, source, {})


@require_POST
@at_site("look")
def look(request: SiteRequest, code: UUID, source: UUID, part: str) -> HttpResponse:
    """Keep what a person found at one part of a chain."""
    machine = _machine(request, code, "operate")
    found = source_of(machine, source)
    if part not in ASKED:
        raise Http404
    form = LookForm(request.POST, site=request.site, asked=asked_of(part), prefix=part)
    if not form.is_valid():
        return _chain_page(request, machine, source, {part: form}, status=422)
    chain_record_add(
        machine=machine,
        by=request.user,
        source_code=found.code,
        found={part: form.found()},
        at=form.at(),
    )
    messages.success(request, "Kept, with the time and your name.")
    place = redirect("machines:chain", code=code, source=source)
    place["Location"] += f"#{part}"
    return place


def _chain_page(
    request: SiteRequest,
    machine: Machine,
    source: UUID,
    forms: dict[str, LookForm],
    status: int = 200,
) -> HttpResponse:
    found = source_of(machine, source)
    things, looks = chain_of(machine, found), looks_of(machine, found)
    parts = [
        part
        | {
            "form": forms.get(part["name"]) or _look_form(request, part["name"]),
            "is_open": part["name"] in forms,
            "last": _last(request, part["name"], looks.get(part["name"], {})),
        }
        for part in _parts(things, found)
    ]
    known = {
        "machine": machine,
        "source": found,
        "verdict": chain_verdict(things),
        "parts": parts,
        "several": len(in_use_on(found)),
        "records": chain_records_of(machine, found.code)[:10],
    }
    return render(request, "machines/chain.html", known, status=status)


def _look_form(request: SiteRequest, part: str) -> LookForm | None:
    asked = asked_of(part)
    if not asked or not request.may("operate"):
        return None
    return LookForm(site=request.site, asked=asked, prefix=part)


def _last(request: SiteRequest, part: str, looks: dict[str, Any]) -> list[dict[str, Any]]:
    """What stands in the record for a part, each with when and who."""
    form = LookForm(site=request.site, asked=asked_of(part))
    return [
        {
            "question": form.fields[field].label,
            "value": _found_words(form, field, found.value),
            "at": found.at,
            "by": found.by,
        }
        for field, found in looks.items()
        if field in form.fields
    ]


def _found_words(form: LookForm, field: str, value: Any) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    return form.words(field, value)
