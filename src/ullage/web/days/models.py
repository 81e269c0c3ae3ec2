"""Cases planned for a day; a day plan is all cases of one date at one site."""

from datetime import datetime, timedelta
from uuid import uuid4

from django.conf import settings
from django.db import models

__all__ = ["CaseEvent", "CaseState", "PlannedCase"]


class CaseState(models.TextChoices):
    """Where a case is in its day."""

    PLANNED = "planned", "Planned"
    RUNNING = "running", "Running"
    DONE = "done", "Done"
    CANCELLED = "cancelled", "Cancelled"


class PlannedCase(models.Model):
    """One anaesthetic of a day: who, where, when, and the gas it asks for by phase.

    ``phases`` is a list of {"name", "minutes", "oxygen_l_min", "air_l_min",
    "nitrous_oxide_l_min"}; ``extras`` holds "flushes", "chamber_l", "ventilated" and
    "minute_volume_l_min". ``asked`` is a question that was put to the person about what they
    typed, ``said`` the answer. Times before and after a change stand in its events.
    """

    code = models.UUIDField(default=uuid4, unique=True, editable=False)
    site = models.ForeignKey("sites.Site", on_delete=models.CASCADE, related_name="cases")
    machine = models.ForeignKey("machines.Machine", on_delete=models.PROTECT, related_name="cases")
    name = models.CharField(max_length=60)
    species = models.CharField(max_length=40, blank=True)
    weight_kg = models.FloatField(null=True, blank=True)
    system = models.CharField(max_length=40, blank=True)
    starts_at = models.DateTimeField()
    minutes = models.FloatField()
    minutes_sd_share = models.FloatField(default=0.15)
    phases = models.JSONField(default=list)
    extras = models.JSONField(default=dict)
    agent = models.CharField(max_length=20, blank=True)
    drugs = models.JSONField(null=True, blank=True)
    target_mac = models.FloatField(null=True, blank=True)
    planned = models.JSONField(default=dict, blank=True)
    note = models.CharField(max_length=240, blank=True)
    asked = models.CharField(max_length=400, blank=True)
    said = models.CharField(max_length=120, blank=True)
    began_at = models.DateTimeField(null=True, blank=True)
    ended_at = models.DateTimeField(null=True, blank=True)
    state = models.CharField(max_length=12, choices=CaseState.choices, default=CaseState.PLANNED)
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, related_name="+"
    )

    class Meta:
        ordering = ("starts_at",)
        indexes = (models.Index(fields=["site", "starts_at"]),)

    def __str__(self) -> str:
        return self.name

    @property
    def starts(self) -> datetime:
        """When it began, or is meant to begin."""
        return self.began_at or self.starts_at

    @property
    def ends(self) -> datetime:
        """When it ended, or is meant to end."""
        return self.ended_at or self.starts + timedelta(minutes=self.minutes)


class CaseEvent(models.Model):
    """What happened to a planned case: added, changed, moved, cancelled, begun, ended."""

    case = models.ForeignKey(PlannedCase, on_delete=models.CASCADE, related_name="events")
    at = models.DateTimeField()
    kind = models.CharField(max_length=24)
    details = models.JSONField(default=dict)
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, related_name="+"
    )

    class Meta:
        ordering = ("-at", "-pk")

    def __str__(self) -> str:
        return f"{self.case}: {self.kind}"
