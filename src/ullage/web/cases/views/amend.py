"""Every entry of a record, and the correction of one."""

from uuid import UUID

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_http_methods

from ullage.answers.record.standing import Standing
from ullage.answers.record.things import EntryText
from ullage.core.errors import RuleBroken
from ullage.web.cases.forms.amend import AmendForm
from ullage.web.cases.selectors import Life, life_of
from ullage.web.cases.services import write_amendment
from ullage.web.cases.views.found import found_record, running_url
from ullage.web.records.services import said_read
from ullage.web.shared.access import at_site
from ullage.web.shared.http import SiteRequest

__all__ = ["amend", "entries"]

_ON_A_PAGE = 150


@require_GET
@at_site("look")
def entries(request: SiteRequest, code: UUID) -> HttpResponse:
    """Every entry as it stands, the latest first; late, corrected and withdrawn ones look so."""
    record = found_record(request, code)
    said_read(request, record)
    life = life_of(record)
    pages = Paginator(life.standing.entries[::-1], _ON_A_PAGE)
    context = {
        "record": record,
        "life": life,
        "page": pages.get_page(request.GET.get("page")),
        "running_url": running_url(record),
    }
    return render(request, "cases/entries.html", context)


@require_http_methods(["GET", "POST"])
@at_site("look")
def amend(request: SiteRequest, code: UUID, entry: UUID) -> HttpResponse:
    """Correct an entry: what it was stands beside what it should have been."""
    record = found_record(request, code, "operate")
    life = life_of(record)
    standing = _standing(life, str(entry))
    form = AmendForm(
        request.POST if request.method == "POST" else None, entry=standing.entry, site=record.site
    )
    if request.method == "POST" and form.is_valid():
        try:
            write_amendment(record=record, said=form.made(), by=request.user)
        except RuleBroken as refusal:
            form.add_error(None, str(refusal))
        else:
            messages.success(request, "Corrected. What was written first stays readable.")
            return redirect("cases:entries", code=code)
    context = {"record": record, "life": life, "one": standing, "form": form}
    return render(request, "cases/amend.html", context, status=422 if form.errors else 200)


def _standing(life: Life, code: str) -> Standing:
    """The entry with this id that an amendment would be of; 404 where there is none."""
    lines = (one for one in life.lines if isinstance(one, EntryText) and one.id == code)
    first = next(lines, None)
    if first is None:
        raise Http404
    return next(one for one in life.standing.entries if one.entry.order == first.order)
