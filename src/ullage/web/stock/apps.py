"""How Django finds this app."""

from django.apps import AppConfig

__all__ = ["StockConfig"]


class StockConfig(AppConfig):
    """The stock app."""

    name = "ullage.web.stock"
    label = "stock"
