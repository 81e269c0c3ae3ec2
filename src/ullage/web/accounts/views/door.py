"""The door: sign in, sign out, the second step, and the pages of allauth that we offer."""

from collections.abc import Callable
from functools import wraps
from typing import Any

from allauth.account import views as account_views
from allauth.mfa.webauthn import views as passkey_views
from allauth.mfa.webauthn.internal import auth
from django.contrib import messages
from django.http import HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import redirect
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods

from ullage.web.accounts.again import is_named_host
from ullage.web.accounts.factors import FactorAdapter
from ullage.web.accounts.selectors import first_run_is_open
from ullage.web.accounts.services import At, TooManyTries, tries_take
from ullage.web.shared.access import to_own_password
from ullage.web.shared.device import address_of

__all__ = [
    "AddPasskey",
    "PasskeySignIn",
    "RemovePasskey",
    "factor_page",
    "sign_in",
    "sign_out",
]

type _View = Callable[..., HttpResponseBase]


@require_http_methods(["GET", "HEAD", "POST"])
def sign_in(request: HttpRequest) -> HttpResponse:
    """The door; while nobody has an account it leads to the first run."""
    if first_run_is_open():
        return redirect("accounts:first_run")
    opened: HttpResponse = _SignIn.as_view()(request)
    return opened


class _SignIn(account_views.LoginView):  # type: ignore[misc]  # allauth ships no types
    """Name and password, or a passkey where the site is open under a name."""

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        """Say whether passkeys work here."""
        known: dict[str, Any] = super().get_context_data(**kwargs)
        return known | {"passkeys_here": is_named_host(self.request)}


@require_http_methods(["GET", "HEAD", "POST"])
def sign_out(request: HttpRequest) -> HttpResponse:
    """Leave; pages that were seen do not come back on a device that is handed on."""
    left: HttpResponse = account_views.logout(request)
    if request.method == "POST":
        left["Clear-Site-Data"] = '"cache"'
    return left


def factor_page(view: _View) -> _View:
    """A page of allauth about second factors: not kept, and only with a password of one's own."""

    @wraps(view)
    @never_cache
    def asked(request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponseBase:
        if request.user.is_authenticated and request.user.one_time_until is not None:
            return to_own_password(request)
        return view(request, *args, **kwargs)

    return asked


class AddPasskey(passkey_views.AddWebAuthnView):  # type: ignore[misc]  # the same
    """A new passkey: kept on the device, its holder verified by the device."""

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        """What the browser needs to make it."""
        known: dict[str, Any] = super().get_context_data(**kwargs)
        options = auth.begin_registration(self.request.user, passwordless=True)
        return known | {"options": options, "passkeys_here": is_named_host(self.request)}


class RemovePasskey(passkey_views.RemoveWebAuthnView):  # type: ignore[misc]  # the same
    """Take a passkey away; the last one stays beside a short password."""

    def form_valid(self, form: Any) -> HttpResponse:
        """Refuse with a sentence, or take it away."""
        if not FactorAdapter.may_go(self.request.user, self.object):
            messages.error(self.request, "Choose a password of at least 15 letters first.")
            return redirect("accounts:safety")
        gone: HttpResponse = super().form_valid(form)
        return gone


class PasskeySignIn(passkey_views.LoginWebAuthnView):  # type: ignore[misc]  # the same
    """Sign in with a passkey alone; tries are counted at the address."""

    def post(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        """Count, then look at the answer of the device."""
        place = At("address", address_of(request))
        try:
            tries_take(place)
        except TooManyTries as refusal:
            messages.error(request, str(refusal))
            return redirect("account_login")
        reply: HttpResponse = super().post(request, *args, **kwargs)
        return reply
