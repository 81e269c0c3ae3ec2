"""How Django finds this app."""

from django.apps import AppConfig

__all__ = ["AuditConfig"]


class AuditConfig(AppConfig):
    """The audit app."""

    name = "ullage.web.audit"
    label = "audit"
    default_auto_field = "django.db.models.BigAutoField"
