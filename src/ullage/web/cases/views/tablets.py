"""Devices that are enrolled here: which there are, what they are called, taken out of use."""

from typing import Any
from uuid import UUID

from django.contrib import messages
from django.forms import Form
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from ullage.core.errors import RuleBroken
from ullage.web.audit.services import Kind, audit
from ullage.web.cases.forms.tablets import RenameForm, RevokeForm
from ullage.web.cases.selectors import Tablet, key_fingerprint, tablet_at, tablets_of
from ullage.web.cases.services import tablet_rename, tablet_revoke
from ullage.web.shared.access import at_site, enter
from ullage.web.shared.http import SiteRequest

__all__ = ["tablet", "tablet_out", "tablets"]


@require_GET
@at_site("look")
def tablets(request: SiteRequest) -> HttpResponse:
    """The devices of this site; who may operate enrols the one in front of them."""
    rows = [(one, key_fingerprint(one)) for one in tablets_of(request.site)]
    in_use = sum(one.revoked_at is None for one, _ in rows)
    return render(request, "cases/tablets.html", {"rows": rows, "in_use": in_use})


@require_http_methods(["GET", "HEAD", "POST"])
@at_site("manage")
def tablet(request: SiteRequest, code: UUID) -> HttpResponse:
    """One device: what it is called."""
    found = _found(request, code)
    data = request.POST if request.method == "POST" else None
    form = RenameForm(data, initial={"name": found.name})
    if data is not None and form.is_valid():
        try:
            tablet_rename(tablet=found, name=form.cleaned_data["name"])
        except RuleBroken as refusal:
            form.add_error("name", str(refusal))
        else:
            audit(request, Kind.SETTINGS, f"Device renamed: {found.name}.", str(found.code))
            messages.success(request, f"The device is now called {found.name}.")
            return redirect("cases:tablets")
    return _page(request, found, form, RevokeForm())


@require_POST
@at_site("manage")
def tablet_out(request: SiteRequest, code: UUID) -> HttpResponse:
    """Take a device out of use, with the reason."""
    found = _found(request, code)
    form = RevokeForm(request.POST)
    if form.is_valid():
        reason = form.cleaned_data["reason"]
        tablet_revoke(tablet=found, reason=reason, by=request.user)
        audit(request, Kind.SETTINGS, f"Device revoked: {found.name}. {reason}", str(found.code))
        messages.success(
            request, f"What {found.name} sends from now on is kept, and goes into no record."
        )
        return redirect("cases:tablets")
    return _page(request, found, RenameForm(initial={"name": found.name}), form)


def _found(request: SiteRequest, code: UUID) -> Tablet:
    found = tablet_at(request.user, code)
    enter(request, found.site, "manage")
    return found


def _page(request: SiteRequest, found: Tablet, rename: Form, revoke: Form) -> HttpResponse:
    known: dict[str, Any] = {
        "tablet": found,
        "key": key_fingerprint(found),
        "rename": rename,
        "revoke": revoke,
    }
    status = 422 if rename.errors or revoke.errors else 200
    return render(request, "cases/tablet.html", known, status=status)
