"""The page of a running case, its parts that change, and the plain forms of its entries."""

from collections.abc import Mapping
from typing import Any
from urllib.parse import urlencode
from uuid import UUID
from zoneinfo import ZoneInfo

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_GET, require_POST

from ullage.web.cases.drawing_levels import case_levels_svg
from ullage.web.cases.forms.entries import FORMS, EntriesForm
from ullage.web.cases.pads import EVENTS, pad_of, settings_of
from ullage.web.cases.selectors import Record
from ullage.web.cases.selectors.board import board_of, others_of
from ullage.web.cases.selectors.levels import levels_of
from ullage.web.cases.selectors.oxygen import end_bar
from ullage.web.cases.selectors.running import RunningPage, clock_ends, running_page
from ullage.web.cases.services.entries import take_seen
from ullage.web.cases.services.lines import Taken
from ullage.web.cases.views.found import found_record
from ullage.web.shared.access import at_site
from ullage.web.shared.http import SiteRequest
from ullage.web.shared.links import link
from ullage.web.sites.selectors import Site

__all__ = ["board", "changes", "enter", "levels", "live", "oxygen", "show"]

#: Gauges are read in the unit of the site, temperatures too.
_UNITS = {"psi": "[psi]", "bar": "bar", "kPa": "kPa", "°C": "Cel", "°F": "[degF]"}
_WARM = ("temperature", "temperature_rectal", "temperature_gullet", "room_temperature")


@require_GET
@at_site("look")
def board(request: SiteRequest) -> HttpResponse:
    """Every case that is not closed: what is due, what is left, what is warned of."""
    known = {
        "cases": board_of(request.site, timezone.now()),
        "start_url": link("cases:start"),
        "all_url": link("cases:all"),
    }
    return render(request, "cases/board.html", known)


@require_GET
@at_site("look")
def show(request: SiteRequest, code: UUID) -> HttpResponse:
    """One running case."""
    record = found_record(request, code)
    return _page(request, record)


def _page(
    request: SiteRequest,
    record: Record,
    bound: Mapping[str, EntriesForm] | None = None,
    status: int = 200,
) -> HttpResponse:
    page = _case(request, record)
    known = {
        **_live(request, page),
        **_oxygen(request, page),
        "forms": {name: (bound or {}).get(name) or form() for name, form in FORMS.items()},
        "bound": next(iter(bound.values()), None) if bound else None,
        "events_asked": EVENTS,
        "steps": page.rules.steps(record.species),
        "recovery_url": link("cases:recovery", record.code),
        "about_url": link("cases:about", record.code),
        "entries_url": link("cases:entries", record.code),
    }
    found = render(request, "cases/case.html", known, status=status)
    if not record.is_closed:
        found["Ullage-Keep"] = "yes"
    return found


def _case(request: SiteRequest, record: Record) -> RunningPage:
    """The case for the animal that was chosen; of a group the first where none was."""
    asked = request.POST.get("animal") or request.GET.get("animal", "")
    page = running_page(record, timezone.now(), asked)
    if page.animals and not page.animal:
        page = running_page(record, page.now, page.animals[0])
    return page


def _live(request: SiteRequest, page: RunningPage) -> dict[str, Any]:
    """What changes while the page is open, but for levels and oxygen."""
    agent = page.given.agent.lower()
    units = _units(request.site)
    others = [running_page(page.record, page.now, one) for one in page.animals]
    return {
        "page": page,
        "record": page.record,
        "animal": page.animal,
        "group": others if len(others) > 1 else [],
        "others": others_of(page.record, page.now),
        "observation": pad_of(page.last, agent, units),
        "setting": settings_of(page.last, units),
        "enter_url": _enter(page.record, "observation"),
        "may_enter": request.may("operate") and not page.record.is_closed,
    }


