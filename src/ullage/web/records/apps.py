"""How Django finds this app."""

from django.apps import AppConfig

__all__ = ["RecordsConfig"]


class RecordsConfig(AppConfig):
    """The records app."""

    name = "ullage.web.records"
    label = "records"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        """Papers are kept of records that are closed, amended or signed."""
        from ullage.web.cases.services import paper_from
        from ullage.web.records.tasks import papers_ask

        paper_from(papers_ask)
