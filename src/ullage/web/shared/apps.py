"""How Django finds this app."""

from django.apps import AppConfig

__all__ = ["SharedConfig"]


class SharedConfig(AppConfig):
    """The shared app."""

    name = "ullage.web.shared"
    label = "shared"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        """Ask each connection to the database whether what it commits will last."""
        from django.db.backends.signals import connection_created

        from ullage.web.shared.durable import insist_on_opening

        connection_created.connect(insist_on_opening, dispatch_uid="ullage durable")
