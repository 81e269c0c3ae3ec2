"""The record that a page is about, and where its own page is."""

from uuid import UUID

from django.http import HttpResponse
from django.shortcuts import redirect

from ullage.web.cases.selectors import CaseState, Record, record_for
from ullage.web.shared.access import enter
from ullage.web.shared.http import SiteRequest
from ullage.web.shared.links import link

__all__ = ["found_record", "page_of", "running_url"]


def found_record(request: SiteRequest, code: UUID, what: str = "look") -> Record:
    """The record with this code; the person goes over to its site, 404 for strangers."""
    record = record_for(request.user, code)
    enter(request, record.site, what)
    return record


def running_url(record: Record) -> str:
    """The page on which a case is watched; empty where there is none."""
    return link("cases:running", record.code)


def page_of(record: Record) -> HttpResponse:
    """To the page that is at hand for a record in its state."""
    running = running_url(record)
    if running and record.state == CaseState.RUNNING:
        return redirect(running)
    if record.state == CaseState.RECOVERING:
        return redirect("cases:recovery", code=record.code)
    return redirect("cases:about", code=record.code)
