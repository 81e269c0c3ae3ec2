"""The user model, ours from the first day, the first run, sittings, proofs and wrong tries."""

from typing import Any, ClassVar
from uuid import uuid4

from django.contrib.auth.models import AbstractUser, UserManager
from django.db import models

from ullage.web.accounts.passwords import LONG_ENOUGH_ALONE, one_form

__all__ = ["FirstRunCode", "Proof", "Sitting", "Tries", "User"]


class _People(UserManager["User"]):
    """Accounts whose passwords are kept in one form of their letters."""

    def create_user(
        self,
        username: str,
        email: str | None = None,
        password: str | None = None,
        **extra_fields: Any,
    ) -> "User":
        """Make an account."""
        user = super().create_user(username, email, None, **extra_fields)
        user.set_password(password)
        user.save(using=self._db, update_fields=["password", "password_is_short"])
        return user


class User(AbstractUser):
    """A person who signs in; what they may do is said by their membership of a site.

    ``one_time_until`` is set while the password is one that a lead handed out, and
    ``password_is_short`` while it is too short to stand alone, without a second factor.
    """

    full_name = models.CharField(max_length=120, blank=True)
    initials = models.CharField(max_length=6, blank=True)
    one_time_until = models.DateTimeField(null=True, blank=True)
    password_is_short = models.BooleanField(default=False)

    objects = _People()  # type: ignore[misc]  # the stubs want the manager of the parent

    REQUIRED_FIELDS: ClassVar[list[str]] = []

    def __str__(self) -> str:
        return self.full_name or self.username

    def set_password(self, raw_password: str | None) -> None:
        """Keep a password; the same letters typed on another device are the same password."""
        typed = None if raw_password is None else one_form(raw_password)
        self.password_is_short = typed is not None and len(typed) < LONG_ENOUGH_ALONE
        super().set_password(typed)

    def check_password(self, raw_password: str | None) -> bool:
        """Say whether this is the password."""
        return super().check_password(None if raw_password is None else one_form(raw_password))


class FirstRunCode(models.Model):
    """The code that the terminal shows; kept as a hash, void after too many wrong tries."""

    code_hash = models.CharField(max_length=128)
    wrong_tries = models.PositiveIntegerField(default=0)
    made_at = models.DateTimeField(auto_now_add=True)

    def __str__(self) -> str:
        return f"code of {self.made_at:%Y-%m-%d %H:%M}"


class Tries(models.Model):
    """Tries at one secret that did not succeed; ``key`` is a digest, so no name stands here."""

    key = models.CharField(max_length=64, unique=True)
    kind = models.CharField(max_length=12)
    person = models.ForeignKey("User", on_delete=models.CASCADE, null=True, related_name="+")
    count = models.PositiveIntegerField(default=0)
    last_at = models.DateTimeField()
    until = models.DateTimeField(null=True, blank=True)

    def __str__(self) -> str:
        return f"{self.kind}: {self.count}"


class Sitting(models.Model):
    """One person at one device from sign-in to sign-out: when it was touched, whether it is locked.

    It stands in a row of its own and not in the session, because a request that began before the
    lock writes its session after it. ``held`` is what was sent when the screen was locked.
    """

    code = models.UUIDField(default=uuid4, unique=True, editable=False)
    user = models.ForeignKey("User", on_delete=models.CASCADE, related_name="sittings")
    session_key = models.CharField(max_length=40, blank=True)
    device = models.CharField(max_length=80, blank=True)
    address = models.CharField(max_length=64, blank=True)
    began_at = models.DateTimeField()
    touched_at = models.DateTimeField()
    locked_at = models.DateTimeField(null=True, blank=True)
    ended_at = models.DateTimeField(null=True, blank=True)
    pin_hash = models.CharField(max_length=128, blank=True)
    pin_until = models.DateTimeField(null=True, blank=True)
    held = models.JSONField(null=True, blank=True)

    class Meta:
        ordering = ("-touched_at", "-pk")
        indexes = (models.Index(fields=["user", "ended_at"]),)

    def __str__(self) -> str:
        return f"{self.user}: {self.device}"


class Proof(models.Model):
    """That a person showed again who they are, for one purpose; short-lived, taken once."""

    digest = models.CharField(max_length=64, unique=True)
    user = models.ForeignKey("User", on_delete=models.CASCADE, related_name="+")
    sitting = models.ForeignKey("Sitting", on_delete=models.CASCADE, related_name="+")
    purpose = models.CharField(max_length=300)
    method = models.CharField(max_length=12)
    made_at = models.DateTimeField()
    until = models.DateTimeField()
    taken_at = models.DateTimeField(null=True, blank=True)

    def __str__(self) -> str:
        return f"{self.user} by {self.method}: {self.purpose}"
