"""How Django finds this app."""

from django.apps import AppConfig

__all__ = ["CasesConfig"]


class CasesConfig(AppConfig):
    """The cases app."""

    name = "ullage.web.cases"
    label = "cases"
    default_auto_field = "django.db.models.BigAutoField"
