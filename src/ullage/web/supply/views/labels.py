"""Labels of cylinders: which ones, and the sheet to print."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_GET

from ullage.web.shared.access import at_site
from ullage.web.shared.http import SiteRequest
from ullage.web.shared.labels import Label, choice_of, codes_asked, label_sheet
from ullage.web.supply.selectors import (
    Cylinder,
    cylinders_for_labels,
    gas_words,
    labels_list,
    size_words,
)

__all__ = ["choose", "sheet"]


@require_GET
@at_site("look")
def choose(request: SiteRequest) -> HttpResponse:
    """Which cylinders get a label, and on which paper."""
    context = {
        **choice_of(request),
        "kind": "Supplies",
        "cylinders": labels_list(request.site),
    }
    return render(request, "supply/labels.html", context)


@require_GET
@at_site("look")
def sheet(request: SiteRequest) -> HttpResponse:
    """The sheet as PDF; each label holds the address of its cylinder at this site."""
    found = cylinders_for_labels(request.site, codes_asked(request))
    if not found:
        messages.error(request, "Choose at least one cylinder.")
        return redirect("supply:labels")
    labels = [_label(one) for one in found]
    return label_sheet(request, labels, title="Cylinder labels", name="cylinder-labels")


def _label(cylinder: Cylinder) -> Label:
    return Label(
        path=reverse("supply:cylinder", kwargs={"code": cylinder.code}),
        name=cylinder.name,
        first=gas_words(cylinder.gas, cylinder.site),
        second=size_words(cylinder),
    )
