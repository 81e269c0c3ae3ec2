"""Pages of the catalogue: formulas, one formula, values, what disagrees."""

from itertools import groupby

from django.core.paginator import Paginator
from django.http import Http404, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET
from django.views.decorators.vary import vary_on_headers

from ullage.answers import Answer
from ullage.answers.formulas import formula, formula_result, formulas
from ullage.core.errors import UllageError, UnknownReference
from ullage.reference import conflicts, counts, disagreements, search, sources, value_counts
from ullage.web.catalogue.forms import FormulaForm, SearchForm
from ullage.web.shared.access import at_site
from ullage.web.shared.http import SiteRequest, wants_part

__all__ = ["disagree", "home", "one_formula", "values"]

_PER_PAGE = 40


@require_GET
@at_site("look")
def home(request: SiteRequest) -> HttpResponse:
    """Every formula by group, found by the words of its name and summary."""
    words = request.GET.get("q", "").casefold().split()
    found = [
        one
        for one in formulas()
        if all(
            word in f"{one.name} {one.name.replace('_', ' ')} {one.summary}".casefold()
            for word in words
        )
    ]
    groups = [(name, list(some)) for name, some in groupby(found, key=lambda one: one.group)]
    context = {"groups": groups, "count": len(found), "q": request.GET.get("q", "")}
    return render(request, "catalogue/home.html", context)


@require_GET
@at_site("look")
@vary_on_headers("HX-Request")
def one_formula(request: SiteRequest, name: str) -> HttpResponse:
    """One formula: what it takes, where it comes from, and a form to run it."""
    try:
        asked = formula(name)
    except UnknownReference as refusal:
        raise Http404(str(refusal)) from refusal
    form = FormulaForm(asked, request.GET if request.GET else None)
    answer = _answer(form) if request.GET or not asked.parameters else None
    template = "catalogue/formula.html#work" if wants_part(request) else "catalogue/formula.html"
    status = 422 if form.errors else 200
    return render(
        request,
        template,
        {
            "formula": asked,
            "form": form,
            "answer": answer,
            "from": [(line.what, sources()[line.key].cite) for line in asked.sources],
        },
        status=status,
    )


def _answer(form: FormulaForm) -> Answer | None:
    """The result; what only the formula can refuse becomes a line above the form."""
    if form.fields and not form.is_valid():
        return None
    try:
        return formula_result(form.formula.name, form.given() if form.fields else {})
    except UllageError as refusal:
        form.add_error(None, str(refusal))
        return None


@require_GET
@at_site("look")
@vary_on_headers("HX-Request")
def values(request: SiteRequest) -> HttpResponse:
    """Search all reference values; each row says how it is known and where it stands."""
    form = SearchForm(request.GET)
    asked, only = "", ""
    if form.is_valid():
        asked, only = form.cleaned_data["q"], form.cleaned_data["table"]
    rows = search(asked, only=only or None) if asked or only else ()
    page = Paginator(rows, _PER_PAGE).get_page(request.GET.get("page", 1))
    template = "catalogue/values.html#found" if wants_part(request) else "catalogue/values.html"
    context = {
        "form": form,
        "asked": asked,
        "only": only,
        "page": page,
        "total": len(rows),
        "tables": _held() if not (asked or only) else [],
    }
    return render(request, template, context)


def _held() -> list[tuple[str, int, int]]:
    """Each table with its rows: loaded, and left out."""
    found: dict[str, list[int]] = {}
    for one in (*value_counts(), *counts()):
        kept = found.setdefault(one.table, [0, 0])
        kept[0] += one.loaded
        kept[1] += one.left_out
    return [(name, loaded, left_out) for name, (loaded, left_out) in found.items()]


@require_GET
@at_site("look")
def disagree(request: SiteRequest) -> HttpResponse:
    """Where sources disagree, side by side; where a rule and physics part."""
    asked = request.GET.get("q", "")
    shown = {one.key for one in search(asked, only="conflicts")}
    parted = {one.key for one in search(asked, only="disagreements")}
    context = {
        "q": asked,
        "conflicts": [one for one in conflicts() if one.key in shown],
        "disagreements": [one for one in disagreements() if one.key in parted],
    }
    return render(request, "catalogue/disagree.html", context)
