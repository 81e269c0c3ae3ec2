"""Readings: two steps, number and Save; what was expected shows only afterwards."""

from collections.abc import Iterable
from datetime import datetime
from uuid import UUID

from django.contrib import messages
from django.core.cache import cache
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from ullage.core.errors import RuleBroken, UllageError
from ullage.web.shared.access import at_site, enter
from ullage.web.shared.http import SiteRequest
from ullage.web.supply.drawing import chart_of
from ullage.web.supply.forms import (
    SAID_CHOICES,
    AmendForm,
    NeedleForm,
    NoteForm,
    SaidForm,
    ValveForm,
)
from ullage.web.supply.selectors import (
    Cylinder,
    Reading,
    cylinder_page,
    cylinder_thing,
    open_watch,
    reading_for,
)
from ullage.web.supply.services import (
    Seen,
    reading_amend,
    reading_answer,
    reading_save,
    reading_set_aside,
    valve_say,
    watch_begin,
    watch_end,
)
from ullage.web.supply.views.page import (
    found_cylinder,
    reading_form,
    show_cylinder,
)

__all__ = ["amend", "chart", "note", "read", "said", "valve", "watch"]

#: A drawing is kept this long; a new reading or answer has a drawing of its own.
_KEEP_S = 24 * 3600
_NO_NEEDLE = "Write what the needle shows."
#: Two forms of one page ask for a reason; each entry has a name of its own.
_NOTE_ID = "id_note_%s"


@require_POST
@at_site("operate")
def read(request: SiteRequest, code: UUID) -> HttpResponse:
    """Keep what the gauge or the scale shows, then show what was expected."""
    cylinder = found_cylinder(request, code, "operate")
    form = reading_form(cylinder, request.POST)
    if not form.is_valid():
        return show_cylinder(request, cylinder, form, status=422)
    only_note = "only_note" in request.POST
    try:
        kept = reading_save(
            cylinder=cylinder, seen=Seen(**form.seen()), by=request.user, only_note=only_note
        )
    except UllageError as refusal:
        form.add_error(None if isinstance(refusal, RuleBroken) else "number", str(refusal))
        return show_cylinder(request, cylinder, form, status=422)
    return _to_page(cylinder, kept)


def _to_page(cylinder: Cylinder, kept: Reading) -> HttpResponse:
    page = reverse("supply:cylinder", kwargs={"code": cylinder.code})
    return redirect(f"{page}?read={kept.code}")


def _found_reading(request: SiteRequest, code: UUID) -> Reading:
    found = reading_for(request.user, code)
    enter(request, found.cylinder.site, "operate")
    return found


@require_http_methods(["GET", "POST"])
@at_site("operate")
def amend(request: SiteRequest, code: UUID) -> HttpResponse:
    """Put a better reading in front of one; the first stays readable."""
    reading = _found_reading(request, code)
    cylinder = reading.cylinder
    form = AmendForm(
        request.POST or None,
        site=cylinder.site,
        thing=cylinder_thing(cylinder),
    )
    if request.method == "POST" and form.is_valid():
        typed = form.seen()
        # Where no other time is written, the amended reading keeps the time of the first.
        typed["at"] = typed["at"] if form.data.get("at") else reading.at
        try:
            kept = reading_amend(
                reading=reading,
                seen=Seen(**typed),
                reason=form.cleaned_data["reason"],
                by=request.user,
            )
        except UllageError as refusal:
            form.add_error(None, str(refusal))
        else:
            messages.success(request, f"Amended. {reading.typed} stays readable in its history.")
            return _to_page(cylinder, kept)
    status = 422 if form.errors else 200
    context = {
        "form": form,
        "reading": reading,
        "cylinder": cylinder,
        "note_form": NoteForm(auto_id=_NOTE_ID),
    }
    return render(request, "supply/amend.html", context, status=status)


@require_POST
@at_site("operate")
def note(request: SiteRequest, code: UUID) -> HttpResponse:
    """Keep a reading as a note only."""
    reading = _found_reading(request, code)
    form = NoteForm(request.POST, auto_id=_NOTE_ID)
    if not form.is_valid():
        context = {
            "form": AmendForm(
                site=reading.cylinder.site,
                thing=cylinder_thing(reading.cylinder),
            ),
            "reading": reading,
            "cylinder": reading.cylinder,
            "note_form": form,
        }
        return render(request, "supply/amend.html", context, status=422)
    try:
        reading_set_aside(reading=reading, reason=form.cleaned_data["reason"], by=request.user)
    except RuleBroken as refusal:
        messages.error(request, str(refusal))
    else:
        messages.success(request, f"{reading.typed} is kept as a note and used in no sum.")
    return redirect("supply:cylinder", code=reading.cylinder.code)


