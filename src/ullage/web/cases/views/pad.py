"""What a device keeps for later: the service worker, the page for when nothing is kept, the pad.

The service worker is one script for everybody. The pad is the page of a case without names, last
values and history: what a device shows while it is locked and the server is away.
"""

import json
from functools import cache
from hashlib import sha256
from pathlib import Path
from uuid import UUID

from django.contrib.staticfiles import finders
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.templatetags.static import static
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.cache import cache_control, never_cache
from django.views.decorators.http import require_GET

from ullage.web.cases.selectors.running import running_page
from ullage.web.cases.views.found import found_record, running_url
from ullage.web.shared.access import at_site
from ullage.web.shared.http import SiteRequest
from ullage.web.shared.links import link

__all__ = ["KEEP", "away", "pad", "worker"]

#: Who answers yes in this header lets the service worker keep the page until the server is away.
KEEP = "Ullage-Keep"

#: A page without anybody's name: what the context of every page would add is taken out.
_NOBODY = {"membership": None, "memberships": (), "nav": (), "tabs": (), "site": None}
_SHARED = (
    "shared/ullage.css",
    "shared/ullage.js",
    "shared/mark.svg",
    "shared/lock.js",
    "shared/charts.css",
    "django_htmx/htmx-2.min.js",
)


@cache
def _files() -> dict[str, Path]:
    """The files that the pad needs while the server is away, by name."""
    found = finders.find("cases/sw.js")
    folder = Path(str(found)).parent
    own = [f"cases/{one.name}" for one in sorted(folder.iterdir()) if one.suffix in {".js", ".css"}]
    names = [name for name in (*_SHARED, *own) if name != "cases/sw.js"]
    return {name: Path(str(finders.find(name))) for name in names}


@cache
def _worker() -> str:
    """The script, with what this installation is; another version of any file is another script."""
    text = Path(str(finders.find("cases/sw.js"))).read_text(encoding="utf-8")
    summed = sha256(text.encode())
    for path in _files().values():
        summed.update(path.read_bytes())
    said = {
        "VERSION": summed.hexdigest()[:16],
        "FILES": [static(name) for name in _files()],
        "AWAY": reverse("pad:away"),
        "LOGIN": reverse("account_login"),
        "LOGOUT": reverse("account_logout"),
        "LOCK": link("accounts:lock"),
        "LOCKED": link("accounts:locked"),
    }
    lines = [f"const {name} = {json.dumps(value)};" for name, value in said.items()]
    return "\n".join([*lines, text])


@require_GET
@cache_control(no_cache=True)
def worker(request: HttpRequest) -> HttpResponse:
    """The service worker; asked for again at each start, since it decides what is kept."""
    return HttpResponse(_worker(), content_type="text/javascript; charset=utf-8")


@require_GET
def away(request: HttpRequest) -> HttpResponse:
    """What is shown when the server is away and the page that was asked for is not kept."""
    return render(request, "cases/away.html", _NOBODY)


@never_cache
@require_GET
@at_site("operate")
def pad(request: SiteRequest, code: UUID) -> HttpResponse:
    """The pad of a case alone: number and machine, no names, no last values, no history."""
    record = found_record(request, code, "operate")
    asked = request.GET.get("animal", "")
    animals = running_page(record, timezone.now()).animals
    known = {
        "record": record,
        "animal": asked if asked in animals else next(iter(animals), ""),
        "running": running_url(record) or "/",
        "enter_url": link("cases:enter", record.code, "observation"),
        **_NOBODY,
    }
    shown = render(request, "cases/pad_only.html", known)
    if not record.is_closed:
        shown.headers[KEEP] = "yes"
    return shown
