"""Labels with QR codes as a sheet to print; a code is a random address and grants nothing."""

from collections.abc import Sequence
from dataclasses import dataclass
from ipaddress import ip_address
from typing import Any
from urllib.parse import urlsplit
from uuid import UUID

from django.http import HttpResponse
from django.utils import timezone

from ullage.web.shared.http import SiteRequest
from ullage.web.shared.print import render_pdf

__all__ = ["Label", "choice_of", "codes_asked", "is_only_here", "label_sheet", "qr_svg"]

_PAPERS = {"a4": "A4", "us-letter": "Letter"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Label:
    """One label: the page it leads to, and the words for who has no reader at hand."""

    path: str
    name: str
    first: str
    second: str = ""


def is_only_here(address: str) -> bool:
    """True for an address that no other device can reach."""
    host = urlsplit(address).hostname or ""
    try:
        return ip_address(host).is_loopback
    except ValueError:
        return host == "localhost" or host.endswith(".localhost")


def choice_of(request: SiteRequest) -> dict[str, Any]:
    """What the page knows on which labels are chosen: the address they hold, and the paper."""
    own = request.build_absolute_uri("/")
    return {
        "chosen": set(request.GET.getlist("c")),
        "papers": _PAPERS.items(),
        "paper": "us-letter" if request.site.country == "US" else "a4",
        "own": own,
        "only_here": is_only_here(own),
    }


def codes_asked(request: SiteRequest) -> list[str]:
    """The codes that were ticked; what is no code is left out."""
    return [one for one in request.GET.getlist("c") if _is_code(one)]


def _is_code(text: str) -> bool:
    try:
        UUID(text)
    except ValueError:
        return False
    return True


def label_sheet(
    request: SiteRequest, labels: Sequence[Label], *, title: str, name: str
) -> HttpResponse:
    """The sheet as PDF; each label holds the address of its thing at this site."""
    paper = request.GET.get("paper", "a4")
    now = timezone.localtime()
    data = {
        "title": title,
        "site": request.site.name,
        "date": f"{now:%A} {now.day} {now:%B %Y}",
        "paper": paper if paper in _PAPERS else "a4",
        "note": "Invented demo data." if request.site.is_demo else "",
        "labels": [_printed(request, one) for one in labels],
    }
    reply = HttpResponse(render_pdf("labels", data), content_type="application/pdf")
    reply["Content-Disposition"] = f'inline; filename="{name}.pdf"'
    return reply


def _printed(request: SiteRequest, label: Label) -> dict[str, Any]:
    address = request.build_absolute_uri(label.path)
    return {
        "svg": qr_svg(address),
        "name": label.name,
        "gas": label.first,
        "size": label.second,
        "line": address,
    }


def qr_svg(address: str) -> str:
    """A QR code of an address as SVG text, of medium error correction, with its quiet zone."""
    import segno

    drawn: str = segno.make(address, error="m", micro=False).svg_inline(scale=4, border=4)
    return drawn
