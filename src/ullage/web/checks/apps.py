"""How Django finds this app."""

from django.apps import AppConfig

__all__ = ["ChecksConfig"]


class ChecksConfig(AppConfig):
    """The checks app."""

    name = "ullage.web.checks"
    label = "checks"
