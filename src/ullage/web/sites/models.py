"""Places, their settings, their rooms and who may do what there."""

from uuid import uuid4

from django.conf import settings
from django.db import models

__all__ = ["Membership", "Role", "Room", "Site", "SiteChange"]


class Site(models.Model):
    """One place with its units, its air pressure, its reserve policy and its intervals.

    ``mac_overrides`` is {"cat, isoflurane": {"value", "reason"}} with the value as a share of one
    atmosphere; ``value_overrides`` is {"cat, tidal_l": {"value", "reason"}} for one kilogram.
    ``record_rules`` is what `ullage.answers.record.site_rules.rules_read` reads.
    """

    code = models.UUIDField(default=uuid4, unique=True, editable=False)
    name = models.CharField(max_length=120)
    time_zone = models.CharField(max_length=64, default="Europe/London")
    country = models.CharField(max_length=2, default="GB")
    pressure_unit = models.CharField(max_length=12, default="bar")
    temperature_unit = models.CharField(max_length=4, default="°C")
    condition = models.CharField(max_length=4, default="15C")
    gas_colours = models.CharField(max_length=8, default="iso32")
    elevation_m = models.FloatField(null=True, blank=True)
    barometric_kpa = models.FloatField(null=True, blank=True)
    temperature_k = models.FloatField(default=293.15)
    reserve_kpa = models.FloatField(null=True, blank=True)
    reserve_l = models.FloatField(null=True, blank=True)
    reserve_min = models.FloatField(null=True, blank=True)
    begin_kpa = models.FloatField(null=True, blank=True)
    reading_interval_min = models.PositiveIntegerField(default=30)
    reading_stale_h = models.PositiveIntegerField(default=24)
    storage_code = models.CharField(max_length=40, blank=True)
    target_mac = models.FloatField(null=True, blank=True)
    circle_from_kg = models.FloatField(null=True, blank=True)
    flow_open_multiple = models.FloatField(null=True, blank=True)
    flow_open_l_min_kg = models.FloatField(null=True, blank=True)
    flow_circle_start_l_min_kg = models.FloatField(null=True, blank=True)
    flow_circle_hold_l_min_kg = models.FloatField(null=True, blank=True)
    mac_overrides = models.JSONField(default=dict, blank=True)
    value_overrides = models.JSONField(default=dict, blank=True)
    record_rules = models.JSONField(default=dict, blank=True)
    quick_lock_min = models.PositiveIntegerField(default=5)
    is_demo = models.BooleanField(default=False)
    created_at = models.DateTimeField(auto_now_add=True)

    def __str__(self) -> str:
        return self.name


class Role(models.TextChoices):
    """What a person may do at a site."""

    VIEWER = "viewer", "Viewer: may look"
    OPERATOR = "operator", "Operator: may read gauges, change cylinders, plan and run"
    LEAD = "lead", "Lead: may also change machines, sources, people, settings and rules"
    VETERINARIAN = "veterinarian", "Veterinarian: may do all that a lead may"


class Membership(models.Model):
    """One person's role at one site."""

    user = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="memberships"
    )
    site = models.ForeignKey(Site, on_delete=models.CASCADE, related_name="memberships")
    role = models.CharField(max_length=16, choices=Role.choices, default=Role.VIEWER)

    class Meta:
        constraints = (
            models.UniqueConstraint(fields=["user", "site"], name="one_role_per_person_and_site"),
        )

    def __str__(self) -> str:
        return f"{self.user} at {self.site}: {self.role}"


class Room(models.Model):
    """A room with what the air and the magnet ask for."""

    site = models.ForeignKey(Site, on_delete=models.CASCADE, related_name="rooms")
    name = models.CharField(max_length=80)
    volume_m3 = models.FloatField(null=True, blank=True)
    air_changes_per_h = models.FloatField(null=True, blank=True)
    temperature_k = models.FloatField(null=True, blank=True)
    is_magnet = models.BooleanField(default=False)

    class Meta:
        ordering = ("name",)
        constraints = (
            models.UniqueConstraint(fields=["site", "name"], name="one_room_of_a_name_per_site"),
        )

    def __str__(self) -> str:
        return self.name


class SiteChange(models.Model):
    """One change of the settings: who, when, what it was before and after; never changed."""

    site = models.ForeignKey(Site, on_delete=models.CASCADE, related_name="changes")
    section = models.CharField(max_length=20)
    before = models.JSONField(default=dict)
    after = models.JSONField(default=dict)
    reason = models.CharField(max_length=240, blank=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ("-at", "-pk")
        indexes = (models.Index(fields=["site", "section", "-at"]),)

    def __str__(self) -> str:
        return f"{self.site}: {self.section}, {self.at:%Y-%m-%d %H:%M}"
