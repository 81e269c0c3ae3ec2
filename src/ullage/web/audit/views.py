"""Pages of the audit, for those who manage a site: its lines, a table, the check of the chain."""

import csv

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_POST

from ullage.answers.record.fixed import utc_text
from ullage.web.audit.forms import WantedForm
from ullage.web.audit.selectors import breaks_of, lines_of, people_at
from ullage.web.audit.services import Kind, audit
from ullage.web.shared.access import at_site
from ullage.web.shared.http import SiteRequest

__all__ = ["as_csv", "listed", "verify"]

_ON_A_PAGE = 100
#: How a cell begins that a table program would take for a formula.
_FORMULA = ("=", "+", "-", "@", "\t", "\r")
_COLUMNS = ("number", "at", "kind", "name", "said", "about", "address", "device", "text", "digest")


def _asked(request: SiteRequest) -> WantedForm:
    return WantedForm(request.GET, people=people_at(request.site))


@require_GET
@at_site("oversee")
def listed(request: SiteRequest) -> HttpResponse:
    """Who did what and when; the newest first."""
    form, known = _asked(request), {}
    if form.is_valid():
        pages = Paginator(lines_of(request.site, form.wanted()), _ON_A_PAGE)
        asked = request.GET.copy()
        asked.pop("page", None)
        known = {"lines": pages.get_page(request.GET.get("page")), "asked": asked.urlencode()}
    status = 422 if form.errors else 200
    return render(request, "audit/list.html", {"form": form, **known}, status=status)


@require_GET
@at_site("oversee")
def as_csv(request: SiteRequest) -> HttpResponse:
    """The lines as a table that other programs open; handing it out is a line itself."""
    form = _asked(request)
    if not form.is_valid():
        return render(request, "audit/list.html", {"form": form}, status=422)
    lines = list(lines_of(request.site, form.wanted()))
    audit(request, Kind.EXPORT, f"The audit as a table: {len(lines)} lines.")
    response = HttpResponse(content_type="text/csv; charset=utf-8")
    day = timezone.localdate().isoformat()
    response["Content-Disposition"] = f'attachment; filename="audit-{day}.csv"'
    table = csv.writer(response)
    table.writerow(_COLUMNS)
    for line in lines:
        row = {name: getattr(line, name) for name in _COLUMNS} | {"at": utc_text(line.at)}
        table.writerow([_cell(str(value)) for value in row.values()])
    return response


def _cell(text: str) -> str:
    """A cell that no table program takes for a formula."""
    return f"'{text}" if text.startswith(_FORMULA) else text


@require_POST
@at_site("oversee")
def verify(request: SiteRequest) -> HttpResponse:
    """Check that no line of this site was changed, taken out or put in between."""
    found = [*breaks_of(request.site), *(f"Without a site: {one}" for one in breaks_of(None))]
    said = found[0] if found else "Every line fits the one before it."
    audit(request, Kind.VERIFY, f"The audit: {said}")
    if found:
        messages.error(request, f"{len(found)} places do not hold. The first: {said}")
    else:
        messages.success(request, said)
    return redirect("audit:list")
