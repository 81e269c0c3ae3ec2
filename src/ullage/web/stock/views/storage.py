"""Pages of places of storage: the list, one place, what is written of it, how it was seen."""

from uuid import UUID, uuid4

from django import forms
from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from ullage.core.errors import UllageError
from ullage.web.shared.access import at_site, enter
from ullage.web.shared.http import SiteRequest
from ullage.web.stock.forms import AreaAddForm, AreaForm, AreaLookForm
from ullage.web.stock.selectors import (
    StorageArea,
    area_for,
    area_page,
    area_rows,
    rooms_without,
)
from ullage.web.stock.services import area_add, area_change, area_look

__all__ = ["add", "edit", "listed", "look", "one"]


@require_GET
@at_site("look")
def listed(request: SiteRequest) -> HttpResponse:
    """The places of storage of the site."""
    return _list(request, None)


def _list(request: SiteRequest, form: AreaAddForm | None) -> HttpResponse:
    rooms = rooms_without(request.site)
    known = {
        "rows": area_rows(request.site),
        "form": form or (AreaAddForm(rooms=rooms) if rooms else None),
    }
    return render(request, "stock/areas.html", known, status=422 if form else 200)


@require_POST
@at_site("manage")
def add(request: SiteRequest) -> HttpResponse:
    """Call a room a place of storage."""
    form = AreaAddForm(request.POST, rooms=rooms_without(request.site))
    if not form.is_valid():
        return _list(request, form)
    room = form.rooms[form.cleaned_data["room"]]
    made = area_add(site=request.site, room=room, by=request.user)
    messages.success(request, f"{made}: its cylinders are counted now.")
    return redirect("stock:area", code=made.code)


def _at(request: SiteRequest, code: UUID, what: str = "look") -> StorageArea:
    found = area_for(request.user, code)
    enter(request, found.site, what)
    return found


@require_GET
@at_site("look")
def one(request: SiteRequest, code: UUID) -> HttpResponse:
    """One place: its tally, one more, how it stands, the air of the room."""
    return _page(request, _at(request, code))


def _page(
    request: SiteRequest, area: StorageArea, status: int = 200, look: forms.Form | None = None
) -> HttpResponse:
    known = {
        "page": area_page(area),
        "area": area,
        "look_form": look or AreaLookForm(site=request.site, initial={"code": uuid4()}),
        "is_open": look is not None,
    }
    return render(request, "stock/area.html", known, status=status)


@require_http_methods(["GET", "HEAD", "POST"])
@at_site("look")
def edit(request: SiteRequest, code: UUID) -> HttpResponse:
    """Change what is written of a place."""
    area = _at(request, code, "manage")
    stored = {name: getattr(area, name) for name in AreaForm.base_fields}
    form = AreaForm(request.POST or None, site=request.site, initial=stored)
    if request.method == "POST" and form.is_valid():
        try:
            area_change(area=area, by=request.user, **form.cleaned_data)
        except UllageError as refusal:
            form.add_error("name", str(refusal))
        else:
            messages.success(request, f"{area}: saved.")
            return redirect("stock:area", code=code)
    known = {"form": form, "area": area}
    return render(request, "stock/area_form.html", known, status=422 if form.errors else 200)


@require_POST
@at_site("look")
def look(request: SiteRequest, code: UUID) -> HttpResponse:
    """Keep how cylinders stood."""
    area = _at(request, code, "operate")
    form = AreaLookForm(request.POST, site=request.site)
    if not form.is_valid():
        return _page(request, area, 422, form)
    typed = form.cleaned_data
    try:
        area_look(
            area=area,
            facts=form.found(),
            by=request.user,
            at=typed["at"],
            note=typed["note"],
            code=typed["code"],
        )
    except UllageError as refusal:
        form.add_error(None, str(refusal))
        return _page(request, area, 422, form)
    messages.success(request, "Kept, with the time and your name.")
    return redirect("stock:area", code=code)
