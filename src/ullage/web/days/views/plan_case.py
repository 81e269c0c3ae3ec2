"""Plan a case: what people know on one side, the answers beside it."""

from datetime import date, time
from typing import Any
from uuid import UUID, uuid4
from zoneinfo import ZoneInfo

from django.contrib import messages
from django.http import HttpResponse, HttpResponseRedirect, QueryDict
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods
from django.views.decorators.vary import vary_on_headers

from ullage.answers.case_things import Changes
from ullage.answers.words import minutes_text
from ullage.core.errors import RuleBroken, UllageError
from ullage.web.days.forms_case import PlanForm
from ullage.web.days.selectors import (
    CasePanel,
    PlannedCase,
    case_events,
    case_for,
    case_input,
    case_panel,
    changes_of,
    day_of,
    day_things,
    today_at,
)
from ullage.web.days.selectors.fit import unfit_for
from ullage.web.days.services import case_add, case_change, with_flows
from ullage.web.machines.selectors import machines_of
from ullage.web.shared.access import at_site, enter
from ullage.web.shared.bars import Level, level_of
from ullage.web.shared.http import SiteRequest, wants_part

__all__ = ["answers", "case", "changes", "new"]


@require_http_methods(["GET", "POST"])
@at_site("operate")
def new(request: SiteRequest, day: date) -> HttpResponse:
    """Plan a case that is not in the plan of the day yet."""
    form = _form(request, day, {**_carried(request), "code": uuid4()})
    if request.method == "POST" and form.is_valid():
        try:
            made = case_add(
                site=request.site,
                facts=with_flows(request.site, form.facts(), form.said()),
                by=request.user,
            )
        except RuleBroken as refusal:
            form.refuse(str(refusal))
        else:
            messages.success(request, f"{made} is in the plan.")
            return _to_plan(made)
    return _page(request, form, day)


@require_http_methods(["GET", "POST"])
@at_site("operate")
def case(request: SiteRequest, code: UUID) -> HttpResponse:
    """Plan a case that is in the plan of a day; what it was before stays readable."""
    found = case_for(request.user, code)
    enter(request, found.site, "operate")
    day = day_of(request.site, found.starts_at)
    form = _form(request, day, PlanForm.typed_again(found, _starts(found)))
    if request.method == "POST" and form.is_valid():
        try:
            case_change(
                case=found,
                facts=with_flows(request.site, form.facts(), form.said()),
                by=request.user,
            )
        except RuleBroken as refusal:
            form.refuse(str(refusal))
        else:
            messages.success(request, f"{found} is changed.")
            return _to_plan(found)
    return _page(request, form, day, found)


@require_GET
@at_site("operate")
def answers(request: SiteRequest) -> HttpResponse:
    """The answers to what is typed at this moment; nothing is kept."""
    form, day, found = typed_now(request)
    context = {**panel_context(request, form, day, found), "is_part": True}
    return render(request, "days/plan_panel.html", context)


@require_GET
@at_site("operate")
@vary_on_headers("HX-Request")
def changes(request: SiteRequest) -> HttpResponse:
    """What another flow, dial or system would do to what is typed at this moment."""
    form, day, found = typed_now(request)
    said, refused = form.said(), ""
    shown: tuple[Changes, ...] = ()
    try:
        shown = changes_of(case_input(request.site, said))
    except UllageError as refusal:
        refused = str(refusal)
    context = {
        "changes": shown,
        "refused": refused,
        "name": said.name,
        "case": found,
        "day": day,
        "back": request.GET.urlencode(),
    }
    template = "days/changes_part.html" if wants_part(request) else "days/changes.html"
    return render(request, template, context)


def typed_now(request: SiteRequest) -> tuple[PlanForm, date, PlannedCase | None]:
    """The form in the address, its day, and the case that it is about."""
    asked = request.GET
    found = None
    if asked.get("case"):
        found = _case_asked(request, asked["case"])
    day = day_of(request.site, found.starts_at) if found else _day_asked(request)
    form = _made(request, asked, day, {})
    form.is_valid()
    return form, day, found