def _units(site: Site) -> dict[str, str]:
    warm = _UNITS.get(site.temperature_unit, "Cel")
    gauge = _UNITS.get(site.pressure_unit, "bar")
    return {"gauge": gauge, **dict.fromkeys(_WARM, warm)}


def _enter(record: Record, form: str) -> str:
    return reverse("cases:enter", args=(record.code, form))


@require_GET
@at_site("look")
def live(request: SiteRequest, code: UUID) -> HttpResponse:
    """The parts that others' entries change, each to be put in its place."""
    page = _case(request, found_record(request, code))
    return render(request, "cases/live.html", _live(request, page))


@require_GET
@at_site("look")
def levels(request: SiteRequest, code: UUID) -> HttpResponse:
    """Expected levels with what was measured, worked out to the minute."""
    page = _case(request, found_record(request, code))
    found = levels_of(page)
    zone = ZoneInfo(request.site.time_zone)
    known = {
        "page": page,
        "record": page.record,
        "levels": found,
        "now": found.found,
        "multiples": {name: found.multiple(name) for name in ("end_tidal", "brain")},
        "drawing": case_levels_svg(found, zone, page.animal or page.record.name),
    }
    return render(request, "cases/parts/levels.html", known)


@require_GET
@at_site("look")
def changes(request: SiteRequest, code: UUID) -> HttpResponse:
    """What another flow or dial would do from now on."""
    page = _case(request, found_record(request, code))
    known = {"page": page, "record": page.record, "changes": levels_of(page).changes}
    return render(request, "cases/parts/changes.html", known)


@require_GET
@at_site("look")
def oxygen(request: SiteRequest, code: UUID) -> HttpResponse:
    """How long the oxygen lasts at a flow."""
    page = _case(request, found_record(request, code))
    return render(request, "cases/parts/oxygen.html", _oxygen(request, page))


def _oxygen(request: SiteRequest, page: RunningPage) -> dict[str, Any]:
    """The oxygen at the flow that was asked for, or at the one that runs."""
    source = page.oxygen
    flows = source.flows if source else ()
    asked = request.GET.get("flow", "")
    runs = source.flow_l_min if source else None
    flow = next((one for one in flows if f"{one:g}" == asked), runs)
    answer = source.left(flow) if source and flow else None
    return {
        "page": page,
        "record": page.record,
        "source": source,
        "flows": [(f"{one:g}", one == runs, one == flow) for one in flows],
        "flow": flow,
        "answer": answer,
        "ends": clock_ends(answer, page.now),
        "bar": end_bar(answer, source, page.plan.ends_at if page.plan else None),
    }


@require_POST
@at_site("look")
def enter(request: SiteRequest, code: UUID, form: str) -> HttpResponse:
    """Take the entries of one plain form."""
    record = found_record(request, code, "operate")
    kind = FORMS.get(form)
    if kind is None:
        raise Http404
    given = kind(request.POST, units=_units(request.site))
    animal = request.POST.get("animal", "")
    given.full_clean()
    if animal and animal not in running_page(record, timezone.now()).animals:
        given.add_error(None, "There is no such animal in this record.")
    if given.errors:
        return _page(request, record, {form: given}, status=422)
    typed = list(given.entries())
    taken = take_seen(record=record, seen=typed, by=request.user)
    _said(request, taken)
    if len(taken) < len(typed):
        messages.info(request, "This form was sent before: what it says was taken then.")
    there = reverse("cases:running", args=(code,))
    return redirect(f"{there}?{urlencode({'animal': animal})}" if animal else there)


def _said(request: SiteRequest, taken: list[Taken]) -> None:
    """What became of the entries, and what is asked about them."""
    kept = [one for one in taken if one.outcome == "taken"]
    if kept:
        word = "entry" if len(kept) == 1 else "entries"
        messages.success(request, f"{len(kept)} {word} taken.")
    for one in taken:
        if one.outcome == "kept":
            messages.error(request, f"Not taken, but kept: {one.says}")
        elif one.asks:
            messages.warning(request, one.asks)
