"""Pages of a site: more, the choice of site, settings, rooms."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_POST

from ullage.web.shared.access import SITE_IN_SESSION, at_site
from ullage.web.shared.http import SiteRequest

__all__ = ["choose", "more"]


@require_GET
@at_site("look")
def more(request: SiteRequest) -> HttpResponse:
    """Everything that has no tab of its own."""
    return render(request, "sites/more.html")


@require_POST
@at_site("look")
def choose(request: SiteRequest) -> HttpResponse:
    """Go over to another site of mine; a site I do not belong to changes nothing."""
    asked = request.POST.get("site", "")
    found = next((one for one in request.memberships if str(one.site.code) == asked), None)
    if found is None:
        messages.error(request, "You do not belong to that site.")
        return redirect("sites:more")
    request.session[SITE_IN_SESSION] = found.site_id
    messages.success(request, f"You are now at {found.site.name}.")
    return redirect("/")
