"""Word to a page that is open that its record has grown: a stream of events, or a look at its head.

A stream asks the database once a second at most, together with every other stream of the same
record in this process. It ends by itself after some minutes; the page then opens a new one, and
whether it may is asked again.
"""

import asyncio
import json
from collections.abc import AsyncIterator
from time import monotonic
from typing import cast
from uuid import UUID

from asgiref.sync import SyncToAsync, sync_to_async
from django.db import connection
from django.http import HttpResponse, JsonResponse, StreamingHttpResponse
from django.views.decorators.http import require_GET

from ullage.web.cases.selectors.memory import count_of
from ullage.web.cases.views.found import found_record
from ullage.web.shared.access import at_site
from ullage.web.shared.http import SiteRequest

__all__ = ["head", "stream"]

_EVERY_S, _BEAT_S, _LONGEST_S = 1.0, 15.0, 300.0

#: When each record was looked at last, and how many lines it had.
_looked: dict[int, tuple[float, int]] = {}
_MOST = 512


@require_GET
@at_site("look")
def head(request: SiteRequest, code: UUID) -> HttpResponse:
    """How many lines the record has now."""
    return JsonResponse({"count": found_record(request, code).count})


@require_GET
@at_site("look")
def stream(request: SiteRequest, code: UUID) -> HttpResponse:
    """Tell of every growth of the record, as it is seen."""
    record = found_record(request, code)
    found = StreamingHttpResponse(_told(record.pk), content_type="text/event-stream")
    found["Cache-Control"] = "no-store"
    found["X-Accel-Buffering"] = "no"
    return cast("HttpResponse", found)


async def _told(pk: int) -> AsyncIterator[str]:
    """One event for each count that is new; a beat where nothing is, so that a cut shows."""
    # What the request took is given back: a stream that waits holds no connection and no thread.
    await sync_to_async(_give_back)()
    _leave_thread()
    began = beat = monotonic()
    told = -1
    yield "retry: 1000\n\n"
    while monotonic() - began < _LONGEST_S:
        count = await _count(pk)
        if count != told:
            told, beat = count, monotonic()
            yield f"event: grown\ndata: {json.dumps({'count': count})}\n\n"
        elif monotonic() - beat >= _BEAT_S:
            beat = monotonic()
            yield ": still here\n\n"
        await asyncio.sleep(_EVERY_S)


def _give_back() -> None:
    connection.close()


def _leave_thread() -> None:
    """End the thread that a request has for itself; what comes after would get another one."""
    context = SyncToAsync.thread_sensitive_context.get(None)
    executor = SyncToAsync.context_to_thread_executor.pop(context, None) if context else None
    if executor is not None:
        executor.shutdown(wait=False)


async def _count(pk: int) -> int:
    """The lines of a record, looked at once a second at most."""
    at, count = _looked.get(pk, (0.0, -1))
    if monotonic() - at < _EVERY_S * 0.9:
        return count
    found = await sync_to_async(_read, thread_sensitive=False)(pk)
    if len(_looked) > _MOST:
        _looked.clear()
    _looked[pk] = (monotonic(), found)
    return found


def _read(pk: int) -> int:
    try:
        return count_of(pk)
    finally:
        connection.close()
