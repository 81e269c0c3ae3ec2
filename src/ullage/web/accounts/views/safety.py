"""My sign-in: password, passkeys, authenticator app, PIN, and where I am signed in."""

from typing import Any, cast
from uuid import UUID

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.cache import never_cache
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from ullage.core.errors import RuleBroken
from ullage.web.accounts.again import is_named_host
from ullage.web.accounts.forms import PinForm
from ullage.web.accounts.selectors import Sitting, kept_factors, pin_holds, sittings_of
from ullage.web.accounts.services import PIN_HOURS, pin_set, sitting_end, sittings_end
from ullage.web.audit.services import Kind, audit
from ullage.web.shared.access import at_site
from ullage.web.shared.http import SiteRequest

__all__ = ["end", "end_others", "pin", "safety"]


def _here(request: SiteRequest) -> Sitting:
    return cast("Sitting", cast("Any", request).sitting)


@never_cache
@require_GET
@at_site("look")
def safety(request: SiteRequest) -> HttpResponse:
    """What I sign in with, and where I am signed in."""
    kept = kept_factors(request.user)
    known = {
        "passkeys": [one.wrap() for one in kept if one.type == "webauthn"],
        "app": next((one for one in kept if one.type == "totp"), None),
        "codes": next((one.wrap() for one in kept if one.type == "recovery_codes"), None),
        "sittings": sittings_of(request.user),
        "here": _here(request),
        "pin_holds": pin_holds(_here(request)),
        "passkeys_here": is_named_host(request),
        "host": request.get_host(),
    }
    return render(request, "accounts/safety.html", known)


@sensitive_post_parameters("pin", "pin_again", "password", "credential")
@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
@at_site("look")
def pin(request: SiteRequest) -> HttpResponse:
    """Set the PIN that opens the lock of this session on this device."""
    form = PinForm(request.POST or None, request=request, purpose="Set a PIN for this screen")
    if request.method == "POST" and form.is_valid():
        try:
            pin_set(_here(request), form.cleaned_data["pin"])
        except RuleBroken as refusal:
            form.add_error("pin", str(refusal))
        else:
            audit(request, Kind.FACTOR, "A PIN for this screen.")
            messages.success(request, f"The PIN opens this screen for the next {PIN_HOURS} hours.")
            return redirect("accounts:safety")
    status = 422 if form.errors else 200
    return render(request, "accounts/pin.html", {"form": form, "hours": PIN_HOURS}, status=status)


@require_POST
@at_site("look")
def end(request: SiteRequest, code: UUID) -> HttpResponse:
    """End one of my sessions; ending this one is signing out."""
    found = next((one for one in sittings_of(request.user) if one.code == code), None)
    if found is None:
        raise Http404
    if found == _here(request):
        return redirect("account_logout")
    audit(request, Kind.SESSION, f"Ended the session on {found.device}.")
    sitting_end(found)
    messages.success(request, f"The session on {found.device} is over.")
    return redirect("accounts:safety")


@require_POST
@at_site("look")
def end_others(request: SiteRequest) -> HttpResponse:
    """End all my sessions but this one."""
    ended = sittings_end(request.user, keep=_here(request))
    audit(request, Kind.SESSION, f"Ended {ended} other sessions.")
    messages.success(request, f"{ended} other sessions are over.")
    return redirect("accounts:safety")