@require_POST
@at_site("operate")
def said(request: SiteRequest, code: UUID) -> HttpResponse:
    """Keep what the person said to the question that a reading raised."""
    reading = _found_reading(request, code)
    form = SaidForm(request.POST)
    if not form.is_valid():
        messages.error(request, "Choose what fits best; the reading waits until then.")
        return show_cylinder(request, reading.cylinder, status=422)
    choice = form.cleaned_data["choice"]
    words = dict(SAID_CHOICES)[choice]
    try:
        if choice == "meant":
            return redirect("supply:amend", code=code)
        reading_answer(reading=reading, said=words, by=request.user)
        if choice == "other":
            reading_set_aside(reading=reading, reason=words, by=request.user)
    except RuleBroken as refusal:
        messages.error(request, str(refusal))
    return redirect("supply:cylinder", code=reading.cylinder.code)


@require_POST
@at_site("operate")
def valve(request: SiteRequest, code: UUID) -> HttpResponse:
    """One touch: was the valve closed before the last reading?"""
    cylinder = found_cylinder(request, code, "operate")
    form = ValveForm(request.POST)
    if not form.is_valid():
        messages.error(request, "Choose closed, open or not sure.")
        return show_cylinder(request, cylinder, status=422)
    try:
        code_of = form.cleaned_data["reading"]
        about = reading_for(request.user, code_of) if code_of else None
        valve_say(
            cylinder=cylinder, valve=form.cleaned_data["valve"], by=request.user, reading=about
        )
    except RuleBroken as refusal:
        messages.error(request, str(refusal))
    return redirect("supply:cylinder", code=code)


@require_POST
@at_site("operate")
def watch(request: SiteRequest, code: UUID) -> HttpResponse:
    """Close and watch, apart from a change: mark the needle, read it again."""
    cylinder = found_cylinder(request, code, "operate")
    form = NeedleForm(request.POST, site=cylinder.site, thing=cylinder_thing(cylinder))
    if not form.is_valid():
        return _watch_again(
            request, cylinder, [str(one) for one in form.errors.get("number", [_NO_NEEDLE])]
        )
    seen = Seen(at=timezone.now(), **form.seen())
    try:
        if open_watch(cylinder) is None or "anew" in request.POST:
            watch_begin(cylinder=cylinder, seen=seen, by=request.user)
        else:
            watch_end(cylinder=cylinder, seen=seen, by=request.user)
    except UllageError as refusal:
        return _watch_again(request, cylinder, [str(refusal)])
    return redirect(f"{reverse('supply:cylinder', kwargs={'code': code})}#leak")


def _watch_again(request: SiteRequest, cylinder: Cylinder, said: Iterable[str]) -> HttpResponse:
    """The page once more, with what is wrong about the needle; what was typed stays."""
    for sentence in said:
        messages.error(request, sentence)
    return show_cylinder(request, cylinder, status=422, needle=request.POST.get("number", ""))


@require_GET
@at_site("look")
def chart(request: SiteRequest, code: UUID) -> HttpResponse:
    """The chart of readings against what was expected; drawn once for each new answer."""
    cylinder = found_cylinder(request, code)
    found = cylinder_page(cylinder)
    worked = found.kept.worked_out_at
    last = found.reading.pk if found.reading else 0
    key = f"chart:{cylinder.pk}:{last}:{_stamp(worked)}:{cylinder.site.pressure_unit}"
    drawn = cache.get(key)
    if drawn is None:
        drawn = chart_of(found)
        cache.set(key, drawn, _KEEP_S)
    whole = "" if request.headers.get("HX-Request") == "true" else "supply/chart_page.html"
    context = {"cylinder": cylinder, "drawn": drawn}
    reply = render(request, whole or "supply/chart.html", context)
    reply["Vary"] = "HX-Request, Cookie"
    return reply


def _stamp(at: datetime | None) -> str:
    return "" if at is None else f"{at.timestamp()}"
