"""Records read as JSON: which there are at a site, one of them, and its lines."""

from typing import Annotated, Any, cast
from uuid import UUID

from django.http import HttpRequest
from django.utils import timezone
from django.views.decorators.cache import never_cache
from ninja import Field, Router
from ninja.decorators import decorate_view

from ullage.answers import CAUTION_LINE
from ullage.web.api.door import AtSite, Pace
from ullage.web.api.shapes import PROBLEMS, LinesOut, NowOut, RecordOut, RecordsOut
from ullage.web.cases.selectors import (
    Record,
    case_now,
    chain_of,
    facts_of,
    record_for,
    records_of,
)
from ullage.web.records.services import said_read
from ullage.web.shared.http import SiteRequest

__all__ = ["router"]

_MOST_RECORDS = 200
_MOST_LINES = 500

#: A number of rows to pass over.
Counted = Annotated[int, Field(ge=0, le=10_000_000)]

_PACE = Pace("read", "1200/m")

router = Router(auth=AtSite(), throttle=[_PACE], tags=["records"])


@router.get("/", response={200: RecordsOut, **PROBLEMS}, url_name="records", summary="Records")
@decorate_view(never_cache)
def records(
    request: HttpRequest,
    skip: Counted = 0,
    most: Annotated[int, Field(ge=1, le=_MOST_RECORDS)] = 50,
) -> dict[str, Any]:
    """The records of the site where the person stands, the newest first."""
    site = cast("SiteRequest", request).site
    rows = list(records_of(site)[skip : skip + most + 1])
    return {
        "site": site.name,
        "records": [_shown(one, site.name) for one in rows[:most]],
        "more": len(rows) > most,
    }


@router.get(
    "/{code}/", response={200: RecordOut, **PROBLEMS}, url_name="record", summary="One record"
)
@decorate_view(never_cache)
def record(request: HttpRequest, code: UUID) -> dict[str, Any]:
    """What one record is of, as it was said last, and how far it goes."""
    found = _record(request, code)
    return {**_shown(found, found.site.name), "facts": facts_of(found)}


@router.get(
    "/{code}/lines/",
    response={200: LinesOut, **PROBLEMS},
    url_name="lines",
    summary="Lines of a record",
)
@decorate_view(never_cache)
def lines(
    request: HttpRequest,
    code: UUID,
    after: Counted = 0,
    most: Annotated[int, Field(ge=1, le=_MOST_LINES)] = _MOST_LINES,
) -> dict[str, Any]:
    """The lines after an order number, each with its fixed text and fingerprint."""
    found = _record(request, code)
    links = chain_of(found, after, most + 1)
    return {
        "record": found.code,
        "count": found.count,
        "head": found.head,
        "lines": [
            {"order": one.order, "text": one.text, "fingerprint": one.sum} for one in links[:most]
        ],
        "more": len(links) > most,
    }


@router.get(
    "/{code}/now/",
    response={200: NowOut, **PROBLEMS},
    url_name="now",
    summary="A running case now",
)
@decorate_view(never_cache)
def now(request: HttpRequest, code: UUID, animal: str = "") -> dict[str, Any]:
    """What the page of a running case says: what is due, the oxygen left, warnings, last values."""
    found = _record(request, code)
    return {**case_now(found, timezone.now(), animal), "caution": CAUTION_LINE}


def _record(request: HttpRequest, code: UUID) -> Record:
    """The record, for somebody of its site; 404 for anybody else. That it is read is kept."""
    ours = cast("SiteRequest", request)
    found = record_for(ours.user, code)
    said_read(request, found)
    return found


def _shown(record: Record, site: str) -> dict[str, Any]:
    return {
        "code": record.code,
        "number": record.number,
        "name": record.name,
        "species": record.species,
        "machine": record.machine.name,
        "site": site,
        "state": record.state,
        "opened_at": record.opened_at,
        "began_at": record.began_at,
        "closed_at": record.closed_at,
        "count": record.count,
        "head": record.head,
    }
