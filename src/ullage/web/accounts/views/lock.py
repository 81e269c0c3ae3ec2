"""The lock at the table: lock, open in one step, hand over to somebody else, say it is used."""

from typing import Any, cast
from urllib.parse import urlsplit

from django import forms
from django.contrib.auth import logout
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import Resolver404, resolve, reverse
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.cache import never_cache
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods, require_POST

from ullage.web.accounts.again import ProofForm
from ullage.web.accounts.selectors import Sitting, User, pin_holds
from ullage.web.accounts.services import held_take, pin_open, sitting_lock, sitting_open
from ullage.web.audit.services import Kind, audit_person
from ullage.web.shared.access import at_site, to_sign_in
from ullage.web.shared.http import SiteRequest
from ullage.web.shared.links import link

__all__ = ["held", "lock", "locked", "other", "touch"]


class _OpenForm(ProofForm):
    """PIN, password or passkey in one step; digits of a PIN come in the same field."""

    def __init__(self, *args: Any, sitting: Sitting, **kwargs: Any) -> None:
        super().__init__(*args, purpose="Unlock the screen", **kwargs)
        self.sitting, self.has_pin = sitting, pin_holds(sitting)
        entry = self.fields["password"]
        entry.label = "PIN or password" if self.has_pin else "Your password"
        entry.widget.attrs["autofocus"] = True
        if self.has_pin:
            entry.widget.attrs["inputmode"] = "numeric"

    def _show(self, password: str, credential: str) -> None:
        if self.has_pin and not credential and password.isascii() and password.isdigit():
            if pin_open(self.sitting, password):
                self.method = "PIN"
                return
            self.sitting.refresh_from_db()
            if len(password) < 8:
                more = "" if pin_holds(self.sitting) else " The PIN is gone: type your password."
                self.add_error("password", f"This is not the PIN.{more}")
                return
        super()._show(password, credential)


def _sitting(request: HttpRequest) -> Sitting | None:
    return cast("Sitting | None", getattr(request, "sitting", None))


def _next(request: HttpRequest) -> str:
    asked = request.POST.get("next") or request.GET.get("next") or "/"
    here = url_has_allowed_host_and_scheme(asked, allowed_hosts=None)
    return asked if here and asked.startswith("/") else "/"


def _pad_url(there: str) -> str:
    """The pad of the case that was on the screen: it takes entries while the screen is locked."""
    try:
        found = resolve(urlsplit(there).path)
    except Resolver404:
        return ""
    code = found.kwargs.get("code")
    return link("cases:pad", code) if found.app_name == "cases" and code else ""


@require_POST
def lock(request: HttpRequest) -> HttpResponse:
    """Lock this screen."""
    sitting = _sitting(request)
    if sitting is None:
        return to_sign_in(request)
    if sitting_lock(sitting):
        audit_person(Kind.LOCK, cast("User", request.user), "Locked.", request=request)
    return redirect(f"{reverse('accounts:locked')}?next={_next(request)}")


@require_POST
def touch(request: HttpRequest) -> HttpResponse:
    """Somebody touches the screen; the middleware wrote it down."""
    return HttpResponse(status=204 if _sitting(request) is not None else 403)


@sensitive_post_parameters("password", "credential")
@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def locked(request: HttpRequest) -> HttpResponse:
    """The lock page: no names, no history, one step to open."""
    sitting = _sitting(request)
    if sitting is None:
        return to_sign_in(request)
    if sitting.locked_at is None:
        return redirect(_next(request))
    form = _OpenForm(request.POST or None, request=request, sitting=sitting)
    if request.method == "POST" and form.is_valid():
        return _opened(request, sitting, form.method)
    there = _next(request)
    known = {"form": form, "next": there, "pad_url": _pad_url(there)}
    return render(request, "accounts/locked.html", known, status=422 if form.errors else 200)


def _opened(request: HttpRequest, sitting: Sitting, method: str) -> HttpResponse:
    said = f"Unlocked by {method}."
    audit_person(Kind.UNLOCK, cast("User", request.user), said, request=request)
    sitting_open(sitting)
    request.session.cycle_key()
    return redirect("accounts:held") if sitting.held else redirect(_next(request))


@require_POST
def other(request: HttpRequest) -> HttpResponse:
    """Somebody else comes to this screen: a new sign-in, never under the name of who locked it."""
    logout(request)
    return to_sign_in(request, "/")


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
@at_site("look")
def held(request: SiteRequest) -> HttpResponse:
    """What was sent while the screen was locked: look at it, send it or leave it."""
    sitting = cast("Sitting", _sitting(request))
    if request.method == "POST" or not sitting.held:
        held_take(sitting)
        return redirect("/")
    return render(request, "accounts/held.html", {"held": sitting.held, "form": forms.Form()})
