"""What was done to machines and parts, with its papers; a site's intervals; calendar addresses."""

from uuid import uuid4

from django.conf import settings
from django.db import models

from ullage.web.shared.attachments import Attachment

__all__ = [
    "CalendarAddress",
    "Certificate",
    "EventKind",
    "Interval",
    "OutputRule",
    "ServiceEvent",
    "Withdrawal",
]


class EventKind(models.TextChoices):
    """What was done; the first five are what can come due."""

    OUTPUT_TEST = "output_test", "Output test"
    INSPECTION = "inspection", "Inspection"
    SERVICE = "service", "Maker's service"
    CLEANING = "cleaning", "Cleaning"
    REPLACEMENT = "replacement", "Replacement"
    REPAIR = "repair", "Repair"
    LOAN = "loan", "Lent or sent away"
    RETURN = "return", "Came back"
    OTHER = "other", "Something else"


class ServiceEvent(models.Model):
    """One thing done to one machine or one part, on a day, by somebody; never changed.

    ``done_by`` is a person or a firm in words; ``facts`` hold what was measured, ``answer`` what
    it came to by the limit that held on that day.
    """

    code = models.UUIDField(default=uuid4, unique=True, editable=False)
    site = models.ForeignKey("sites.Site", on_delete=models.CASCADE, related_name="service_events")
    machine = models.ForeignKey(
        "machines.Machine", on_delete=models.RESTRICT, null=True, related_name="service_events"
    )
    part = models.ForeignKey(
        "machines.Part", on_delete=models.RESTRICT, null=True, related_name="service_events"
    )
    kind = models.CharField(max_length=16, choices=EventKind.choices)
    done_on = models.DateField()
    done_by = models.CharField(max_length=120)
    note = models.TextField(blank=True)
    facts = models.JSONField(default=dict)
    answer = models.JSONField(null=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    recorded_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ("-done_on", "-pk")
        constraints = (
            models.CheckConstraint(
                condition=models.Q(machine=None) ^ models.Q(part=None),
                name="service_of_one_thing",
            ),
        )
        indexes = (
            models.Index(fields=["part", "kind", "-done_on"]),
            models.Index(fields=["machine", "kind", "-done_on"]),
            models.Index(fields=["site", "part", "machine", "kind", "done_on"]),
        )

    def __str__(self) -> str:
        return f"{self.get_kind_display()} of {self.machine or self.part}, {self.done_on}"


class Withdrawal(models.Model):
    """An event that was written by mistake: it stays readable and counts for nothing."""

    event = models.OneToOneField(ServiceEvent, on_delete=models.CASCADE, related_name="withdrawal")
    reason = models.CharField(max_length=200)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField(auto_now_add=True)

    def __str__(self) -> str:
        return f"{self.event}: withdrawn"


class Certificate(Attachment):
    """A paper that belongs to an event."""

    event = models.ForeignKey(ServiceEvent, on_delete=models.CASCADE, related_name="files")


class Interval(models.Model):
    """How often a site has a task done on a kind of thing; the latest row of a pair holds.

    Without days the published interval holds again. ``thing`` is a kind of part, or ``machine``.
    """

    site = models.ForeignKey(
        "sites.Site", on_delete=models.CASCADE, related_name="service_intervals"
    )
    thing = models.CharField(max_length=20)
    task = models.CharField(max_length=16)
    days = models.PositiveIntegerField(null=True)
    why = models.CharField(max_length=200)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ("-at", "-pk")
        indexes = (models.Index(fields=["site", "thing", "task", "-at"]),)

    def __str__(self) -> str:
        return f"{self.thing}, {self.task}: {self.days or 'as published'}"


class OutputRule(models.Model):
    """How far from its dial a site lets a vaporizer be; the latest row holds.

    ``key`` names a published limit; a site's own has a share of the dial instead.
    """

    site = models.ForeignKey("sites.Site", on_delete=models.CASCADE, related_name="output_rules")
    key = models.CharField(max_length=16, blank=True)
    of_dial_share = models.FloatField(null=True)
    why = models.CharField(max_length=200)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ("-at", "-pk")
        indexes = (models.Index(fields=["site", "-at"]),)

    def __str__(self) -> str:
        return self.key or f"{self.of_dial_share}"


class CalendarAddress(models.Model):
    """A private address of the due list as a calendar; only the hash of its secret is kept."""

    code = models.UUIDField(default=uuid4, unique=True, editable=False)
    site = models.ForeignKey(
        "sites.Site", on_delete=models.CASCADE, related_name="calendar_addresses"
    )
    name = models.CharField(max_length=60)
    secret_hash = models.CharField(max_length=64, unique=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField(auto_now_add=True)
    revoked_at = models.DateTimeField(null=True, blank=True)
    revoked_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, related_name="+"
    )

    class Meta:
        ordering = ("-at", "-pk")

    def __str__(self) -> str:
        return self.name
