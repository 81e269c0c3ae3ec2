"""One record: its page, its print, the papers that were kept, its forms, its verification."""

from uuid import UUID

from django.http import Http404, HttpResponse
from django.shortcuts import render
from django.utils.http import content_disposition_header
from django.views.decorators.http import require_GET

from ullage.answers.record.drug_lines import DRUG_LOG_CAUTIONS, drug_lines
from ullage.web.audit.selectors import lines_about
from ullage.web.audit.services import Kind
from ullage.web.cases.selectors import Record, life_of, record_for
from ullage.web.cases.services import head_sign_if_can
from ullage.web.records.selectors import (
    FORMS,
    Made,
    export_of,
    file_name,
    paper_at,
    pdf_of,
    record_page,
    record_verified,
)
from ullage.web.records.services import paper_look, said_of, said_read
from ullage.web.shared.access import at_site, enter
from ullage.web.shared.attachments import attachment_response
from ullage.web.shared.http import SiteRequest

__all__ = ["drugs", "export", "handed_out", "kept", "pdf", "record", "verify"]

#: What leads see on the page of a record of who did something with it.
_READ_BY = (Kind.READ, Kind.PRINT, Kind.EXPORT, Kind.VERIFY)
_SIZES = ("", "a4", "letter")
_MOST_READ_BY = 20


def found(request: SiteRequest, code: UUID, what: str = "look") -> Record:
    """The record with this code; the person goes over to its site, 404 for strangers."""
    one = record_for(request.user, code)
    enter(request, one.site, what)
    return one


def handed_out(made: Made) -> HttpResponse:
    """A file as a download that nobody between keeps."""
    response = HttpResponse(made.content, content_type=made.kind)
    response["Content-Disposition"] = content_disposition_header(True, made.name)
    response["Cache-Control"] = "private, no-store"
    return response


@require_GET
@at_site("look")
def record(request: SiteRequest, code: UUID) -> HttpResponse:
    """Everything that a record holds, to be read."""
    one = found(request, code)
    page = record_page(one)
    said_read(request, one)
    paper_look(record=one, missing=page.papers_missing)
    context = {"record": one, "life": page.life, "page": page, "forms": FORMS}
    if request.may("oversee"):
        lines = lines_about(one.site, str(one.code), _READ_BY)
        context |= {"read_by": lines[:_MOST_READ_BY], "read_count": lines.count()}
    return render(request, "records/record.html", context)


@require_GET
@at_site("look")
def pdf(request: SiteRequest, code: UUID) -> HttpResponse:
    """The record as a PDF as it stands now, on paper of the country or as asked."""
    one = found(request, code)
    size = request.GET.get("size", "")
    if size not in _SIZES:
        raise Http404
    head_sign_if_can(record=one)
    made = Made(name=file_name(one, "pdf"), kind="application/pdf", content=pdf_of(one, None, size))
    said_of(request, Kind.PRINT, one, f"printed at line {one.count}.")
    return handed_out(made)


@require_GET
@at_site("look")
def kept(request: SiteRequest, code: UUID, count: int) -> HttpResponse:
    """A paper as it was kept when the record was closed, amended or signed."""
    one = found(request, code)
    paper = paper_at(one, count)
    if paper is None:
        raise Http404
    said_of(request, Kind.PRINT, one, f"the paper that was kept at line {count}.")
    return attachment_response(paper)


@require_GET
@at_site("look")
def export(request: SiteRequest, code: UUID, form: str) -> HttpResponse:
    """The record in one of the forms in which it is handed out."""
    one = found(request, code, "operate")
    if form not in FORMS:
        raise Http404
    head_sign_if_can(record=one)
    made = export_of([one], form)
    said_of(request, Kind.EXPORT, one, f"{FORMS[form].label}, {len(made.content)} bytes.")
    return handed_out(made)


@require_GET
@at_site("look")
def drugs(request: SiteRequest, code: UUID) -> HttpResponse:
    """Uses of drugs, for the site's own log."""
    one = found(request, code)
    life = life_of(one)
    zone = record_page(one).zone
    late = life.rules.late_after_min
    context = {
        "record": one,
        "life": life,
        "lines": drug_lines(life.lines, zone=zone, late_after_min=late),
        "cautions": DRUG_LOG_CAUTIONS,
    }
    said_read(request, one)
    return render(request, "records/drugs.html", context)


@require_GET
@at_site("look")
def verify(request: SiteRequest, code: UUID) -> HttpResponse:
    """Whether the record is what was written: worked out again now."""
    one = found(request, code)
    answer = record_verified(one)
    said_of(request, Kind.VERIFY, one, answer.sentence)
    context = {"record": one, "life": life_of(one), "answer": answer}
    return render(request, "records/verify.html", context)
