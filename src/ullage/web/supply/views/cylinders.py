"""Cylinders: the list, the page behind the QR code, and a cylinder's round."""

from collections.abc import Callable
from typing import Any
from uuid import UUID

from django.contrib import messages
from django.http import Http404, HttpResponse, QueryDict
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from ullage.core.errors import RuleBroken
from ullage.reference import NO_CANDIDATE, identify_cylinder
from ullage.web.shared.access import at_site
from ullage.web.shared.http import SiteRequest
from ullage.web.supply.forms import (
    ConnectForm,
    CorrectForm,
    IdentifyForm,
    MoveForm,
    ReasonForm,
    ReceiveForm,
)
from ullage.web.supply.selectors import (
    Cylinder,
    cylinder_history,
    cylinder_page,
    reading_lines,
    sources_of,
    supply_list,
)
from ullage.web.supply.services import (
    CylinderFacts,
    cylinder_connect,
    cylinder_correct,
    cylinder_empty,
    cylinder_move,
    cylinder_quarantine,
    cylinder_receive,
    cylinder_release,
    cylinder_return,
    cylinder_take_off,
)
from ullage.web.supply.views.page import context_of, found_cylinder, show_cylinder

__all__ = [
    "answers",
    "connect",
    "correct",
    "cylinder",
    "history",
    "identify",
    "move",
    "receive",
    "round_step",
    "scan",
    "supplies",
]


@require_GET
@at_site("look")
def supplies(request: SiteRequest) -> HttpResponse:
    """Everything at the site that holds gas: sources first, then cylinders by gas and state."""
    asked = {name: request.GET.get(name, "").strip() for name in ("gas", "state", "find")}
    found = supply_list(request.site, **asked, page=request.GET.get("page", 1))
    kept = QueryDict(mutable=True)
    kept.update({name: value for name, value in asked.items() if value})
    context = {
        "list": found,
        "asked": asked,
        "sources": sources_of(request.site),
        "kept_query": kept.urlencode(),
    }
    return render(request, "supply/list.html", context)


@require_GET
@at_site("look")
def scan(request: SiteRequest) -> HttpResponse:
    """How to open a cylinder's page at the machine: by its label, or by its name."""
    find = request.GET.get("find", "").strip()
    found = supply_list(request.site, find=find, state="" if find else "in_use")
    if find and len(found.rows) == 1:
        return redirect("supply:cylinder", code=found.rows[0].cylinder.code)
    return render(request, "supply/scan.html", {"list": found, "find": find})


@require_http_methods(["GET", "POST"])
@at_site("operate")
def receive(request: SiteRequest) -> HttpResponse:
    """Take a cylinder into the store."""
    like = request.GET.dict() if request.method == "GET" else None
    form = ReceiveForm(request.POST or None, site=request.site, initial=like)
    if request.method == "POST" and form.is_valid():
        try:
            made = cylinder_receive(
                site=request.site,
                facts=CylinderFacts(**form.facts()),
                room=form.chosen_room(),
                by=request.user,
            )
        except RuleBroken as refusal:
            form.add_error("name", str(refusal))
        else:
            messages.success(request, f"{made} is in the store. Print its label and fix it on.")
            return redirect("supply:cylinder", code=made.code)
    status = 422 if form.errors else 200
    return render(request, "supply/receive.html", {"form": form}, status=status)


@require_GET
@at_site("look")
def identify(request: SiteRequest) -> HttpResponse:
    """Which size a cylinder may be, from what can be measured or read on it."""
    form = IdentifyForm(request.GET or None, site=request.site)
    found = identify_cylinder(**form.clues()) if form.is_valid() else ()
    context = {"form": form, "found": found, "none": NO_CANDIDATE if form.is_valid() else ""}
    status = 422 if form.errors else 200
    return render(request, "supply/identify.html", context, status=status)


@require_GET
@at_site("look")
def cylinder(request: SiteRequest, code: UUID) -> HttpResponse:
    """The page behind a cylinder's QR code."""
    return show_cylinder(request, found_cylinder(request, code))


@require_GET
@at_site("look")
def answers(request: SiteRequest, code: UUID) -> HttpResponse:
    """The answers alone, asked for again while newer ones are being worked out."""
    found = cylinder_page(found_cylinder(request, code))
    return render(request, "supply/cylinder.html#answers", context_of(request, found))


@require_GET
@at_site("look")
def history(request: SiteRequest, code: UUID) -> HttpResponse:
    """All readings, with what was amended still readable, and all that happened."""
    found = found_cylinder(request, code)
    context = {
        "cylinder": found,
        "lines": reading_lines(found),
        "events": cylinder_history(found),
    }
    return render(request, "supply/history.html", context)


