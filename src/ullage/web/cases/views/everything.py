"""All records of a site, found by day, animal, species, protocol, state or person."""

from urllib.parse import urlencode

from django.core.paginator import Paginator
from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET

from ullage.web.cases.forms.find import FindForm
from ullage.web.cases.selectors import Looked, records_found, waiting_count
from ullage.web.shared.access import at_site
from ullage.web.shared.http import SiteRequest

__all__ = ["everything"]

#: What was looked for stands on one page, so that all of it can be chosen; all records do not.
_ON_A_PAGE, _FOUND_ON_A_PAGE = 40, 200


@require_GET
@at_site("look")
def everything(request: SiteRequest) -> HttpResponse:
    """Every record of the site, the latest first."""
    form = FindForm(request.GET or None, site=request.site)
    looked = form.wanted() if form.is_bound and form.is_valid() else Looked()
    found = records_found(request.site, looked)
    is_asked = not looked.is_nothing
    pages = Paginator(found, _FOUND_ON_A_PAGE if is_asked else _ON_A_PAGE)
    context = {
        "form": form,
        "page": pages.get_page(request.GET.get("page")),
        "asked": urlencode({name: one for name, one in request.GET.items() if name != "page"}),
        "is_asked": is_asked,
        "waits": waiting_count(request.site) if request.may("manage") else 0,
    }
    return render(request, "cases/all.html", context, status=422 if form.errors else 200)
