"""Addresses of pages that another app may or may not have."""

from typing import Any

from django.urls import NoReverseMatch, reverse

__all__ = ["link"]


def link(name: str, *args: Any) -> str:
    """The address of a page by its name; empty where there is no such page."""
    try:
        return reverse(name, args=args)
    except NoReverseMatch:
        return ""
