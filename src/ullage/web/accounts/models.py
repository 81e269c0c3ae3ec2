"""The user model, ours from the first day, and the code of the first run."""

from typing import ClassVar

from django.contrib.auth.models import AbstractUser
from django.db import models

__all__ = ["FirstRunCode", "User"]


class User(AbstractUser):
    """A person who signs in; what they may do is said by their membership of a site.

    ``one_time_until`` is set while the password is one that a lead handed out.
    """

    full_name = models.CharField(max_length=120, blank=True)
    initials = models.CharField(max_length=6, blank=True)
    one_time_until = models.DateTimeField(null=True, blank=True)

    REQUIRED_FIELDS: ClassVar[list[str]] = []

    def __str__(self) -> str:
        return self.full_name or self.username


class FirstRunCode(models.Model):
    """The code that the terminal shows; kept as a hash, void after too many wrong tries."""

    code_hash = models.CharField(max_length=128)
    wrong_tries = models.PositiveIntegerField(default=0)
    made_at = models.DateTimeField(auto_now_add=True)

    def __str__(self) -> str:
        return f"code of {self.made_at:%Y-%m-%d %H:%M}"
