"""How Django finds this app."""

from django.apps import AppConfig

__all__ = ["ServiceConfig"]


class ServiceConfig(AppConfig):
    """The service app; it says of every machine what is overdue on it."""

    name = "ullage.web.service"
    label = "service"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        """Let what is overdue speak on the readiness of machines."""
        from ullage.web.machines.selectors import readiness_from
        from ullage.web.service.selectors import remarks_on

        readiness_from(remarks_on)
