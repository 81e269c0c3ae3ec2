"""Small things every view needs."""

from django.http import HttpRequest

from ullage.web.accounts.selectors import User

__all__ = ["SignedInRequest", "wants_part"]


class SignedInRequest(HttpRequest):
    """A request behind `login_required`: its user is one of ours."""

    user: User


def wants_part(request: HttpRequest) -> bool:
    """Say whether htmx asks for a part; going back in history needs the whole page."""
    asked = request.headers.get
    return asked("HX-Request") == "true" and asked("HX-History-Restore-Request") != "true"
