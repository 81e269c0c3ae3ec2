"""Shown again who somebody is: by the password or by a passkey, slowed down after wrong tries."""

import json
from collections.abc import Callable
from typing import Any, cast

from django import forms
from django.http import HttpRequest

from ullage.web.accounts.selectors import Sitting, User, factors_of
from ullage.web.accounts.services import At, TooManyTries, proof_new, tries_clear, tries_take
from ullage.web.audit.services import Kind, audit_person

__all__ = ["ProofForm", "by_passkey", "by_password", "has_passkey", "is_named_host"]


def _place(request: HttpRequest) -> At:
    """Tries count for this person at this device, so that nobody elsewhere can use them up."""
    user = cast("User", request.user)
    sitting: Sitting | None = getattr(request, "sitting", None)
    return At("again", f"{user.pk}|{sitting.code if sitting else ''}", user)


def by_password(request: HttpRequest, password: str, purpose: str) -> bool:
    """Say whether this is the password of who is signed in.

    Raises
    ------
    TooManyTries : the next try has to wait.
    """
    return _counted(request, purpose, lambda user: user.check_password(password))


def by_passkey(request: HttpRequest, credential: str, purpose: str) -> bool:
    """Say whether a passkey of who is signed in answered, with its holder verified.

    Raises
    ------
    TooManyTries : the next try has to wait.
    """
    from ullage.web.accounts.forms_passkey import PasskeyForm

    def answers(user: User) -> bool:
        form: Any = PasskeyForm(user=user, data={"credential": credential})  # type: ignore[call-arg]  # allauth ships no types
        if not form.is_valid():
            return False
        form.cleaned_data["credential"].record_usage()
        return True

    return _counted(request, purpose, answers)


def _counted(request: HttpRequest, purpose: str, right: Callable[[User], bool]) -> bool:
    user = request.user
    if not isinstance(user, User):
        return False
    place = _place(request)
    tries_take(place)
    if right(user):
        tries_clear(place)
        return True
    audit_person(Kind.AGAIN_FAILED, user, f"Not shown again: {purpose}", request=request)
    return False


def has_passkey(user: User) -> bool:
    """Say whether this person has a passkey here."""
    return "webauthn" in factors_of(user)


def is_named_host(request: HttpRequest) -> bool:
    """Say whether the site is open under a name: passkeys belong to a name, never to a number."""
    host = request.get_host().rpartition(":")[0] or request.get_host()
    return not host.replace(".", "").isdigit() and "[" not in host and ":" not in host


class _Password(forms.CharField):
    """A password that is asked for, and not missed where a passkey came in its place."""

    def validate(self, value: str | None) -> None:
        """Left to the form, which sees both."""


class ProofForm(forms.Form):
    """Who is signed in shows it again, for one purpose that the page names.

    In a view: ``form = ProofForm(request.POST or None, request=request, purpose="Sign the record
    of Clover as written")``; once it is valid ``form.proof()`` is the code that the service takes
    with ``proof_take``. In a template: ``{% include "accounts/proof.html" with proof=form %}``.
    """

    password = _Password(
        label="Your password",
        strip=False,
        max_length=4000,
        widget=forms.PasswordInput(attrs={"autocomplete": "current-password"}),
    )
    credential = forms.CharField(
        required=False, max_length=20_000, widget=forms.HiddenInput(attrs={"autocomplete": "off"})
    )

    def __init__(self, *args: Any, request: HttpRequest, purpose: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.request, self.purpose, self.method = request, purpose, ""

    def clean(self) -> dict[str, Any]:
        """The password or the passkey, one of them right."""
        typed = super().clean() or self.cleaned_data
        password, credential = typed.get("password"), typed.get("credential")
        if self.errors:
            return typed
        if not password and not credential:
            self.add_error("password", "Type your password, or use a passkey.")
            return typed
        try:
            self._show(password or "", credential or "")
        except TooManyTries as refusal:
            self.add_error("password", str(refusal))
        return typed

    def _show(self, password: str, credential: str) -> None:
        if credential:
            if by_passkey(self.request, credential, self.purpose):
                self.method = "passkey"
            else:
                self.add_error("password", "The passkey was not recognised. Try again.")
        elif by_password(self.request, password, self.purpose):
            self.method = "password"
        else:
            self.add_error("password", "This is not your password.")

    def proof(self) -> str:
        """A proof for the purpose of this form; call it on a valid form, once."""
        user = cast("User", self.request.user)
        sitting = cast("Any", self.request).sitting
        said = f"By {self.method}: {self.purpose}"
        audit_person(Kind.AGAIN, user, said, request=self.request)
        return proof_new(user=user, sitting=sitting, purpose=self.purpose, method=self.method)

    def passkey_options(self) -> str:
        """What the browser needs to ask for a passkey; empty where there is none."""
        user = cast("User", self.request.user)
        if not is_named_host(self.request) or not has_passkey(user):
            return ""
        from allauth.mfa.webauthn.internal import auth

        return json.dumps(auth.begin_authentication(user))
