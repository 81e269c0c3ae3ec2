"""Pages of rooms: all of them, one on a day, how work is done, how long to purge."""

from datetime import date
from typing import Any
from uuid import UUID

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_http_methods

from ullage.answers import Answer, Scavenging, purge_time, scavenging_rules
from ullage.core.errors import UllageError
from ullage.web.days.selectors import today_at
from ullage.web.exposure.drawing import gas_drawn
from ullage.web.exposure.forms import MixingForm, PurgeForm, WayForm
from ullage.web.exposure.reckoned import room_day
from ullage.web.exposure.selectors import (
    ExposureChange,
    changes_about,
    limits_of,
    mixing_of,
    setup_of,
    way_of,
)
from ullage.web.exposure.services import mixing_set, way_set
from ullage.web.machines.selectors import machine_anywhere
from ullage.web.shared.access import at_site, enter
from ullage.web.shared.forms import SiteForm
from ullage.web.shared.http import SiteRequest
from ullage.web.sites.selectors import room_for, rooms_of

__all__ = ["changes_in_words", "home", "mixing", "purge", "room", "way"]


@require_GET
@at_site("look")
def home(request: SiteRequest) -> HttpResponse:
    """Every room with what is known of its air, the limits chosen, and the way to the rest."""
    context = {"rooms": rooms_of(request.site), "limits": limits_of(request.site)}
    return render(request, "exposure/home.html", context)


@require_GET
@at_site("look")
def room(request: SiteRequest, pk: int) -> HttpResponse:
    """One room on one day: levels over the day, means, the limit, what helps most."""
    day = _day(request)
    found = room_day(request.site, room_for(request.site, pk), day)
    drawn = [(one, gas_drawn(found, one)) for one in found.gases]
    machines = {line.case.machine.pk: line.case.machine for line in found.cases}
    context = {
        "found": found,
        "day": day,
        "is_today": day == today_at(request.site),
        "drawn": drawn,
        "machines": [(one, setup_of(one)) for one in machines.values()],
    }
    return render(request, "exposure/room.html", context)


def _day(request: SiteRequest) -> date:
    asked = request.GET.get("day", "")
    if not asked:
        return today_at(request.site)
    try:
        # Ages away the day before or after may be no date; words that are none are not found.
        return date.fromisoformat(asked if "1900" <= asked[:4] < "2200" else "")
    except ValueError as wrong:
        raise Http404 from wrong


@require_http_methods(["GET", "HEAD", "POST"])
@at_site("operate")
def way(request: SiteRequest, code: UUID) -> HttpResponse:
    """How work is done at a machine."""
    machine = machine_anywhere(request.user, code)
    enter(request, machine.site, "operate")
    row, setup = way_of(machine), setup_of(machine)
    stored = WayForm.shown({name: getattr(row, name) for name in WayForm.base_fields})
    form = WayForm(request.POST or None, site=request.site, initial=stored)
    if request.method == "POST" and form.is_valid():
        way_set(machine=machine, by=request.user, facts=form.facts())
        messages.success(request, f"{machine.name}: saved.")
        return redirect("exposure:way", code=machine.code)
    context = {
        "form": form,
        "machine": machine,
        "changes": changes_in_words(changes_about(machine.site, "way", machine.name), form),
        "rules": scavenging_rules(setup.scavenging or Scavenging.NONE),
        "fitted": setup.scavenging,
    }
    return render(request, "exposure/way.html", context, status=422 if form.errors else 200)


@require_http_methods(["GET", "HEAD", "POST"])
@at_site("manage")
def mixing(request: SiteRequest, pk: int) -> HttpResponse:
    """How a room mixes."""
    found = room_for(request.site, pk)
    stored = {"mixing_factor": mixing_of(found)}
    form = MixingForm(request.POST or None, site=request.site, initial=stored)
    if request.method == "POST" and form.is_valid():
        mixing_set(room=found, by=request.user, mixing_factor=form.cleaned_data["mixing_factor"])
        messages.success(request, f"{found.name}: saved.")
        return redirect("exposure:room", pk=found.pk)
    context = {
        "form": form,
        "room": found,
        "changes": changes_in_words(changes_about(found.site, "mixing", found.name), form),
    }
    return render(request, "exposure/mixing.html", context, status=422 if form.errors else 200)


def changes_in_words(rows: list[ExposureChange], form: SiteForm) -> list[dict[str, Any]]:
    """Changes with what was before and after, as they are read out."""
    return [
        {
            "by": one.by,
            "at": one.at,
            "lines": [
                (
                    form.fields[name].label,
                    form.words(name, one.before.get(name)),
                    form.words(name, value),
                )
                for name, value in one.after.items()
                if name in form.fields
            ],
        }
        for one in rows
    ]


@require_GET
@at_site("look")
def purge(request: SiteRequest) -> HttpResponse:
    """How long clean gas must flow."""
    form = PurgeForm(request.GET or None, site=request.site)
    answer = _purged(form) if request.GET else None
    context = {"form": form, "answer": answer}
    return render(request, "exposure/purge.html", context, status=422 if form.errors else 200)


def _purged(form: PurgeForm) -> Answer | None:
    if not form.is_valid():
        return None
    typed = form.cleaned_data
    try:
        return purge_time(
            typed["volume_l"],
            typed["flow_l_min"],
            1e6 * typed["start_share"],
            1e6 * typed["end_share"],
            typed["mixing_factor"],
        )
    except UllageError as refusal:
        form.add_error(None, str(refusal))
        return None
