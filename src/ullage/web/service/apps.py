"""How Django finds this app."""

from django.apps import AppConfig

__all__ = ["ServiceConfig"]


class ServiceConfig(AppConfig):
    """The service app."""

    name = "ullage.web.service"
    label = "service"
