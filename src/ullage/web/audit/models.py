"""The audit: one line for each thing that was done, chained by site, never changed or deleted."""

from django.conf import settings
from django.db import models

__all__ = ["AuditLine", "Kind"]


class Kind(models.TextChoices):
    """What was done."""

    SIGN_IN = "sign_in", "Signed in"
    SIGN_IN_FAILED = "sign_in_failed", "Sign-in failed"
    SIGN_OUT = "sign_out", "Signed out"
    LOCK = "lock", "Screen locked"
    UNLOCK = "unlock", "Screen unlocked"
    AGAIN = "again", "Shown again who it is"
    AGAIN_FAILED = "again_failed", "Not shown again who it is"
    SESSION = "session", "Session ended"
    ROLE = "role", "People and roles"
    PASSWORD = "password", "Password"
    FACTOR = "factor", "Passkey or second step"
    READ = "read", "Record read"
    EXPORT = "export", "Exported"
    PRINT = "print", "Printed"
    VERIFY = "verify", "Verified"
    BACKUP = "backup", "Backup or restore"
    SETTINGS = "settings", "Settings"


class AuditLine(models.Model):
    """One thing that was done; ``text`` is the fixed text that ``digest`` is taken over.

    Without a site: a sign-in under a name that nobody here has. ``about`` is the code or address
    of the thing, ``name`` how the person was called then.
    """

    append_only = True

    site = models.ForeignKey("sites.Site", on_delete=models.PROTECT, null=True, related_name="+")
    number = models.PositiveBigIntegerField()
    at = models.DateTimeField()
    kind = models.CharField(max_length=16, choices=Kind.choices)
    person = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, related_name="+"
    )
    name = models.CharField(max_length=300, blank=True)
    said = models.CharField(max_length=400)
    about = models.CharField(max_length=200, blank=True)
    address = models.CharField(max_length=64, blank=True)
    device = models.CharField(max_length=80, blank=True)
    text = models.TextField()
    digest = models.CharField(max_length=64)

    class Meta:
        ordering = ("-number",)
        indexes = (
            models.Index(fields=["site", "-at"]),
            models.Index(fields=["site", "kind", "-at"]),
        )
        constraints = (
            models.UniqueConstraint(
                fields=["site", "number"],
                name="one_audit_line_of_a_number_per_site",
            ),
            models.UniqueConstraint(
                fields=["number"],
                condition=models.Q(site__isnull=True),
                name="one_audit_line_of_a_number_without_site",
            ),
        )

    def __str__(self) -> str:
        return f"{self.at:%Y-%m-%d %H:%M} {self.kind}: {self.said}"
