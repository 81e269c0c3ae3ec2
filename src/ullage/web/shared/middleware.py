"""What stands around every request."""

from collections.abc import Callable
from http import HTTPStatus

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone

__all__ = ["in_a_sentence", "own_clock"]


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


def in_a_sentence(
    get_response: Callable[[HttpRequest], HttpResponse],
) -> Callable[[HttpRequest], HttpResponse]:
    """A step that is opened as if it were a page says so; else the browser shows an empty page."""

    def asked(request: HttpRequest) -> HttpResponse:
        response = get_response(request)
        if response.status_code != HTTPStatus.METHOD_NOT_ALLOWED or request.method != "GET":
            return response
        if response.streaming or response.content:
            return response
        page = render(request, "405.html", status=HTTPStatus.METHOD_NOT_ALLOWED)
        page["Allow"] = response.get("Allow", "")
        return page

    return asked
