"""Sources, cylinders, readings, flows meant to be running, and stored answers."""

from uuid import uuid4

from django.conf import settings
from django.db import models

__all__ = [
    "Cylinder",
    "CylinderChange",
    "CylinderEvent",
    "CylinderState",
    "FlowRecord",
    "Reading",
    "Source",
    "SourceEvent",
    "SourceKind",
    "StoredAnswer",
]


class SourceKind(models.TextChoices):
    """Anything that gas comes from."""

    CYLINDER = "cylinder", "Cylinder on a machine or a wall"
    SEQUENCE = "sequence", "Several cylinders, one after the other"
    MANIFOLD = "manifold", "Two-bank manifold with automatic change-over"
    PIPELINE = "pipeline", "Pipeline outlet"
    CONCENTRATOR = "concentrator", "Oxygen concentrator"
    LIQUID = "liquid", "Liquid oxygen"


class Source(models.Model):
    """One source of one gas; a reserve stands behind it where there is one."""

    code = models.UUIDField(default=uuid4, unique=True, editable=False)
    site = models.ForeignKey("sites.Site", on_delete=models.CASCADE, related_name="sources")
    room = models.ForeignKey(
        "sites.Room", on_delete=models.SET_NULL, null=True, blank=True, related_name="sources"
    )
    machines = models.ManyToManyField("machines.Machine", blank=True, related_name="sources")
    name = models.CharField(max_length=80)
    kind = models.CharField(max_length=16, choices=SourceKind.choices)
    gas = models.CharField(max_length=20, default="oxygen")
    reserve_of = models.ForeignKey(
        "self", on_delete=models.SET_NULL, null=True, blank=True, related_name="reserves"
    )
    flow_limit_l_min = models.FloatField(null=True, blank=True)
    oxygen_fraction = models.FloatField(null=True, blank=True)
    liquid_l = models.FloatField(null=True, blank=True)
    daily_loss_share = models.FloatField(null=True, blank=True)
    line_gauge_kpa = models.FloatField(null=True, blank=True)
    change_over_kpa = models.FloatField(null=True, blank=True)
    duty_bank = models.CharField(max_length=1, blank=True)
    trapped_ml = models.FloatField(null=True, blank=True)
    fall_limit_kpa = models.FloatField(null=True, blank=True)
    fall_limit_min = models.FloatField(null=True, blank=True)
    order = models.PositiveIntegerField(default=0)
    retired_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ("order", "name")

    def __str__(self) -> str:
        return self.name


class SourceEvent(models.Model):
    """What was changed about a source: the value before and after, by whom."""

    source = models.ForeignKey(Source, on_delete=models.CASCADE, related_name="events")
    at = models.DateTimeField()
    kind = models.CharField(max_length=24)
    details = models.JSONField(default=dict)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ("-at", "-pk")

    def __str__(self) -> str:
        return f"{self.source}: {self.kind}"


class CylinderState(models.TextChoices):
    """Where a cylinder is in its round."""

    FULL = "full", "Full, in store"
    IN_USE = "in_use", "In use"
    PART_USED = "part_used", "Part used"
    EMPTY = "empty", "Empty"
    QUARANTINE = "quarantine", "Set apart: do not use"
    RETURNED = "returned", "Returned"


class Cylinder(models.Model):
    """One cylinder; its code stands in its QR label, is random and grants nothing."""

    code = models.UUIDField(default=uuid4, unique=True, editable=False)
    site = models.ForeignKey("sites.Site", on_delete=models.CASCADE, related_name="cylinders")
    room = models.ForeignKey(
        "sites.Room", on_delete=models.SET_NULL, null=True, blank=True, related_name="cylinders"
    )
    source = models.ForeignKey(
        Source, on_delete=models.SET_NULL, null=True, blank=True, related_name="cylinders"
    )
    bank = models.CharField(max_length=1, blank=True)
    place_in_source = models.PositiveIntegerField(default=0)
    name = models.CharField(max_length=60)
    gas = models.CharField(max_length=20, default="oxygen")
    size = models.CharField(max_length=40, blank=True)
    water_capacity_l = models.FloatField()
    capacity_known = models.CharField(max_length=16, default="preset")
    label_l = models.FloatField(null=True, blank=True)
    fill_gauge_kpa = models.FloatField(null=True, blank=True)
    test_pressure_kpa = models.FloatField(null=True, blank=True)
    full_scale_kpa = models.FloatField(default=20_684.0)
    gauge_error_share = models.FloatField(null=True, blank=True)
    tare_kg = models.FloatField(null=True, blank=True)
    material = models.CharField(max_length=12, blank=True)
    serial = models.CharField(max_length=60, blank=True)
    test_due = models.DateField(null=True, blank=True)
    state = models.CharField(
        max_length=12, choices=CylinderState.choices, default=CylinderState.FULL
    )
    received_at = models.DateTimeField(null=True, blank=True)
    connected_at = models.DateTimeField(null=True, blank=True)
    asked_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ("name",)
        indexes = (models.Index(fields=["site", "state"]),)
        constraints = (
            models.CheckConstraint(
                condition=models.Q(water_capacity_l__gt=0), name="a_cylinder_holds_something"
            ),
        )

    def __str__(self) -> str:
        return self.name


