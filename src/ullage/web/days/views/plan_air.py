"""What the case that is typed would do to the air of its room."""

from dataclasses import replace

from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET
from django.views.decorators.vary import vary_on_headers

from ullage.answers import Answer, CaseWaste
from ullage.core.errors import UllageError
from ullage.web.days.selectors import CaseSaid, case_input
from ullage.web.days.selectors.case_plan import plan_of
from ullage.web.days.views.plan_case import typed_now
from ullage.web.exposure.selectors import case_waste_at
from ullage.web.machines.selectors import Machine, machines_of
from ullage.web.shared.access import at_site
from ullage.web.shared.http import SiteRequest, wants_part

__all__ = ["air"]

#: What is told of a gas, in this order; the rest is on the page of the room.
_TOLD = ("day", "peak", "limit", "helps")


@require_GET
@at_site("operate")
@vary_on_headers("HX-Request")
def air(request: SiteRequest) -> HttpResponse:
    """Waste gas of what is typed at this moment; nothing is kept."""
    form, day, found = typed_now(request)
    said = form.said()
    machine = next((one for one in machines_of(request.site) if one.name == said.machine), None)
    waste, refused = _waste(request, said, machine)
    context = {
        "waste": waste,
        "told": _told(waste) if waste else [],
        "refused": refused,
        "machine": machine,
        "name": said.name,
        "case": found,
        "day": day,
        "back": request.GET.urlencode(),
    }
    return render(
        request, "days/air_part.html" if wants_part(request) else "days/air.html", context
    )


def _waste(
    request: SiteRequest, said: CaseSaid, machine: Machine | None
) -> tuple[CaseWaste | None, str]:
    """The waste gas of a case, or why nothing is said."""
    if machine is None:
        return None, "Choose a machine: the air is that of its room."
    try:
        waste = case_waste_at(machine, plan_of(case_input(request.site, said)))
    except UllageError as refusal:
        return None, str(refusal)
    return waste, "" if waste else f"Nobody has said in which room {machine} stands."


def _told(waste: CaseWaste) -> list[Answer]:
    """The answers of each gas; the limits stand side by side on the page of the room."""
    return [
        replace(answers[name], views=())
        for answers in waste.answers.values()
        for name in _TOLD
        if name in answers
    ]
