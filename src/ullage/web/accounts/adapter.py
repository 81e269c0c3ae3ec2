"""Sign-in without open sign-up: accounts are made by a lead or at first run."""

from typing import Any

from allauth.account.adapter import DefaultAccountAdapter
from allauth.core import context
from django.core.exceptions import ValidationError
from django.http import HttpRequest
from django.urls import reverse

from ullage.web.accounts.again import by_password
from ullage.web.accounts.devices import places_of
from ullage.web.accounts.selectors import User, user_named
from ullage.web.accounts.services import TooManyTries, tries_clear, tries_take
from ullage.web.audit.services import Kind, audit_line, audit_person, seen_in

__all__ = ["ClosedAdapter"]


class ClosedAdapter(DefaultAccountAdapter):  # type: ignore[misc]  # allauth ships no types
    """Nobody signs up from outside; a password that a person chose is no one-time password."""

    error_messages = {
        **DefaultAccountAdapter.error_messages,
        "username_password_mismatch": "User name and password do not belong together.",
        "too_many_login_attempts": "Too many wrong passwords. Wait a few minutes, then try again.",
        "enter_current_password": "This is not your present password.",
        "incorrect_password": "This is not your password.",
    }

    def is_open_for_signup(self, request: HttpRequest, *args: Any) -> bool:
        """Say no, always."""
        return False

    def set_password(self, user: User, password: str) -> None:
        """Keep the new password; from now on it is the person's own."""
        user.set_password(password)
        user.one_time_until = None
        user.save(update_fields=["password", "password_is_short", "one_time_until"])

    def pre_authenticate(self, request: HttpRequest, **credentials: Any) -> None:
        """Count the try before the password is looked at; who has to wait is told so."""
        try:
            tries_take(*places_of(request, str(credentials.get("username", ""))))
        except TooManyTries as refusal:
            raise ValidationError(str(refusal)) from None

    def authenticate(self, request: HttpRequest, **credentials: Any) -> User | None:
        """Look at name and password; the right ones end the count of this account."""
        user: User | None = super().authenticate(request, **credentials)
        if user is not None:
            places = places_of(request, str(credentials.get("username", "")))
            tries_clear(*(one for one in places if one.kind == "account"))
        return user

    def authentication_failed(self, request: HttpRequest, **credentials: Any) -> None:
        """Write it down; a name that nobody has is not kept, it may be a password."""
        user = user_named(str(credentials.get("username", "")))
        if user is not None:
            audit_person(Kind.SIGN_IN_FAILED, user, "A wrong password.", request=request)
        else:
            said = "A name that nobody has."
            audit_line(Kind.SIGN_IN_FAILED, said, site=None, seen=seen_in(request))

    def reauthenticate(self, user: User, password: str) -> bool:
        """Say whether this is the password of who is signed in."""
        try:
            return by_password(context.request, password, "Passwords and second factors.")
        except TooManyTries as refusal:
            raise ValidationError(str(refusal)) from None

    def get_password_change_redirect_url(self, request: HttpRequest) -> str:
        """Go on to the first page."""
        return "/"

    def get_logout_redirect_url(self, request: HttpRequest) -> str:
        """Back to the door."""
        return reverse("account_login")
