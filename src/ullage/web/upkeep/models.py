"""What was done for the upkeep of the installation, and by which rule backups are made.

These concern the whole installation, not one site: one database holds all sites.
"""

from django.conf import settings
from django.db import models

__all__ = ["BackupRule", "UpkeepKind", "UpkeepRun"]


class BackupRule(models.Model):
    """When backups are made, and for how many days each is kept; the newest row counts."""

    append_only = True

    hour = models.PositiveSmallIntegerField()
    time_zone = models.CharField(max_length=64)
    keep_days = models.PositiveSmallIntegerField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()

    class Meta:
        ordering = ("-pk",)

    def __str__(self) -> str:
        return f"at {self.hour}:00 {self.time_zone}, {self.keep_days} days"


class UpkeepKind(models.TextChoices):
    """What was done."""

    BACKUP = "backup", "Backup"
    DRILL = "drill", "Restore drill"
    RESTORE = "restore", "Restore"


class UpkeepRun(models.Model):
    """One backup, drill or restore: asked for, begun, ended, and what came of it.

    ``is_fine`` is nothing until it has ended.
    """

    kind = models.CharField(max_length=8, choices=UpkeepKind.choices)
    asked_at = models.DateTimeField()
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, related_name="+"
    )
    ended_at = models.DateTimeField(null=True)
    is_fine = models.BooleanField(null=True)
    file = models.CharField(max_length=300, blank=True)
    says = models.CharField(max_length=600, blank=True)
    figures = models.JSONField(default=dict)

    class Meta:
        ordering = ("-asked_at", "-pk")
        indexes = (models.Index(fields=["kind", "-asked_at"]),)

    def __str__(self) -> str:
        return f"{self.get_kind_display()}, {self.asked_at:%Y-%m-%d %H:%M}"
