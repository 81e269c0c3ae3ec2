"""The list of what is due, with reasons."""

from urllib.parse import urlencode

from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET

from ullage.answers.equipment import PART_KINDS
from ullage.answers.service import MACHINE, TASKS, When
from ullage.web.service.selectors import DueAsked, due_list, limit_at, site_today
from ullage.web.shared.access import at_site
from ullage.web.shared.http import SiteRequest

__all__ = ["listed"]

_SORTS = (("due", "By day"), ("machine", "By machine"), ("kind", "By kind"))
_WHEN = (
    (When.OVERDUE, "Overdue"),
    (When.SOON, "Due within a month"),
    (When.UNKNOWN, "Nothing on record"),
    (When.LATER, "Later"),
)


@require_GET
@at_site("look")
def listed(request: SiteRequest) -> HttpResponse:
    """What is due at the site, overdue first; filtered and sorted as asked."""
    asked = _asked(request)
    found = due_list(request.site, asked, site_today(request.site))
    kept = {name: getattr(asked, name) for name in ("when", "thing", "task", "machine", "sort")}
    context = {
        "list": found,
        "asked": asked,
        "whens": [(one.value, words, found.counts[one.value]) for one, words in _WHEN],
        "things": [(MACHINE, "Whole machines")]
        + [(one.key, one.plural) for one in PART_KINDS.values()],
        "tasks": [(one.key, one.name) for one in TASKS.values()],
        "sorts": _SORTS,
        "kept_query": urlencode({name: value for name, value in kept.items() if value}),
        "has_limit": limit_at(request.site) is not None,
    }
    return render(request, "service/due.html", context)


def _asked(request: SiteRequest) -> DueAsked:
    """The filters of the address; what is none of them is left out."""
    given = request.GET.get
    page = given("page", "1")
    return DueAsked(
        when=_one_of(given("when", ""), [one.value for one in When]),
        thing=_one_of(given("thing", ""), [MACHINE, *PART_KINDS]),
        task=_one_of(given("task", ""), list(TASKS)),
        machine=given("machine", "")[:40],
        sort=_one_of(given("sort", ""), [key for key, _ in _SORTS]) or "due",
        page=int(page) if page.isascii() and page.isdigit() and len(page) < 7 else 1,
    )


def _one_of(given: str, known: list[str]) -> str:
    return given if given in known else ""
