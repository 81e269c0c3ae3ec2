"""How Django finds this app."""

from django.apps import AppConfig

__all__ = ["UpkeepConfig"]


class UpkeepConfig(AppConfig):
    """The app of upkeep."""

    name = "ullage.web.upkeep"
    label = "upkeep"
    default_auto_field = "django.db.models.BigAutoField"
