"""How Django finds this app."""

from django.apps import AppConfig

__all__ = ["SitesConfig"]


class SitesConfig(AppConfig):
    """The sites app."""

    name = "ullage.web.sites"
    label = "sites"
    default_auto_field = "django.db.models.BigAutoField"
