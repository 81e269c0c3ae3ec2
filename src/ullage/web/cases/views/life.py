"""What a record is of, its animals and its files: at any time of its life."""

from typing import Any
from uuid import UUID, uuid4

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from ullage.core.errors import RuleBroken
from ullage.web.cases.forms.life import ChangeFactsForm, FileForm
from ullage.web.cases.forms.moments import moment_of
from ullage.web.cases.forms.start import AnimalForm
from ullage.web.cases.selectors import CaseState, Record, file_for, life_of
from ullage.web.cases.services import AnimalSaid, animal_join, facts_change, file_keep
from ullage.web.cases.views.found import found_record, page_of, running_url
from ullage.web.cases.views.start import begin_page
from ullage.web.shared.access import at_site, enter
from ullage.web.shared.attachments import attachment_response
from ullage.web.shared.http import SiteRequest

__all__ = ["about", "animal", "attach", "facts", "file"]


@require_GET
@at_site("look")
def about(request: SiteRequest, code: UUID) -> HttpResponse:
    """What a record is of and where it stands; one that is ready may begin from here.

    Of one that is closed there is nothing but to read it: that is the page of the record.
    """
    record = found_record(request, code)
    if record.is_closed:
        return redirect("records:record", code=code)
    if record.state == CaseState.READY:
        return begin_page(request, record)
    return _page(request, record)


def _page(request: SiteRequest, record: Record, status: int = 200, **forms: Any) -> HttpResponse:
    context = {
        "record": record,
        "life": life_of(record),
        "running_url": running_url(record),
        "animal_form": AnimalForm(initial={"code": uuid4()}),
        "file_form": FileForm(),
        **forms,
    }
    return render(request, "cases/about.html", context, status=status)


@require_http_methods(["GET", "POST"])
@at_site("look")
def facts(request: SiteRequest, code: UUID) -> HttpResponse:
    """Say anew what a record is of; what stood before stays readable."""
    record = found_record(request, code, "operate")
    life = life_of(record)
    shown = ChangeFactsForm.shown(dict(life.facts)) | {
        "name": record.name,
        "species": record.species,
    }
    form = ChangeFactsForm(request.POST if request.method == "POST" else None, initial=shown)
    if request.method == "POST" and form.is_valid():
        try:
            facts_change(
                record=record, facts=form.different(life.facts), by=request.user,
                reason=form.cleaned_data["why"],
            )  # fmt: skip
        except RuleBroken as refusal:
            form.add_error(None, str(refusal))
        else:
            messages.success(request, "Kept. What stood before stays readable.")
            return redirect("cases:about", code=code)
    context = {"record": record, "life": life, "form": form}
    return render(request, "cases/facts.html", context, status=422 if form.errors else 200)


@require_POST
@at_site("look")
def animal(request: SiteRequest, code: UUID) -> HttpResponse:
    """One more animal joins a group."""
    record = found_record(request, code, "operate")
    form = AnimalForm(request.POST)
    if form.is_valid():
        typed = form.cleaned_data
        try:
            animal_join(
                record=record,
                animal=AnimalSaid(name=typed["name"], weight=typed["weight"]),
                at=moment_of(typed["at"], record.site),
                by=request.user,
                code=str(typed["code"]),
            )
        except RuleBroken as refusal:
            form.add_error("name", str(refusal))
        else:
            messages.success(request, f"{typed['name']} is in the record.")
            return page_of(record)
    return _page(request, record, 422, animal_form=form)


@require_POST
@at_site("look")
def attach(request: SiteRequest, code: UUID) -> HttpResponse:
    """Keep a picture or a paper with a record; an entry names its fingerprint."""
    record = found_record(request, code, "operate")
    form = FileForm(request.POST, request.FILES)
    if form.is_valid() and form.cleaned_data["file"] is not None:
        try:
            kept = file_keep(record=record, kept=form.cleaned_data["file"], by=request.user)
        except RuleBroken as refusal:
            messages.error(request, str(refusal))
        else:
            messages.success(request, f"{kept.name} is kept with this record.")
    else:
        for sentence in form.errors.get("file", ["Choose a file first."]):
            messages.error(request, str(sentence))
    return redirect("cases:about", code=code)


@require_GET
@at_site("look")
def file(request: SiteRequest, code: UUID) -> HttpResponse:
    """Hand out a file of a record."""
    kept = file_for(request.user, code)
    enter(request, kept.record.site)
    return attachment_response(kept)
