"""The chain from a source to a machine: its page, and what people find along it."""

from typing import Any
from uuid import UUID

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_POST

from ullage.answers import Verdict
from ullage.answers.chain import chain_by_part, chain_verdict
from ullage.answers.chain_links import LINKS
from ullage.answers.chain_things import Chain
from ullage.web.machines.forms import LookForm
from ullage.web.machines.selectors import (
    ASKED,
    Machine,
    asked_of,
    chain_of,
    chain_records_of,
    in_use_on,
    looks_of,
    source_of,
)
from ullage.web.machines.services import chain_record_add
from ullage.web.machines.views.entering import machine_at
from ullage.web.shared.access import at_site
from ullage.web.shared.http import SiteRequest

__all__ = ["chain", "chain_brief", "look", "parts_in_order"]


def chain_brief(machine: Machine, source: Any) -> dict[str, Any]:
    """What the chain from one source comes to, and each part of it."""
    things = chain_of(machine, source)
    parts = parts_in_order(things, source)
    return {
        "source": source,
        "title": f"May {source.name} be used for {machine.name}?",
        "verdict": chain_verdict(things),
        "parts": parts,
        "open": sum(1 for part in parts if part["answer"].verdict == Verdict.NOT_YET),
    }


def parts_in_order(things: Chain, source: Any) -> list[dict[str, Any]]:
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


@require_GET
@at_site("look")
def chain(request: SiteRequest, code: UUID, source: UUID) -> HttpResponse:
    """The chain from one source to this machine, part by part, and what was found."""
    machine = machine_at(request, code)
    return _chain_page(request, machine, source, {})


@require_POST
@at_site("look")
def look(request: SiteRequest, code: UUID, source: UUID, part: str) -> HttpResponse:
    """Keep what a person found at one part of a chain."""
    machine = machine_at(request, code, "operate")
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
        for part in parts_in_order(things, found)
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
