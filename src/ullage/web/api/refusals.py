"""Every refusal as a status and a sentence."""

from typing import Any

from django.core.exceptions import PermissionDenied, RequestDataTooBig
from django.db import InterfaceError, OperationalError
from django.http import Http404, HttpRequest, HttpResponse
from ninja import NinjaAPI
from ninja.errors import HttpError, Throttled, ValidationError

from ullage.core.errors import UllageError

__all__ = ["refusals_add"]

_TOO_MANY = "Too many requests; wait a moment and send again."
_TOO_BIG = "The request is too large; send fewer entries in one."
_NO_JSON = "The request is not JSON that can be read."
_NOT_HERE = "There is nothing here that you may see."
_LATER = "The database does not answer; nothing was lost here, send it again."
_MOST_SAID = 3


def refusals_add(api: NinjaAPI) -> None:
    """Give an interface its sentences."""

    @api.exception_handler(Throttled)
    def too_many(request: HttpRequest, why: Throttled) -> HttpResponse:
        reply = api.create_response(request, {"says": _TOO_MANY}, status=429)
        reply["Retry-After"] = str(why.wait or 1)
        return reply

    def refuse(request: HttpRequest, why: Any) -> HttpResponse:
        status, sentence = _said(why)
        return api.create_response(request, {"says": sentence}, status=status)

    for kind in _REFUSED:
        api.add_exception_handler(kind, refuse)


#: What becomes a sentence; anything else is a fault of ours.
_REFUSED = (
    ValidationError,
    HttpError,
    RequestDataTooBig,
    Http404,
    PermissionDenied,
    UllageError,
    OperationalError,
    InterfaceError,
)


def _said(why: Exception) -> tuple[int, str]:
    """The status and the sentence of a refusal."""
    if isinstance(why, RequestDataTooBig) or isinstance(why.__cause__, RequestDataTooBig):
        return 413, _TOO_BIG
    if isinstance(why, ValidationError):
        found = [f"{_place(one)}: {str(one['msg']).lower()}" for one in why.errors[:_MOST_SAID]]
        return 422, f"The request cannot be read. {'; '.join(found)}."
    if isinstance(why, HttpError):
        return (422, _NO_JSON) if why.status_code == 400 else (why.status_code, str(why))
    if isinstance(why, Http404):
        return 404, _NOT_HERE
    if isinstance(why, OperationalError | InterfaceError):
        return 503, _LATER
    return (403 if isinstance(why, PermissionDenied) else 422), str(why)


def _place(error: dict[str, object]) -> str:
    where = error.get("loc", ())
    named = [str(one) for one in where if one != "body"] if isinstance(where, tuple) else []
    return " ".join(named[-3:]) or "it"
