"""What was sent and not taken: a lead settles it, who sent it sees their own."""

from uuid import UUID

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_http_methods

from ullage.core.errors import RuleBroken
from ullage.web.cases.forms.amend import SettleForm
from ullage.web.cases.selectors import kept_aside_for, kept_aside_of, records_near
from ullage.web.cases.services import Decision, line_sent, settle
from ullage.web.shared.access import at_site, enter
from ullage.web.shared.http import SiteRequest

__all__ = ["not_taken", "settling"]


@require_GET
@at_site("look")
def not_taken(request: SiteRequest) -> HttpResponse:
    """What waits, and what was decided; a lead sees all, others what they wrote or sent."""
    is_lead = request.may("manage")
    rows = kept_aside_of(request.site, None if is_lead else request.user)
    waits = [(one, line_sent(one)) for one in rows if getattr(one, "settled", None) is None]
    done = [one for one in rows if getattr(one, "settled", None) is not None]
    context = {"waits": waits, "done": done[-100:][::-1], "is_lead": is_lead}
    return render(request, "cases/not_taken.html", context)


@require_http_methods(["GET", "POST"])
@at_site("look")
def settling(request: SiteRequest, code: UUID) -> HttpResponse:
    """Decide on one thing that was not taken."""
    kept = kept_aside_for(request.user, code)
    enter(request, kept.site, "manage")
    records = {str(one.code): one for one in records_near(kept)}
    form = SettleForm(
        request.POST if request.method == "POST" else None,
        records=records,
        initial={"into": str(kept.record.code) if kept.record else ""},
    )
    if request.method == "POST" and form.is_valid():
        try:
            decision = Decision(reason=form.cleaned_data["reason"], into=form.chosen())
            settle(kept=kept, decision=decision, by=request.user)
        except RuleBroken as refusal:
            form.add_error(None, str(refusal))
        else:
            messages.success(request, "Settled. What was sent stays readable, word for word.")
            return redirect("cases:not_taken")
    context = {"kept": kept, "line": line_sent(kept), "form": form}
    return render(request, "cases/settling.html", context, status=422 if form.errors else 200)
