"""How Django finds this app."""

from django.apps import AppConfig

__all__ = ["SupplyConfig"]


class SupplyConfig(AppConfig):
    """The supply app."""

    name = "ullage.web.supply"
    label = "supply"
    default_auto_field = "django.db.models.BigAutoField"
