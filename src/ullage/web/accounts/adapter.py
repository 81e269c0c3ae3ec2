"""Sign-in without open sign-up: accounts are made by a lead or at first run."""

from typing import Any

from allauth.account.adapter import DefaultAccountAdapter
from django.http import HttpRequest

__all__ = ["ClosedAdapter"]


class ClosedAdapter(DefaultAccountAdapter):  # type: ignore[misc]  # allauth ships no types
    """Nobody signs up from outside."""

    def is_open_for_signup(self, request: HttpRequest, *args: Any) -> bool:
        """Say no, always."""
        return False
