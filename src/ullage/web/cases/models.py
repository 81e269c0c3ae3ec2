"""Cases and their records: lines that are only ever added, heads signed and chained by site.

The tables of lines, signed heads, register, files and of what was not taken refuse every change
and deletion in the database itself. A record holds only what is read off its lines, so that it
can be found quickly.
"""

from uuid import uuid4

from django.conf import settings
from django.db import models

from ullage.web.shared.attachments import Attachment

__all__ = [
    "CaseState",
    "Epoch",
    "Line",
    "NotTaken",
    "Record",
    "RecordFile",
    "RegisterLine",
    "Settled",
    "SignedHead",
    "SignedRegister",
    "Tablet",
    "Why",
]

_SUM = 64


class CaseState(models.TextChoices):
    """Where a case is in its life; one that is planned has no record yet."""

    READY = "ready", "Ready"
    RUNNING = "running", "Running"
    RECOVERING = "recovering", "Recovering"
    CLOSED = "closed", "Closed"
    AMENDED = "amended", "Amended"


class Record(models.Model):
    """The record of one case, of one animal or a group; ``count`` and ``head`` are of its chain."""

    code = models.UUIDField(default=uuid4, unique=True, editable=False)
    site = models.ForeignKey("sites.Site", on_delete=models.PROTECT, related_name="records")
    number = models.CharField(max_length=20)
    planned = models.OneToOneField(
        "days.PlannedCase", on_delete=models.PROTECT, null=True, blank=True, related_name="record"
    )
    machine = models.ForeignKey(
        "machines.Machine", on_delete=models.PROTECT, related_name="records"
    )
    name = models.CharField(max_length=60)
    species = models.CharField(max_length=40)
    is_group = models.BooleanField(default=False)
    state = models.CharField(max_length=12, choices=CaseState.choices, default=CaseState.READY)
    opened_at = models.DateTimeField()
    began_at = models.DateTimeField(null=True, blank=True)
    closed_at = models.DateTimeField(null=True, blank=True)
    count = models.PositiveIntegerField(default=0)
    head = models.CharField(max_length=_SUM, default="0" * _SUM)

    class Meta:
        ordering = ("-opened_at", "-pk")
        indexes = (models.Index(fields=["site", "state"]),)
        constraints = (
            models.UniqueConstraint(
                fields=["site", "number"], name="one_record_of_a_number_per_site"
            ),
        )

    def __str__(self) -> str:
        return f"{self.name}, record {self.number}"

    @property
    def is_closed(self) -> bool:
        """Whether nothing but amendments and late entries can follow."""
        return self.state in {CaseState.CLOSED, CaseState.AMENDED}


