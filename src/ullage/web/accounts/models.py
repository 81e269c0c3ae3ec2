"""The user model, ours from the first day."""

from django.contrib.auth.models import AbstractUser
from django.db import models

__all__ = ["User"]


class User(AbstractUser):
    """A person who signs in; what they may do is said by their membership of a site."""

    full_name = models.CharField(max_length=120, blank=True)
    initials = models.CharField(max_length=6, blank=True)

    def __str__(self) -> str:
        return self.full_name or self.username
