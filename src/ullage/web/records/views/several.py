"""Several records that were chosen: a day, a study; in one form, as a section, or as one file."""

from collections.abc import Sequence
from uuid import UUID
from zoneinfo import ZoneInfo

from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_POST

from ullage.answers.record.animal_table import cases_of
from ullage.answers.record.methods import methods_text
from ullage.core.errors import RuleBroken
from ullage.web.audit.services import Kind, audit
from ullage.web.cases.selectors import Record, lines_of, records_of
from ullage.web.records.forms import GIVEN_AS, ChosenForm
from ullage.web.records.selectors import FORMS, RunKind, export_of
from ullage.web.records.services import run_ask, said_of
from ullage.web.records.views.record import found, handed_out
from ullage.web.shared.access import at_site
from ullage.web.shared.http import SiteRequest

__all__ = ["methods", "several"]


@require_POST
@at_site("operate")
def several(request: SiteRequest) -> HttpResponse:
    """Records that were chosen from the list, in the form that was asked for."""
    codes = [str(one) for one in records_of(request.site).values_list("code", flat=True)]
    form = ChosenForm(request.POST, codes=codes)
    if form.is_valid():
        wanted = form.cleaned_data["record"]
        rows = records_of(request.site).select_related("site").filter(code__in=wanted)
        records = list(rows.order_by("opened_at", "pk"))
        try:
            return _given(request, records, form.cleaned_data["given_as"])
        except RuleBroken as refusal:
            form.add_error(None, str(refusal))
    context = {"form": form, "choices": GIVEN_AS}
    return render(request, "records/several.html", context, status=422)


def _given(request: SiteRequest, records: Sequence[Record], given_as: str) -> HttpResponse:
    if given_as == "papers":
        run = run_ask(site=request.site, kind=RunKind.PAPERS, records=records, by=request.user)
        for one in records:
            said_of(request, Kind.PRINT, one, f"in one file with {len(records) - 1} others.")
        return redirect("records:run", code=run.code)
    label = GIVEN_AS[given_as]
    for one in records:
        said_of(request, Kind.EXPORT, one, f"{label}, with {len(records) - 1} others.")
    if given_as == "methods":
        return _methods(request, records)
    made = export_of(records, given_as)
    audit(request, Kind.EXPORT, f"{FORMS[given_as].label} of {len(records)} records.")
    return handed_out(made)


@require_GET
@at_site("look")
def methods(request: SiteRequest, code: UUID) -> HttpResponse:
    """A methods section of one record."""
    one = found(request, code)
    said_of(request, Kind.EXPORT, one, "Methods section.")
    return _methods(request, [one])


def _methods(request: SiteRequest, records: Sequence[Record]) -> HttpResponse:
    cases = [
        case for one in records for case in cases_of(lines_of(one), ZoneInfo(one.site.time_zone))
    ]
    context = {"records": records, "methods": methods_text(cases), "count": len(cases)}
    return render(request, "records/methods.html", context)
