"""How Django finds this app."""

from django.apps import AppConfig

__all__ = ["RecordsConfig"]


class RecordsConfig(AppConfig):
    """The records app."""

    name = "ullage.web.records"
    label = "records"
    default_auto_field = "django.db.models.BigAutoField"