def _carried(request: SiteRequest) -> dict[str, str]:
    """What was typed before somebody went to compare and came back."""
    if request.method != "GET":
        return {}
    return {name: str(one) for name, one in request.GET.items() if _is_asked(name, one)}


def _case_asked(request: SiteRequest, code: str) -> PlannedCase | None:
    try:
        found = case_for(request.user, UUID(code))
    except ValueError:
        return None
    enter(request, found.site, "operate")
    return found


def _day_asked(request: SiteRequest) -> date:
    try:
        found = date.fromisoformat(request.GET.get("day", ""))
    except ValueError:
        return today_at(request.site)
    return found if 1900 <= found.year < 2200 else today_at(request.site)


def _starts(found: PlannedCase) -> time:
    return found.starts_at.astimezone(ZoneInfo(found.site.time_zone)).time()


def _form(request: SiteRequest, day: date, known: dict[str, Any]) -> PlanForm:
    """The form as typed; a weight that was meant replaces the one that slipped."""
    return _made(request, request.POST if request.method == "POST" else None, day, known)


def _made(
    request: SiteRequest, data: QueryDict | None, day: date, known: dict[str, Any]
) -> PlanForm:
    typed = None
    if data is not None:
        typed = data.copy()
        meant = typed.get("weight_meant")
        if meant:
            typed["weight_kg"] = meant
    machines = machines_of(request.site)
    return PlanForm(typed, site=request.site, machines=machines, day=day, initial=known)


def _page(
    request: SiteRequest, form: PlanForm, day: date, found: PlannedCase | None = None
) -> HttpResponse:
    context = {
        **panel_context(request, form, day, found),
        "events": case_events(found) if found else [],
        "unfit": unfit_for(found, timezone.now()) if found else None,
        "is_part": False,
    }
    return render(request, "days/plan_case.html", context, status=422 if form.errors else 200)


def panel_context(
    request: SiteRequest, form: PlanForm, day: date, found: PlannedCase | None
) -> dict[str, Any]:
    """What the page and its answers show; a form that was not sent speaks by its first values."""
    read = form if form.is_bound else _as_typed(request, form, day)
    panel = _panel(request, read, day, found)
    query = QueryDict(mutable=True)
    query.update({name: value for name, value in read.data.items() if _is_asked(name, value)})
    query["day"] = day.isoformat()
    if found is not None:
        query["case"] = str(found.code)
    return {
        "form": form,
        "asked": read,
        "panel": panel,
        "supply_bar": supply_bar(panel),
        "not_understood": read.not_understood,
        "case": found,
        "day": day,
        "query": query.urlencode(),
        "now": timezone.now(),
    }


def supply_bar(panel: CasePanel) -> Level | None:
    """How long the oxygen lasts as a bar, with a flag for what the case needs."""
    if panel.supply is None or panel.supply.need_min is None:
        return None
    answer, need = panel.supply.answer, panel.supply.need_min
    full = max(answer.high or 0.0, answer.value or 0.0, need)
    words = f"Oxygen lasts {answer.text}; {panel.name} needs {minutes_text(need)}"
    return level_of(
        answer,
        full,
        words,
        need=need,
        need_text=f"{panel.name} needs {minutes_text(need)}",
        size="head",
        axis=("0", minutes_text(full / 2), minutes_text(full)),
    )


def _is_asked(name: str, value: Any) -> bool:
    return value not in ("", None) and name not in {"csrfmiddlewaretoken", "day", "case", "code"}


def _as_typed(request: SiteRequest, form: PlanForm, day: date) -> PlanForm:
    """The first values of a form as if somebody had typed them."""
    typed = QueryDict(mutable=True)
    for bound in form:
        value = bound.value()
        if value not in (None, "", False):
            typed[bound.html_name] = "on" if value is True else str(value)
    read = _made(request, typed, day, {})
    read.is_valid()
    return read


def _panel(request: SiteRequest, form: PlanForm, day: date, found: PlannedCase | None) -> CasePanel:
    things = day_things(request.site, day, timezone.now(), without=found)
    return case_panel(request.site, form.said(), things.plan)


def _to_plan(found: PlannedCase) -> HttpResponseRedirect:
    return HttpResponseRedirect(reverse("days:plan_case", args=[found.code]))
