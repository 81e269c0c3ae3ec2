"""Pages of a site: more, the choice of site, the first day, settings, rooms."""

from dataclasses import dataclass
from typing import Any

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from ullage.answers.animals import species_offered
from ullage.answers.record.beginning import group_allowed
from ullage.answers.record.intervals import Phase, interval_rule
from ullage.answers.record.site_rules import rules_read
from ullage.core.errors import RuleBroken
from ullage.web.shared.access import SITE_IN_SESSION, at_site
from ullage.web.shared.forms import SiteForm
from ullage.web.shared.http import SiteRequest
from ullage.web.sites.forms import (
    LockForm,
    PlaceForm,
    ReadingsForm,
    ReserveForm,
    RoomForm,
    StorageForm,
    UnitsForm,
)
from ullage.web.sites.forms_anaesthesia import AnaesthesiaForm, own_words
from ullage.web.sites.forms_records import RecordsForm, rule_lines
from ullage.web.sites.selectors import (
    Room,
    air_of,
    changes_of,
    demand,
    first_day,
    reserve_of,
    room_for,
    rooms_of,
)
from ullage.web.sites.services import room_add, room_change, site_change

__all__ = [
    "choose",
    "more",
    "room",
    "room_new",
    "rooms",
    "section",
    "settings",
    "welcome",
]


@dataclass(frozen=True, slots=True)
class _Section:
    """One part of the settings: its words, its form, and who may change it."""

    title: str
    about: str
    form: type[SiteForm]
    what: str = "manage"
    beside: str = ""


_SECTIONS = {
    "place": _Section("Place", "Where the site is, and how its air is.", PlaceForm),
    "units": _Section("Units and colours", "What people here think in.", UnitsForm),
    "reserve": _Section(
        "What is kept back",
        "Of several rules the one that keeps most holds. With none set, a proposal is used and "
        "says so.",
        ReserveForm,
        "rule",
    ),
    "readings": _Section("Gauge readings", "When they are due, when they are old.", ReadingsForm),
    "anaesthesia": _Section(
        "Anaesthesia",
        "What this site aims at and has chosen for itself. Published values and rules stand beside "
        "it on every plan, and the plan says what the site has set.",
        AnaesthesiaForm,
        "rule",
    ),
    "lock": _Section("Lock at the table", "When a screen that nobody touches locks.", LockForm),
    "records": _Section(
        "Records",
        "How often something is written down, which animals share a record, when a recovery is "
        "over, how long a record is kept. What is empty stays as it is proposed.",
        RecordsForm,
        "rule",
        "sites/records_beside.html",
    ),
    "storage": _Section("Storage", "By which code stored cylinders are counted.", StorageForm),
}

#: What is stored under another name than that of a field.
_LABELS = {
    "mac_overrides": "Own MAC",
    "value_overrides": "Own values",
    "record_rules": "Rules",
}


@require_GET
@at_site("look")
def more(request: SiteRequest) -> HttpResponse:
    """Everything that has no tab of its own."""
    return render(request, "sites/more.html")


@require_POST
@at_site("look")
def choose(request: SiteRequest) -> HttpResponse:
    """Go over to another site of mine; a site I do not belong to changes nothing."""
    asked = request.POST.get("site", "")
    found = next((one for one in request.memberships if str(one.site.code) == asked), None)
    if found is None:
        messages.error(request, "You do not belong to that site.")
        return redirect("sites:more")
    request.session[SITE_IN_SESSION] = found.site_id
    messages.success(request, f"You are now at {found.site.name}.")
    return redirect("/")


@require_GET
@at_site("look")
def welcome(request: SiteRequest) -> HttpResponse:
    """The first day: what there is already, and what comes next."""
    return render(request, "sites/welcome.html", {"has": first_day(request.site)})


