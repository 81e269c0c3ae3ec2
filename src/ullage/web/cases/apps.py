"""How Django finds this app."""

from django.apps import AppConfig

__all__ = ["CasesConfig"]


class CasesConfig(AppConfig):
    """The cases app."""

    name = "ullage.web.cases"
    label = "cases"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        """Records are named on the page of their day and on Today."""
        from ullage.web.cases.selectors import records_said
        from ullage.web.days.selectors import recorded_from

        recorded_from(records_said)
