"""How Django finds this app."""

from django.apps import AppConfig

__all__ = ["ChecksConfig"]


class ChecksConfig(AppConfig):
    """The checks app."""

    name = "ullage.web.checks"
    label = "checks"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        """Checks speak on the readiness of machines."""
        from ullage.web.checks.selectors import remarks
        from ullage.web.machines.selectors import readiness_from

        readiness_from(remarks)