class Line(models.Model):
    """One line of a record: the fixed text that is chained, and what it is found by."""

    append_only = True

    record = models.ForeignKey(Record, on_delete=models.PROTECT, related_name="lines")
    order = models.PositiveIntegerField()
    kind = models.CharField(max_length=12)
    code = models.UUIDField()
    author = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    tablet = models.ForeignKey(
        "cases.Tablet", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    observed_at = models.DateTimeField()
    received_at = models.DateTimeField()
    text = models.TextField()
    sum = models.CharField(max_length=_SUM)

    class Meta:
        ordering = ("record", "order")
        indexes = (models.Index(fields=["record", "code"]),)
        constraints = (
            models.UniqueConstraint(fields=["record", "order"], name="one_line_of_an_order"),
        )

    def __str__(self) -> str:
        return f"{self.record_id}, line {self.order}"


class Why(models.TextChoices):
    """Why an entry was not taken."""

    CLOSED = "closed", "The record is closed"
    OTHER = "other content", "The same entry with other content"
    IMPOSSIBLE = "impossible", "It cannot be read as an entry"
    WRONG_CASE = "wrong case", "Its case is not there"
    ROLE = "role lost", "Its author may not write here"
    TABLET = "tablet", "The tablet is not enrolled, or no more"
    AUTHOR = "author", "The author cannot be proved"


class NotTaken(models.Model):
    """What was sent and could not be taken, kept word for word until a lead has settled it."""

    append_only = True

    code = models.UUIDField(default=uuid4, unique=True, editable=False)
    site = models.ForeignKey("sites.Site", on_delete=models.PROTECT, related_name="not_taken")
    record = models.ForeignKey(
        Record, on_delete=models.PROTECT, null=True, blank=True, related_name="not_taken"
    )
    entry = models.CharField(max_length=64)
    sent = models.TextField()
    digest = models.CharField(max_length=_SUM)
    why = models.CharField(max_length=16, choices=Why.choices)
    says = models.CharField(max_length=400)
    author = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, related_name="+"
    )
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, related_name="+"
    )
    tablet = models.ForeignKey(
        "cases.Tablet", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    at = models.DateTimeField()

    class Meta:
        ordering = ("at", "pk")
        constraints = (
            models.UniqueConstraint(
                fields=["site", "entry", "digest"], name="the_same_not_taken_once"
            ),
        )

    def __str__(self) -> str:
        return f"{self.get_why_display()}: {self.entry}"


class Settled(models.Model):
    """What a lead decided on something that was not taken: into the record, or left where it is."""

    append_only = True

    of = models.OneToOneField(NotTaken, on_delete=models.PROTECT, related_name="settled")
    line = models.ForeignKey(
        Line, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    reason = models.CharField(max_length=240)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()

    def __str__(self) -> str:
        return self.reason


class RecordFile(Attachment):
    """A picture or a paper that belongs to a record; a line of the record names its SHA-256."""

    append_only = True

    record = models.ForeignKey(Record, on_delete=models.PROTECT, related_name="files")


class SignedHead(models.Model):
    """A head of a record that was signed with the key outside the database."""

    append_only = True

    record = models.ForeignKey(Record, on_delete=models.PROTECT, related_name="signed_heads")
    count = models.PositiveIntegerField()
    sum = models.CharField(max_length=_SUM)
    at = models.CharField(max_length=32)
    key = models.CharField(max_length=64)
    signature = models.CharField(max_length=128)

    class Meta:
        ordering = ("record", "count", "pk")

    def __str__(self) -> str:
        return f"{self.record_id}, head at {self.count}"


class RegisterLine(models.Model):
    """One line of a site's register: how far a record went, chained over all records."""

    append_only = True

    site = models.ForeignKey("sites.Site", on_delete=models.PROTECT, related_name="register")
    record = models.ForeignKey(Record, on_delete=models.PROTECT, related_name="register")
    order = models.PositiveIntegerField()
    text = models.TextField()
    sum = models.CharField(max_length=_SUM)

    class Meta:
        ordering = ("site", "order")
        constraints = (
            models.UniqueConstraint(fields=["site", "order"], name="one_register_line_of_an_order"),
        )

    def __str__(self) -> str:
        return f"{self.site_id}, register {self.order}"


class SignedRegister(models.Model):
    """A head of a site's register that was signed with the key outside the database."""

    append_only = True

    site = models.ForeignKey(
        "sites.Site", on_delete=models.PROTECT, related_name="signed_registers"
    )
    count = models.PositiveIntegerField()
    sum = models.CharField(max_length=_SUM)
    at = models.CharField(max_length=32)
    key = models.CharField(max_length=64)
    signature = models.CharField(max_length=128)

    class Meta:
        ordering = ("site", "count", "pk")

    def __str__(self) -> str:
        return f"{self.site_id}, register head at {self.count}"


class Tablet(models.Model):
    """A device that is enrolled at a site: its public key signs what it sends."""

    code = models.UUIDField(default=uuid4, unique=True, editable=False)
    site = models.ForeignKey("sites.Site", on_delete=models.PROTECT, related_name="tablets")
    name = models.CharField(max_length=60)
    public_key = models.TextField(unique=True)
    enrolled_at = models.DateTimeField()
    enrolled_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+"
    )
    revoked_at = models.DateTimeField(null=True, blank=True)
    revoked_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    revoked_why = models.CharField(max_length=240, blank=True)
    seen_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ("name", "pk")

    def __str__(self) -> str:
        return self.name


class Epoch(models.Model):
    """A name that this database had; the newest counts. A restored one gets another."""

    code = models.UUIDField(default=uuid4, unique=True, editable=False)
    began_at = models.DateTimeField()
    reason = models.CharField(max_length=240)

    class Meta:
        ordering = ("pk",)

    def __str__(self) -> str:
        return str(self.code)
