"""Sign-in without open sign-up: accounts are made by a lead or at first run."""

from typing import Any

from allauth.account.adapter import DefaultAccountAdapter
from django.http import HttpRequest
from django.urls import reverse

from ullage.web.accounts.models import User

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
        user.save(update_fields=["password", "one_time_until"])

    def get_password_change_redirect_url(self, request: HttpRequest) -> str:
        """Go on to the first page."""
        return "/"

    def get_logout_redirect_url(self, request: HttpRequest) -> str:
        """Back to the door."""
        return reverse("account_login")
