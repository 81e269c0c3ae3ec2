"""Who is who."""

from django.http import Http404

from ullage.web.accounts.models import User

__all__ = ["User", "first_run_is_open", "user_for", "user_named"]


def first_run_is_open() -> bool:
    """Say whether nobody has an account yet."""
    return not User.objects.exists()


def user_named(username: str) -> User | None:
    """The person with this user name, whatever its case."""
    return User.objects.filter(username__iexact=username).first()


def user_for(username: str) -> User:
    """The person with exactly this user name; any other is not there (404)."""
    found = User.objects.filter(username=username).first()
    if found is None:
        raise Http404
    return found
