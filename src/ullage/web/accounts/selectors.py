"""Who is who."""

from ullage.web.accounts.models import User

__all__ = ["User"]
