"""Machines and their parts, as far as the supply needs them."""

from uuid import uuid4

from django.conf import settings
from django.db import models

__all__ = ["ChainRecord", "Machine", "MachineChange"]


class Machine(models.Model):
    """One anaesthetic machine; an empty field means that nobody has said."""

    code = models.UUIDField(default=uuid4, unique=True, editable=False)
    site = models.ForeignKey("sites.Site", on_delete=models.CASCADE, related_name="machines")
    room = models.ForeignKey(
        "sites.Room", on_delete=models.SET_NULL, null=True, blank=True, related_name="machines"
    )
    name = models.CharField(max_length=60)
    system = models.CharField(max_length=40, blank=True)
    oxygen_alarm = models.CharField(max_length=8, default="unknown")
    ventilator = models.CharField(max_length=12, default="none")
    drive_gas_factor = models.FloatField(null=True, blank=True)
    flowmeter_min_l_min = models.FloatField(null=True, blank=True)
    flowmeter_max_l_min = models.FloatField(null=True, blank=True)
    float_kind = models.CharField(max_length=8, blank=True)
    flow_sd_share = models.FloatField(null=True, blank=True)
    sampling_l_min = models.FloatField(null=True, blank=True)
    usual_flow_l_min = models.FloatField(null=True, blank=True)
    regulator = models.CharField(max_length=16, blank=True)
    hose = models.CharField(max_length=16, blank=True)
    out_of_use = models.CharField(max_length=200, blank=True)
    order = models.PositiveIntegerField(default=0)

    class Meta:
        ordering = ("order", "name")
        constraints = (
            models.UniqueConstraint(fields=["site", "name"], name="one_machine_of_a_name_per_site"),
        )

    def __str__(self) -> str:
        return self.name


class MachineChange(models.Model):
    """One change of a machine's facts: who, when, before and after; never changed."""

    machine = models.ForeignKey(Machine, on_delete=models.CASCADE, related_name="changes")
    before = models.JSONField(default=dict)
    after = models.JSONField(default=dict)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ("-at", "-pk")

    def __str__(self) -> str:
        return f"{self.machine}, {self.at:%Y-%m-%d %H:%M}"


class ChainRecord(models.Model):
    """What a person found along the chain from source to flowmeter, on a date; never changed.

    ``source_code`` is the random code of the source that the chain begins at.
    """

    machine = models.ForeignKey(Machine, on_delete=models.CASCADE, related_name="chain_records")
    source_code = models.UUIDField(null=True, blank=True)
    at = models.DateTimeField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    found = models.JSONField(default=dict)
    recorded_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ("-at", "-pk")
        indexes = (models.Index(fields=["machine", "source_code", "-at"]),)

    def __str__(self) -> str:
        return f"{self.machine}, {self.at:%Y-%m-%d %H:%M}"
