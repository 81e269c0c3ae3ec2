"""Waste gas of a site: how work is done, which limits are followed, what badges said."""

from uuid import uuid4

from django.conf import settings
from django.db import models

__all__ = [
    "BadgeResult",
    "BadgeWithdrawal",
    "ExposureChange",
    "LimitChoice",
    "RoomMixing",
    "WorkWay",
]


class WorkWay(models.Model):
    """How work is done at a machine, as far as waste gas goes; an empty field was never said."""

    machine = models.OneToOneField(
        "machines.Machine", on_delete=models.CASCADE, related_name="waste_way"
    )
    scavenging = models.CharField(max_length=12, blank=True)
    mask_escape_share = models.FloatField(null=True, blank=True)
    purged = models.BooleanField(null=True, blank=True)
    leak_l_min = models.FloatField(null=True, blank=True)
    spilled_ml = models.FloatField(null=True, blank=True)
    hood = models.BooleanField(default=False)
    away = models.BooleanField(default=False)
    animals = models.PositiveIntegerField(default=1)

    def __str__(self) -> str:
        return f"Waste gas of {self.machine}"


class RoomMixing(models.Model):
    """The mixing factor that somebody measured in a room."""

    room = models.OneToOneField("sites.Room", on_delete=models.CASCADE, related_name="mixing")
    mixing_factor = models.FloatField(null=True, blank=True)

    def __str__(self) -> str:
        return f"Mixing of {self.room}"


class LimitChoice(models.Model):
    """The limit that a site follows for one agent; ``limit`` is a key of the reference data."""

    site = models.ForeignKey("sites.Site", on_delete=models.CASCADE, related_name="waste_limits")
    agent = models.CharField(max_length=20)
    limit = models.CharField(max_length=40, blank=True)

    class Meta:
        constraints = (
            models.UniqueConstraint(fields=["site", "agent"], name="one_limit_per_agent_and_site"),
        )

    def __str__(self) -> str:
        return f"{self.site}: {self.agent}, {self.limit or 'none chosen'}"


class ExposureChange(models.Model):
    """One change of a way, a mixing factor or a limit: who, when, before, after; never changed.

    ``about`` is the name of the thing at that time, ``subject`` the kind of thing.
    """

    site = models.ForeignKey("sites.Site", on_delete=models.CASCADE, related_name="waste_changes")
    subject = models.CharField(max_length=12)
    about = models.CharField(max_length=80)
    before = models.JSONField(default=dict)
    after = models.JSONField(default=dict)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ("-at", "-pk")
        indexes = (models.Index(fields=["site", "subject", "about", "-at"]),)

    def __str__(self) -> str:
        return f"{self.about}, {self.at:%Y-%m-%d %H:%M}"


class BadgeResult(models.Model):
    """What a laboratory reported of one badge; never changed, only withdrawn.

    ``who`` is initials or a code. ``level`` and ``unit`` are as reported, ``level_ppm`` is the
    same at ``celsius``, the temperature at which the laboratory counts.
    """

    code = models.UUIDField(default=uuid4, unique=True, editable=False)
    site = models.ForeignKey("sites.Site", on_delete=models.CASCADE, related_name="badges")
    room = models.ForeignKey(
        "sites.Room", on_delete=models.SET_NULL, null=True, blank=True, related_name="badges"
    )
    agent = models.CharField(max_length=20)
    who = models.CharField(max_length=40)
    task = models.CharField(max_length=120, blank=True)
    worn_from = models.DateTimeField()
    worn_to = models.DateTimeField()
    task_min = models.FloatField(null=True, blank=True)
    level = models.FloatField()
    unit = models.CharField(max_length=8, default="ppm")
    celsius = models.FloatField(default=25.0)
    level_ppm = models.FloatField()
    lab = models.CharField(max_length=120, blank=True)
    note = models.TextField(blank=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ("-worn_from", "-pk")
        indexes = (models.Index(fields=["site", "-worn_from"]),)

    def __str__(self) -> str:
        return f"{self.who}, {self.agent}, {self.worn_from:%Y-%m-%d}"

    @property
    def worn_min(self) -> float:
        """[min] that it was worn."""
        return (self.worn_to - self.worn_from).total_seconds() / 60.0


class BadgeWithdrawal(models.Model):
    """A badge that does not count: who says so, when, why; the badge stays readable."""

    badge = models.OneToOneField(BadgeResult, on_delete=models.CASCADE, related_name="withdrawal")
    reason = models.CharField(max_length=240)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField(auto_now_add=True)

    def __str__(self) -> str:
        return f"{self.badge}: withdrawn"
