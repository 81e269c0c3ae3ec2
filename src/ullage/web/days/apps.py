"""How Django finds this app."""

from django.apps import AppConfig

__all__ = ["DaysConfig"]


class DaysConfig(AppConfig):
    """The days app."""

    name = "ullage.web.days"
    label = "days"
    default_auto_field = "django.db.models.BigAutoField"
