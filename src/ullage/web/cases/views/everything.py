"""All records of a site, found by day, animal, species, protocol, state or person."""

from urllib.parse import urlencode

from django.core.paginator import Paginator
from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET

from ullage.web.cases.forms.find import FindForm
from ullage.web.cases.selectors import records_found, waiting_count
from ullage.web.shared.access import at_site
from ullage.web.shared.http import SiteRequest

__all__ = ["everything"]

_ON_A_PAGE = 40


@require_GET
@at_site("look")
def everything(request: SiteRequest) -> HttpResponse:
    """Every record of the site, the latest first."""
    form = FindForm(request.GET or None, site=request.site)
    wanted = form.wanted() if form.is_bound and form.is_valid() else {}
    found = records_found(request.site, **wanted)
    pages = Paginator(found, _ON_A_PAGE)
    context = {
        "form": form,
        "page": pages.get_page(request.GET.get("page")),
        "asked": urlencode({name: one for name, one in request.GET.items() if name != "page"}),
        "is_asked": any(one not in (None, "") for one in wanted.values()),
        "waits": waiting_count(request.site) if request.may("manage") else 0,
    }
    return render(request, "cases/all.html", context, status=422 if form.errors else 200)
