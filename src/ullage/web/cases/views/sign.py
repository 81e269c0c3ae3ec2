"""A person signs a record: asked again who they are, for what the page says."""

from typing import Any, cast
from uuid import UUID

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from ullage.answers.record.things import Meaning
from ullage.core.errors import RuleBroken
from ullage.web.accounts.again import ProofForm
from ullage.web.cases.forms.amend import SignForm
from ullage.web.cases.selectors import life_of
from ullage.web.cases.services import Shown, sign_purpose, sign_record
from ullage.web.cases.views.found import found_record
from ullage.web.shared.access import at_site
from ullage.web.shared.http import SiteRequest

__all__ = ["sign"]


@require_http_methods(["GET", "POST"])
@at_site("look")
def sign(request: SiteRequest, code: UUID) -> HttpResponse:
    """Sign a record as it stands."""
    record = found_record(request, code, "operate")
    data = request.POST if request.method == "POST" else None
    form = SignForm(data, initial={"count": record.count})
    purpose = f"Sign record {record.number} of {record.name}"
    if form.is_bound and form.is_valid():
        meaning = Meaning(form.cleaned_data["meaning"])
        purpose = sign_purpose(record, meaning, form.cleaned_data["count"])
    proof = ProofForm(data if form.is_valid() else None, request=request, purpose=purpose)
    if form.is_valid() and proof.is_valid():
        try:
            sign_record(
                record=record,
                by=request.user,
                meaning=meaning,
                count=form.cleaned_data["count"],
                shown=Shown(code=proof.proof(), sitting=cast("Any", request).sitting),
            )
        except RuleBroken as refusal:
            form.add_error(None, str(refusal))
        else:
            messages.success(request, f"Signed: {meaning.value}.")
            return redirect("cases:about", code=code)
    context = {"record": record, "life": life_of(record), "form": form, "proof": proof}
    bad = bool(form.errors or proof.errors)
    return render(request, "cases/sign.html", context, status=422 if bad else 200)
