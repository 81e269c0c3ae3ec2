"""How Django finds this app."""

from django.apps import AppConfig

__all__ = ["ExposureConfig"]


class ExposureConfig(AppConfig):
    """The exposure app."""

    name = "ullage.web.exposure"
    label = "exposure"
