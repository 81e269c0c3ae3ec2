"""How Django finds this app."""

from django.apps import AppConfig

__all__ = ["SharedConfig"]


class SharedConfig(AppConfig):
    """The shared app."""

    name = "ullage.web.shared"
    label = "shared"
    default_auto_field = "django.db.models.BigAutoField"
