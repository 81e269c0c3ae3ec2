"""What stands around every request."""

from collections.abc import Callable

from django.http import HttpRequest, HttpResponse
from django.utils import timezone

__all__ = ["own_clock"]


def own_clock(
    get_response: Callable[[HttpRequest], HttpResponse],
) -> Callable[[HttpRequest], HttpResponse]:
    """Each request starts on the server's clock and keeps no site's clock for the next."""

    def asked(request: HttpRequest) -> HttpResponse:
        timezone.deactivate()
        try:
            return get_response(request)
        finally:
            timezone.deactivate()

    return asked
