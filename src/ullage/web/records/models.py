"""Papers of records as they were when they were signed, and work in the background."""

from uuid import uuid4

from django.conf import settings
from django.db import models

from ullage.web.shared.attachments import Attachment

__all__ = ["Run", "RunKind", "SignedPaper"]


class SignedPaper(Attachment):
    """The PDF of a record as far as it went when it was closed, amended or signed."""

    append_only = True

    record = models.ForeignKey("cases.Record", on_delete=models.PROTECT, related_name="papers")
    count = models.PositiveIntegerField()
    sum = models.CharField(max_length=64)

    class Meta:
        ordering = ("record", "count")
        constraints = (
            models.UniqueConstraint(
                fields=["record", "count"], name="one_paper_of_a_record_at_a_line"
            ),
        )


class RunKind(models.TextChoices):
    """What is made in the background."""

    PAPERS = "papers", "Records as one file"
    VERIFY = "verify", "Verification of the register"


class Run(models.Model):
    """Work that somebody asked for: how far it is, and what came of it.

    ``wanted`` are the records by their keys; ``answer`` is one of the verification as its table,
    ``content`` the file, which is let go after a day.
    """

    code = models.UUIDField(default=uuid4, unique=True, editable=False)
    site = models.ForeignKey("sites.Site", on_delete=models.PROTECT, related_name="+")
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    kind = models.CharField(max_length=12, choices=RunKind.choices)
    asked_at = models.DateTimeField()
    ended_at = models.DateTimeField(null=True, blank=True)
    wanted = models.JSONField(default=list)
    done = models.PositiveIntegerField(default=0)
    total = models.PositiveIntegerField(default=0)
    says = models.CharField(max_length=400, blank=True)
    is_fine = models.BooleanField(null=True)
    answer = models.JSONField(null=True, blank=True)
    name = models.CharField(max_length=120, blank=True)
    content = models.BinaryField(null=True, blank=True)

    class Meta:
        ordering = ("-asked_at", "-pk")

    def __str__(self) -> str:
        return f"{self.get_kind_display()}, {self.asked_at:%Y-%m-%d %H:%M}"