class Reading(models.Model):
    """What a person saw on a gauge or a scale; never changed, only amended by another.

    ``asked`` holds the question put to the person and ``said`` the answer, written once.
    A reading that does not count is kept as a note and used in no sum.
    """

    code = models.UUIDField(default=uuid4, unique=True, editable=False)
    cylinder = models.ForeignKey(Cylinder, on_delete=models.CASCADE, related_name="readings")
    at = models.DateTimeField()
    gauge_kpa = models.FloatField(null=True, blank=True)
    weight_kg = models.FloatField(null=True, blank=True)
    typed = models.CharField(max_length=40)
    temperature_k = models.FloatField(null=True, blank=True)
    valve_before = models.CharField(max_length=8, default="unknown")
    is_late = models.BooleanField(default=False)
    counts = models.BooleanField(default=True)
    asked = models.CharField(max_length=240, blank=True)
    said = models.CharField(max_length=240, blank=True)
    amends = models.OneToOneField(
        "self", on_delete=models.PROTECT, null=True, blank=True, related_name="amended_by"
    )
    reason = models.CharField(max_length=240, blank=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    recorded_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ("-at", "-pk")
        indexes = (
            models.Index(fields=["cylinder", "-at"]),
            # Hardly any reading is asked about, so those that wait are found at once.
            models.Index(fields=["asked"]),
        )

    def __str__(self) -> str:
        return f"{self.cylinder}: {self.typed}"


class CylinderChange(models.Model):
    """One change of cylinder, step by step; it can be left and taken up again."""

    code = models.UUIDField(default=uuid4, unique=True, editable=False)
    source = models.ForeignKey(Source, on_delete=models.CASCADE, related_name="changes")
    old = models.ForeignKey(
        Cylinder, on_delete=models.PROTECT, null=True, blank=True, related_name="changes_off"
    )
    new = models.ForeignKey(
        Cylinder, on_delete=models.PROTECT, null=True, blank=True, related_name="changes_on"
    )
    bank = models.CharField(max_length=1, blank=True)
    step = models.CharField(max_length=16)
    started_at = models.DateTimeField()
    started_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+"
    )
    finished_at = models.DateTimeField(null=True, blank=True)
    given_up_at = models.DateTimeField(null=True, blank=True)
    reason = models.CharField(max_length=240, blank=True)

    class Meta:
        ordering = ("-started_at",)
        constraints = (
            models.UniqueConstraint(
                fields=["source", "bank"],
                condition=models.Q(finished_at=None, given_up_at=None),
                name="one_open_change_per_source_and_bank",
            ),
        )

    def __str__(self) -> str:
        return f"Change at {self.source}"


class CylinderEvent(models.Model):
    """What happened to a cylinder: received, connected, a step of a change, returned."""

    cylinder = models.ForeignKey(
        Cylinder, on_delete=models.CASCADE, null=True, blank=True, related_name="events"
    )
    change = models.ForeignKey(
        CylinderChange, on_delete=models.CASCADE, null=True, blank=True, related_name="events"
    )
    at = models.DateTimeField()
    kind = models.CharField(max_length=24)
    details = models.JSONField(default=dict)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    recorded_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ("-at", "-pk")
        indexes = (models.Index(fields=["cylinder", "-at"]),)

    def __str__(self) -> str:
        return f"{self.cylinder}: {self.kind}"


class FlowRecord(models.Model):
    """A flow that was meant to be running from a source, for the estimator."""

    source = models.ForeignKey(Source, on_delete=models.CASCADE, related_name="flows")
    started_at = models.DateTimeField()
    ended_at = models.DateTimeField(null=True, blank=True)
    flow_l_min = models.FloatField()
    why = models.CharField(max_length=120, blank=True)
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, related_name="+"
    )

    class Meta:
        ordering = ("started_at",)
        indexes = (models.Index(fields=["source", "started_at"]),)

    def __str__(self) -> str:
        return f"{self.source}: {self.flow_l_min:g} L/min"


class StoredAnswer(models.Model):
    """An answer worked out in the background, with the time it was worked out."""

    site = models.ForeignKey("sites.Site", on_delete=models.CASCADE, related_name="+")
    subject = models.CharField(max_length=60)
    kind = models.CharField(max_length=40)
    payload = models.JSONField()
    worked_out_at = models.DateTimeField()

    class Meta:
        constraints = (
            models.UniqueConstraint(fields=["subject", "kind"], name="one_answer_per_question"),
        )
        indexes = (models.Index(fields=["site", "kind"]),)

    def __str__(self) -> str:
        return f"{self.kind} of {self.subject}"
