"""Two plans of one case side by side."""

from urllib.parse import urlencode

from django.http import HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_GET

from ullage.web.days.forms_case import OtherForm
from ullage.web.days.selectors import case_panel, day_things, pairs_of
from ullage.web.days.views.plan_case import typed_now
from ullage.web.shared.access import at_site
from ullage.web.shared.http import SiteRequest

__all__ = ["compare"]


@require_GET
@at_site("operate")
def compare(request: SiteRequest) -> HttpResponse:
    """The case as it is typed, and the same with something changed."""
    form, day, found = typed_now(request)
    other = OtherForm(request.GET)
    things = day_things(request.site, day, timezone.now(), without=found).plan
    said = form.said()
    first = case_panel(request.site, said, things)
    second = None
    if other.is_valid() and any(other.cleaned_data.values()):
        second = case_panel(request.site, other.changed(said), things)
    kept = [
        (name, value)
        for name, value in request.GET.items()
        if not name.startswith("other_") and name != "csrfmiddlewaretoken"
    ]
    context = {
        "form": other,
        "first": first,
        "second": second,
        "pairs": pairs_of(first, second) if second else [],
        "changes": other.words(said) if second else [],
        "kept": kept,
        "back": urlencode(kept),
        "case": found,
        "day": day,
    }
    return render(request, "days/compare.html", context)
