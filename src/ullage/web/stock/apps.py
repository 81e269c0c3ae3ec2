"""How Django finds this app."""

from django.apps import AppConfig

__all__ = ["StockConfig"]


class StockConfig(AppConfig):
    """The stock app; it says of a machine which canister or filling on it is to be changed."""

    name = "ullage.web.stock"
    label = "stock"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        """Let what is used up speak on the readiness of machines."""
        from ullage.web.machines.selectors import readiness_from
        from ullage.web.stock.selectors import remarks_on

        readiness_from(remarks_on)
