"""How Django finds this app."""

from django.apps import AppConfig

__all__ = ["AccountsConfig"]


class AccountsConfig(AppConfig):
    """The accounts app."""

    name = "ullage.web.accounts"
    label = "accounts"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        """Listen to what happens at the door."""
        from ullage.web.accounts.signals import connect

        connect()
