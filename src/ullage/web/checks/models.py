"""Checks: lists by version, checks with their entries and files, and the limits a site chose.

Nothing here is ever changed or deleted: a list gets a new version, a step a new entry, a limit a
new choice; the last one counts and the others stay readable.
"""

from uuid import uuid4

from django.conf import settings
from django.db import models

from ullage.web.shared.attachments import Attachment

__all__ = ["ChangeSaid", "Check", "CheckFile", "Entry", "LimitChoice", "ListVersion"]


class ListVersion(models.Model):
    """One version of a check list as a site uses it; ``by`` is empty for one that was shipped.

    ``data`` is the whole list with every word of every step, so that a check that was made with it
    can be read for as long as it is kept.
    """

    site = models.ForeignKey("sites.Site", on_delete=models.CASCADE, related_name="check_lists")
    key = models.CharField(max_length=40)
    number = models.PositiveIntegerField()
    title = models.CharField(max_length=120)
    data = models.JSONField()
    digest = models.CharField(max_length=64)
    reason = models.CharField(max_length=240, blank=True)
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, related_name="+"
    )
    at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ("key", "-number")
        constraints = (
            models.UniqueConstraint(
                fields=["site", "key", "number"], name="one_version_of_a_number_per_list"
            ),
        )

    def __str__(self) -> str:
        return f"{self.title}, version {self.number}"


class Check(models.Model):
    """One check of one machine by one version of a list; it can be left and taken up again."""

    code = models.UUIDField(default=uuid4, unique=True, editable=False)
    site = models.ForeignKey("sites.Site", on_delete=models.CASCADE, related_name="checks")
    machine = models.ForeignKey("machines.Machine", on_delete=models.PROTECT, related_name="checks")
    version = models.ForeignKey(ListVersion, on_delete=models.PROTECT, related_name="checks")
    begun_at = models.DateTimeField()
    begun_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+"
    )
    ended_at = models.DateTimeField(null=True, blank=True)
    ended_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    given_up = models.CharField(max_length=240, blank=True)
    result = models.JSONField(null=True, blank=True)
    verdict = models.CharField(max_length=12, blank=True)

    class Meta:
        ordering = ("-begun_at", "-pk")
        indexes = (
            models.Index(fields=["machine", "-ended_at"]),
            models.Index(fields=["site", "ended_at"]),
        )
        constraints = (
            models.UniqueConstraint(
                fields=["machine", "version"],
                condition=models.Q(ended_at=None),
                name="one_open_check_per_machine_and_list",
            ),
        )

    def __str__(self) -> str:
        return f"{self.version.title} of {self.machine}"


class Entry(models.Model):
    """One entry of a check: what was said or measured at a step, and what it came to.

    ``word`` is "step", or "no animal" where somebody said that no animal is connected.
    """

    code = models.UUIDField(unique=True, editable=False)
    in_check = models.ForeignKey(Check, on_delete=models.CASCADE, related_name="entries")
    step = models.CharField(max_length=60)
    word = models.CharField(max_length=12, default="step")
    given = models.JSONField(default=dict)
    answer = models.JSONField(null=True, blank=True)
    verdict = models.CharField(max_length=12, blank=True)
    note = models.CharField(max_length=240, blank=True)
    at = models.DateTimeField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ("at", "pk")
        indexes = (models.Index(fields=["in_check", "step"]),)

    def __str__(self) -> str:
        return f"{self.in_check}: {self.step}"


class CheckFile(Attachment):
    """A picture or a paper that belongs to a check."""

    in_check = models.ForeignKey(Check, on_delete=models.PROTECT, related_name="files")
    step = models.CharField(max_length=60, blank=True)


class LimitChoice(models.Model):
    """The limit that a site holds a measurement against, from a time on.

    ``choice`` is the key of a published one; ``own`` holds the numbers where the site wrote its
    own.
    """

    site = models.ForeignKey("sites.Site", on_delete=models.CASCADE, related_name="check_limits")
    name = models.CharField(max_length=40)
    choice = models.CharField(max_length=60)
    own = models.JSONField(default=dict)
    reason = models.CharField(max_length=240, blank=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ("-at", "-pk")
        indexes = (models.Index(fields=["site", "name", "-at"]),)

    def __str__(self) -> str:
        return f"{self.site}: {self.name}"


class ChangeSaid(models.Model):
    """Somebody said that something was changed on a machine, so that steps are due again."""

    machine = models.ForeignKey(
        "machines.Machine", on_delete=models.CASCADE, related_name="changes_said"
    )
    kind = models.CharField(max_length=20)
    note = models.CharField(max_length=240, blank=True)
    at = models.DateTimeField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    recorded_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ("-at", "-pk")
        indexes = (models.Index(fields=["machine", "-at"]),)

    def __str__(self) -> str:
        return f"{self.machine}: {self.kind}"