@require_GET
@at_site("look")
def settings(request: SiteRequest) -> HttpResponse:
    """All settings at a glance, with what they come to."""
    known = {
        "air": air_of(request.site),
        "reserve": reserve_of(request.site),
        "may_rule": request.may("rule"),
        "record_lines": [line for _, line in rule_lines(request.site.record_rules)],
        "own_values": [
            own_words(key, kept)
            for key, kept in (
                *request.site.mac_overrides.items(),
                *request.site.value_overrides.items(),
            )
        ],
    }
    return render(request, "sites/settings.html", known)


@require_http_methods(["GET", "HEAD", "POST"])
@at_site("look")
def section(request: SiteRequest, name: str) -> HttpResponse:
    """One part of the settings."""
    found = _SECTIONS.get(name)
    if found is None:
        raise Http404
    demand(request.membership, found.what)
    form = found.form(request.POST or None, site=request.site, initial=_stored(request, found))
    if request.method == "POST" and form.is_valid():
        facts = dict(form.cleaned_data)
        why = facts.pop("reason", "")
        site_change(site=request.site, by=request.user, section=name, facts=facts, reason=why)
        messages.success(request, f"{found.title}: saved.")
        return redirect("sites:settings")
    known = {
        "form": form,
        "section": found,
        "changes": _changes(request, name, form),
        **(record_rules_shown(request) if found.beside else {}),
    }
    return render(request, "sites/section.html", known, status=422 if form.errors else 200)


def _changes(request: SiteRequest, name: str, form: SiteForm) -> list[dict[str, Any]]:
    """The last changes in words: who, when, what it was and what it became."""
    return [
        {
            "by": change.by,
            "at": change.at,
            "reason": change.reason,
            "lines": [
                (
                    _LABELS.get(field) or form.fields[field].label,
                    form.words(field, change.before[field]),
                    form.words(field, value),
                )
                for field, value in change.after.items()
                if field in form.fields or field in _LABELS
            ],
        }
        for change in changes_of(request.site, name)
    ]


def record_rules_shown(request: SiteRequest) -> dict[str, Any]:
    """Every published rule beside what the site has set, for the species that is asked about."""
    species = request.GET.get("species", "").strip().lower()
    if species not in species_offered():
        species = "sheep"
    rules = rules_read(request.site.record_rules)
    return {
        "species": species,
        "species_offered": sorted(species_offered()),
        "rules": [
            interval_rule(species, phase, choice=rules.interval(species, phase)) for phase in Phase
        ],
        "group_rule": group_allowed(species, by_site=rules.groups),
        "steps": rules.steps(species),
    }


def _stored(request: SiteRequest, found: _Section) -> dict[str, Any]:
    stored = (field for field in found.form.base_fields if hasattr(request.site, field))
    facts = {field: getattr(request.site, field) for field in stored}
    return ReadingsForm.shown(facts) if found.form is ReadingsForm else facts


@require_GET
@at_site("look")
def rooms(request: SiteRequest) -> HttpResponse:
    """The rooms of the site."""
    return render(request, "sites/rooms.html", {"rooms": rooms_of(request.site)})


@require_http_methods(["GET", "HEAD", "POST"])
@at_site("manage")
def room_new(request: SiteRequest) -> HttpResponse:
    """Add a room."""
    return _room_form(request, None)


@require_http_methods(["GET", "HEAD", "POST"])
@at_site("manage")
def room(request: SiteRequest, pk: int) -> HttpResponse:
    """Change a room."""
    return _room_form(request, room_for(request.site, pk))


def _room_form(request: SiteRequest, found: Room | None) -> HttpResponse:
    stored = {field: getattr(found, field) for field in RoomForm.base_fields} if found else {}
    form = RoomForm(request.POST or None, site=request.site, initial=stored)
    if request.method == "POST" and form.is_valid():
        try:
            if found:
                room_change(room=found, **form.cleaned_data)
            else:
                room_add(site=request.site, **form.cleaned_data)
        except RuleBroken as refusal:
            form.add_error("name", str(refusal))
        else:
            messages.success(request, f"{form.cleaned_data['name']}: saved.")
            return redirect("sites:rooms")
    known = {"form": form, "room": found}
    return render(request, "sites/room.html", known, status=422 if form.errors else 200)
