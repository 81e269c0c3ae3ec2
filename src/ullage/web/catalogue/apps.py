"""How Django finds this app."""

from django.apps import AppConfig

__all__ = ["CatalogueConfig"]


class CatalogueConfig(AppConfig):
    """The catalogue app."""

    name = "ullage.web.catalogue"
    label = "catalogue"
