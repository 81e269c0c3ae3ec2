"""The register of a site, its key, a file that somebody brings, and work in the background."""

from contextlib import suppress
from uuid import UUID

from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods

from ullage.answers.answer import Answer
from ullage.answers.record.signed import fingerprint, public_hex
from ullage.core.errors import RuleBroken
from ullage.web.audit.services import Kind, audit
from ullage.web.cases.services import register_sign
from ullage.web.records.forms import FileToVerifyForm
from ullage.web.records.selectors import (
    Made,
    RunKind,
    file_said,
    heads_of,
    keys_known,
    register_bytes,
    register_of,
    run_for,
    runs_lately,
)
from ullage.web.records.services import run_ask
from ullage.web.records.views.record import handed_out
from ullage.web.shared.access import at_site, enter
from ullage.web.shared.http import SiteRequest

__all__ = ["check_file", "key", "register", "register_file", "run", "run_file"]


@require_http_methods(["GET", "POST"])
@at_site("oversee")
def register(request: SiteRequest) -> HttpResponse:
    """How far every record of the site goes; verifying all of them begins here."""
    if request.method == "POST":
        made = run_ask(site=request.site, kind=RunKind.VERIFY, records=[], by=request.user)
        audit(request, Kind.VERIFY, "The register and every record: begun.")
        return redirect("records:run", code=made.code)
    lines = register_of(request.site)
    context = {
        "heads": heads_of(request.site),
        "count": len(lines),
        "head": lines[-1].sum if lines else "",
        "keys": [fingerprint(public_hex(one)) for one in keys_known()],
        "runs": runs_lately(request.site),
        "now": timezone.now(),
    }
    return render(request, "records/register.html", context)


@require_GET
@at_site("oversee")
def register_file(request: SiteRequest) -> HttpResponse:
    """The register as a file, to be kept elsewhere: a case that is gone shows against it."""
    with suppress(RuleBroken):  # the file says itself which head is signed
        register_sign(site=request.site)
    audit(request, Kind.EXPORT, "The register of the site.")
    name = f"register-{timezone.localdate().isoformat()}.json"
    content = register_bytes(request.site)
    return handed_out(Made(name=name, kind="application/json", content=content))


@require_GET
@at_site("look")
def key(request: SiteRequest) -> HttpResponse:
    """The public keys of this installation, the newest last; for who verifies elsewhere."""
    content = "".join(keys_known()).encode()
    if not content:
        raise Http404
    return handed_out(Made(name="ullage-key.pem", kind="application/x-pem-file", content=content))


@require_http_methods(["GET", "POST"])
@at_site("oversee")
def check_file(request: SiteRequest) -> HttpResponse:
    """Verify a file that somebody brings, and compare it with what stands here."""
    is_sent = request.method == "POST"
    form = FileToVerifyForm(request.POST, request.FILES) if is_sent else FileToVerifyForm()
    said = None
    if is_sent and form.is_valid():
        try:
            said = file_said(request.site, form.cleaned_data["file"])
        except RuleBroken as refusal:
            form.add_error("file", str(refusal))
        else:
            told = said.answer.sentence if said.answer else ""
            about = str(said.record.code) if said.record else ""
            audit(request, Kind.VERIFY, f"A file that was brought: {told}", about)
    context = {"form": form, "said": said, "keys": keys_known()}
    return render(request, "records/check.html", context, status=422 if form.errors else 200)


@require_GET
@at_site("operate")
def run(request: SiteRequest, code: UUID) -> HttpResponse:
    """How far work in the background is; the page asks again while it goes on."""
    one = run_for(request.user, code)
    enter(request, one.site, "oversee" if one.kind == RunKind.VERIFY else "operate")
    answer = Answer.from_dict(one.answer) if one.answer else None
    part = "records/parts/run.html" if request.headers.get("HX-Request") else "records/run.html"
    return render(request, part, {"run": one, "answer": answer})


@require_GET
@at_site("operate")
def run_file(request: SiteRequest, code: UUID) -> HttpResponse:
    """The file that was made."""
    one = run_for(request.user, code)
    enter(request, one.site, "operate")
    if not one.content:
        raise Http404
    audit(request, Kind.EXPORT, f"{one.name}: {one.says}", str(one.code))
    return handed_out(Made(name=one.name, kind="application/zip", content=bytes(one.content)))
