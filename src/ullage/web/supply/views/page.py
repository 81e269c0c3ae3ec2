"""The page of one cylinder, as every view that returns to it draws it."""

from typing import Any
from uuid import UUID

from django.http import HttpResponse
from django.shortcuts import render
from django.utils import timezone

from ullage.web.shared.access import enter
from ullage.web.shared.bars import Level
from ullage.web.shared.http import SiteRequest
from ullage.web.supply.forms import SAID_CHOICES, VALVE_CHOICES, MoveForm, ReadingForm
from ullage.web.supply.selectors import (
    Cylinder,
    CylinderPage,
    change_lines,
    changes_that_choose,
    cylinder_for,
    cylinder_page,
    cylinder_thing,
)
from ullage.web.supply.selectors.words import gas_words, kind_words, size_words

__all__ = [
    "context_of",
    "found_cylinder",
    "level_bar_of",
    "reading_form",
    "show_cylinder",
]


def found_cylinder(request: SiteRequest, code: UUID, what: str = "look") -> Cylinder:
    """The cylinder behind a code; 404 for strangers, 403 for small roles."""
    cylinder = cylinder_for(request.user, code)
    enter(request, cylinder.site, what)
    return cylinder


def reading_form(cylinder: Cylinder, data: Any = None) -> ReadingForm:
    """The form for what the gauge or the scale shows; it starts empty."""
    return ReadingForm(data, site=cylinder.site, thing=cylinder_thing(cylinder))


def level_bar_of(found: CylinderPage) -> Level | None:
    """How much is left as a bar from empty to full; none where full is not known."""
    contents, full = found.kept.contents, found.kept.full_l
    if contents is None or full is None or contents.high is None:
        return None
    longest = max(full, contents.high)
    words = (
        f"{contents.number_text or contents.range_text} of {longest:.0f} {contents.unit}, "
        f"likely {contents.range_text}"
    )
    plan, source = found.plan, found.cylinder.source
    alone = source is not None and source.kind == "cylinder"
    needed = plan.needed if plan is not None and alone else None
    return Level(
        full=longest,
        label=words,
        low=contents.low,
        value=contents.value,
        high=contents.high,
        need=needed.value if needed is not None else None,
        need_text=f"today needs {needed.number_text}" if needed is not None else "",
        is_estimate=found.is_old,
        size="head",
        axis=("0", f"{longest / 2:.0f}", f"full, {longest:.0f} {contents.unit}"),
    )


def show_cylinder(
    request: SiteRequest,
    cylinder: Cylinder,
    form: ReadingForm | None = None,
    status: int = 200,
    needle: str = "",
) -> HttpResponse:
    """Draw the page of a cylinder; a form that was refused stays as it was typed."""
    found = cylinder_page(cylinder)
    context = context_of(request, found, form) | {"needle": needle}
    return render(request, "supply/cylinder.html", context, status=status)


def context_of(
    request: SiteRequest, found: CylinderPage, form: ReadingForm | None = None
) -> dict[str, Any]:
    """What the page and its parts need."""
    cylinder = found.cylinder
    saved = request.GET.get("read", "")
    facts = [gas_words(cylinder.gas, cylinder.site), size_words(cylinder)]
    if cylinder.test_due is not None:
        facts.append(f"test due {cylinder.test_due:%B %Y}")
    return {
        "page": found,
        "cylinder": cylinder,
        "form": form or reading_form(cylinder),
        "just_saved": found.reading if saved and _is(found, saved) else None,
        "kind": kind_words(cylinder),
        "facts": " · ".join(facts),
        "bar": level_bar_of(found),
        "scanned_for": changes_that_choose(cylinder),
        "change_lines": change_lines(found.change) if found.change else (),
        "said_choices": SAID_CHOICES,
        "valve_choices": VALVE_CHOICES,
        "move_form": MoveForm(site=cylinder.site, initial={"room": cylinder.room_id or ""}),
        "test_is_over": cylinder.test_due is not None and cylinder.test_due < timezone.localdate(),
    }


def _is(found: CylinderPage, code: str) -> bool:
    return any(one is not None and str(one.code) == code for one in (found.reading, found.asked))
