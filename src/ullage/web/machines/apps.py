"""How Django finds this app."""

from django.apps import AppConfig

__all__ = ["MachinesConfig"]


class MachinesConfig(AppConfig):
    """The machines app."""

    name = "ullage.web.machines"
    label = "machines"
    default_auto_field = "django.db.models.BigAutoField"
