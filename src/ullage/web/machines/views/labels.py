"""Labels of machines and of parts: which ones, and the sheet to print."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_GET

from ullage.web.machines.selectors import Machine, Part, labelled, machines_of, parts_to_label
from ullage.web.shared.access import at_site
from ullage.web.shared.http import SiteRequest
from ullage.web.shared.labels import Label, choice_of, codes_asked, label_sheet

__all__ = ["choose", "sheet"]


@require_GET
@at_site("look")
def choose(request: SiteRequest) -> HttpResponse:
    """Which machines and parts get a label, and on which paper."""
    parts, left_out = parts_to_label(request.site, codes_asked(request))
    context = {
        **choice_of(request),
        "kind": "Machines",
        "machines": machines_of(request.site),
        "parts": parts,
        "left_out": left_out,
    }
    return render(request, "machines/labels.html", context)


@require_GET
@at_site("look")
def sheet(request: SiteRequest) -> HttpResponse:
    """The sheet as PDF; each label holds the address of its thing at this site."""
    machines, parts = labelled(request.site, codes_asked(request))
    labels = [*map(_of_machine, machines), *map(_of_part, parts)]
    if not labels:
        messages.error(request, "Choose at least one machine or part.")
        return redirect("machines:labels")
    return label_sheet(request, labels, title="Machine labels", name="machine-labels")


def _of_machine(machine: Machine) -> Label:
    return Label(
        path=reverse("machines:machine", kwargs={"code": machine.code}),
        name=machine.name,
        first=machine.system,
        second=machine.room.name if machine.room else "",
    )


def _of_part(part: Part) -> Label:
    return Label(
        path=reverse("machines:part", kwargs={"code": part.code}),
        name=part.name,
        first=part.row.name,
        second=f"serial {part.serial}" if part.serial else "",
    )
