"""Labels with QR codes as a sheet to print; a code is a random address and grants nothing."""

from ipaddress import ip_address
from typing import Any
from urllib.parse import urlsplit

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_GET

from ullage.web.shared.access import at_site
from ullage.web.shared.http import SiteRequest
from ullage.web.shared.print import render_pdf
from ullage.web.supply.selectors import (
    Cylinder,
    cylinders_for_labels,
    gas_words,
    labels_list,
    size_words,
)

__all__ = ["choose", "qr_svg", "sheet"]

_PAPERS = {"a4": "A4", "us-letter": "Letter"}


@require_GET
@at_site("look")
def choose(request: SiteRequest) -> HttpResponse:
    """Which cylinders get a label, and on which paper."""
    own = request.build_absolute_uri("/")
    context = {
        "cylinders": labels_list(request.site),
        "chosen": set(request.GET.getlist("c")),
        "papers": _PAPERS.items(),
        "paper": "us-letter" if request.site.country == "US" else "a4",
        "own": own,
        "only_here": is_only_here(own),
    }
    return render(request, "supply/labels.html", context)


def is_only_here(address: str) -> bool:
    """True for an address that no other device can reach."""
    host = urlsplit(address).hostname or ""
    try:
        return ip_address(host).is_loopback
    except ValueError:
        return host == "localhost" or host.endswith(".localhost")


@require_GET
@at_site("look")
def sheet(request: SiteRequest) -> HttpResponse:
    """The sheet as PDF; each label holds the address of its cylinder at this site."""
    codes = [one for one in request.GET.getlist("c") if _is_code(one)]
    found = cylinders_for_labels(request.site, codes)
    if not found:
        messages.error(request, "Choose at least one cylinder.")
        return redirect("supply:labels")
    paper = request.GET.get("paper", "a4")
    now = timezone.localtime()
    data = {
        "title": "Cylinder labels",
        "site": request.site.name,
        "date": f"{now:%A} {now.day} {now:%B %Y}",
        "paper": paper if paper in _PAPERS else "a4",
        "note": "Invented demo data." if request.site.is_demo else "",
        "labels": [_label(request, one) for one in found],
    }
    reply = HttpResponse(render_pdf("labels", data), content_type="application/pdf")
    reply["Content-Disposition"] = 'inline; filename="cylinder-labels.pdf"'
    return reply


def _is_code(text: str) -> bool:
    from uuid import UUID

    try:
        UUID(text)
    except ValueError:
        return False
    return True


def _label(request: SiteRequest, cylinder: Cylinder) -> dict[str, Any]:
    path = reverse("supply:cylinder", kwargs={"code": cylinder.code})
    address = request.build_absolute_uri(path)
    return {
        "svg": qr_svg(address),
        "name": cylinder.name,
        "gas": gas_words(cylinder.gas, cylinder.site),
        "size": size_words(cylinder),
        "line": address,
    }


def qr_svg(address: str) -> str:
    """A QR code of an address as SVG text, of medium error correction, with its quiet zone."""
    import segno

    drawn: str = segno.make(address, error="m", micro=False).svg_inline(scale=4, border=4)
    return drawn