@require_http_methods(["GET", "POST"])
@at_site("operate")
def correct(request: SiteRequest, code: UUID) -> HttpResponse:
    """Put right what was written down about a cylinder."""
    found = found_cylinder(request, code, "operate")
    form = CorrectForm(request.POST or None, site=found.site, initial=_as_typed(found))
    if request.method == "POST" and form.is_valid():
        try:
            cylinder_correct(
                cylinder=found,
                facts=CylinderFacts(**form.facts()),
                reason=form.cleaned_data["reason"],
                by=request.user,
            )
        except RuleBroken as refusal:
            form.add_error(None, str(refusal))
        else:
            messages.success(request, "Corrected. The old values stay in its history.")
            return redirect("supply:cylinder", code=code)
    status = 422 if form.errors else 200
    context = {"form": form, "cylinder": found}
    return render(request, "supply/receive.html", context, status=status)


def _as_typed(found: Cylinder) -> dict[str, Any]:
    """A cylinder as its form would have been filled in."""
    share = found.gauge_error_share
    return {
        "name": found.name,
        "gas": found.gas,
        "capacity_known": "stamp",
        "size": found.size.partition(" (")[0],
        "water_capacity": found.water_capacity_l,
        "label_l": found.label_l,
        "fill_gauge": found.fill_gauge_kpa,
        "full_scale": found.full_scale_kpa,
        "gauge_error_share": "" if share is None else f"{share:g}",
        "test_pressure": found.test_pressure_kpa,
        "test_due": found.test_due,
        "tare": found.tare_kg,
        "material": found.material,
        "serial": found.serial,
        "room": found.room_id or "",
    }


@require_http_methods(["GET", "POST"])
@at_site("operate")
def connect(request: SiteRequest, code: UUID) -> HttpResponse:
    """Note that a cylinder is already on a source; a change goes step by step instead."""
    found = found_cylinder(request, code, "operate")
    places = {
        f"{source.code}{bank}": (source, bank)
        for source in sources_of(found.site, gas=found.gas)
        if source.kind in {"cylinder", "sequence", "manifold"}
        for bank in (("A", "B") if source.kind == "manifold" else ("",))
    }
    named = [
        (key, f"{source.name}{f', bank {bank}' if bank else ''}")
        for key, (source, bank) in places.items()
    ]
    form = ConnectForm(request.POST or None, places=named)
    if request.method == "POST" and form.is_valid():
        source, bank = places[form.cleaned_data["place"]]
        try:
            cylinder_connect(cylinder=found, source=source, bank=bank, by=request.user)
        except RuleBroken as refusal:
            form.add_error("place", str(refusal))
        else:
            messages.success(request, f"{found} is on {source}. Read its gauge.")
            return redirect("supply:cylinder", code=code)
    status = 422 if form.errors else 200
    context = {"form": form, "cylinder": found}
    return render(request, "supply/connect.html", context, status=status)


@require_POST
@at_site("operate")
def move(request: SiteRequest, code: UUID) -> HttpResponse:
    """Note that a stored cylinder stands in another room."""
    found = found_cylinder(request, code, "operate")
    form = MoveForm(request.POST, site=found.site)
    if not form.is_valid():
        return show_cylinder(request, found, status=422)
    try:
        cylinder_move(
            cylinder=found, room=form.rooms.get(form.cleaned_data["room"]), by=request.user
        )
    except RuleBroken as refusal:
        messages.error(request, str(refusal))
    return redirect("supply:cylinder", code=code)


def _part_used(*, cylinder: Cylinder, reason: str, by: Any) -> None:
    cylinder_take_off(cylinder=cylinder, by=by)


def _empty(*, cylinder: Cylinder, reason: str, by: Any) -> None:
    if cylinder.state == "in_use":
        cylinder_take_off(cylinder=cylinder, by=by, is_empty=True)
    else:
        cylinder_empty(cylinder=cylinder, by=by)


def _hand_back(*, cylinder: Cylinder, reason: str, by: Any) -> None:
    cylinder_return(cylinder=cylinder, by=by, to=reason)


#: A step of a cylinder's round: what is done, what is said, whether it needs a reason.
_ROUND: dict[str, tuple[Callable[..., object], str, bool]] = {
    "take-off": (_part_used, "is off its source and tagged part used.", False),
    "empty": (_empty, "is tagged empty. Close its valve and cap it.", False),
    "return": (_hand_back, "was handed back. Its record stays here.", False),
    "quarantine": (cylinder_quarantine, "is set apart. Nobody uses it.", True),
    "release": (cylinder_release, "is back as part used.", True),
}


@require_POST
@at_site("operate")
def round_step(request: SiteRequest, code: UUID, step: str) -> HttpResponse:
    """One step of a cylinder's round; some need a reason."""
    if step not in _ROUND:
        raise Http404
    found = found_cylinder(request, code, "operate")
    do, said, needs_reason = _ROUND[step]
    form = ReasonForm(request.POST)
    if needs_reason and not form.is_valid():
        messages.error(request, f"Nothing was done: say why {found} is moved on.")
        return show_cylinder(request, found, status=422)
    reason = form.data.get("reason", "")
    try:
        do(cylinder=found, reason=reason, by=request.user)
    except RuleBroken as refusal:
        messages.error(request, str(refusal))
    else:
        messages.success(request, f"{found} {said}")
    return redirect("supply:cylinder", code=code)
