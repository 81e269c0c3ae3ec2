"""The due list as a calendar, by private addresses that can be revoked."""

from datetime import timedelta
from uuid import UUID

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from ullage.core.errors import RuleBroken
from ullage.web.service.calendar import calendar_text
from ullage.web.service.forms import AddressForm
from ullage.web.service.selectors import address_by, addresses_of, due_dates, site_today
from ullage.web.service.services import address_make, address_revoke
from ullage.web.shared.access import at_site
from ullage.web.shared.http import SiteRequest

__all__ = ["feed", "listed", "revoke"]

#: How far ahead a calendar looks.
_AHEAD = timedelta(days=400)


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
@at_site("manage")
def listed(request: SiteRequest) -> HttpResponse:
    """The addresses of the site; a new one is shown once."""
    form, made = AddressForm(request.POST or None), ""
    if request.method == "POST" and form.is_valid():
        try:
            _, secret = address_make(
                site=request.site, name=form.cleaned_data["name"], by=request.user
            )
        except RuleBroken as refusal:
            form.add_error("name", str(refusal))
        else:
            path = reverse("service:feed", kwargs={"secret": secret})
            made, form = request.build_absolute_uri(path), AddressForm()
    known = {"form": form, "made": made, "addresses": addresses_of(request.site)}
    return render(request, "service/calendar.html", known, status=422 if form.errors else 200)


@require_POST
@at_site("manage")
def revoke(request: SiteRequest, code: UUID) -> HttpResponse:
    """Make an address void, at once."""
    address = next((one for one in addresses_of(request.site) if one.code == code), None)
    if address is None:
        raise Http404
    address_revoke(address=address, by=request.user)
    messages.success(request, f"{address} is revoked: whoever asks by it finds nothing.")
    return redirect("service:calendar")


@never_cache
@require_safe
def feed(request: HttpRequest, secret: str) -> HttpResponse:
    """The calendar behind a secret; a wrong or revoked one leads nowhere (404)."""
    address = address_by(secret)
    if address is None:
        raise Http404
    today = site_today(address.site)
    lines = due_dates(address.site, today, today + _AHEAD)
    text = calendar_text(address.site, lines, today, timezone.now())
    return HttpResponse(
        text,
        content_type="text/calendar; charset=utf-8",
        headers={
            "Content-Disposition": 'inline; filename="service.ics"',
            "X-Robots-Tag": "noindex",
            "Referrer-Policy": "no-referrer",
        },
    )
