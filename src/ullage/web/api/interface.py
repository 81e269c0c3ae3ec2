"""The interface for programs, and the addresses of the queue and its tablets."""

import json
from datetime import UTC, datetime
from typing import Any, cast

from django.core.exceptions import PermissionDenied
from django.http import Http404, HttpRequest
from django.utils import timezone
from django.views.decorators.cache import never_cache
from ninja import NinjaAPI
from ninja.decorators import decorate_view
from ninja.errors import AuthenticationError

from ullage import __version__
from ullage.web.api.door import AtSite, Pace, person_of, proved
from ullage.web.api.records import router
from ullage.web.api.refusals import refusals_add
from ullage.web.api.shapes import (
    PROBLEMS,
    EnrolIn,
    EpochOut,
    QueueIn,
    QueueOut,
    TabletOut,
    TicketIn,
    TicketOut,
)
from ullage.web.cases.selectors import author_text, tablet_at, tablet_with
from ullage.web.cases.services import (
    Sender,
    Word,
    epoch_now,
    queue_take,
    tablet_enrol,
    ticket_new,
)
from ullage.web.shared.access import stand_at
from ullage.web.shared.http import SiteRequest

__all__ = ["api"]

_FAR_S = 3.2e8

api = NinjaAPI(
    title="Ullage",
    version=__version__,
    description="Entries come in through the queue; records are read as JSON.",
    docs_url=None,
    urls_namespace="api",
)
refusals_add(api)
api.add_router("/records", router)


@api.post(
    "/queue/",
    response={200: QueueOut, **PROBLEMS},
    throttle=[Pace("queue", "1200/m")],
    url_name="queue",
    summary="Send entries",
)
@decorate_view(never_cache)
def queue(request: HttpRequest, sent: QueueIn) -> dict[str, Any]:
    """Entries and amendments of a device: each is taken once, or kept until a lead settles it.

    In the session of a person, with the token of its pages; or with no session, each line signed
    by an enrolled tablet.
    """
    sender = _sender(request, sent)
    words = [Word(text=one.word, signature=one.signature, ticket=one.ticket) for one in sent.lines]
    taken = queue_take(sender=sender, words=words)
    if sender.user is None and all(one.outcome == "waits" for one in taken):
        raise AuthenticationError(
            message="Sign in to share these entries; they stay on the device."
        )
    return {"server_at": timezone.now(), "epoch": epoch_now().code, "results": taken}


def _sender(request: HttpRequest, sent: QueueIn) -> Sender:
    """By whose power a request comes. A cookie without its token has none."""
    tablet = tablet_with(sent.tablet) if sent.tablet else None
    offset_s = _ahead_s(sent.sent_at)
    user = person_of(request)
    if user is None:
        return Sender(tablet=tablet, offset_s=offset_s)
    proved(request)
    ours = cast("SiteRequest", request)
    try:
        site = stand_at(ours).site
    except Http404:
        if tablet is None:
            raise PermissionDenied("You belong to no site; ask a lead to add you.") from None
        return Sender(tablet=tablet, offset_s=offset_s)
    sites = frozenset(one.site_id for one in ours.memberships)
    return Sender(user=user, site=site, sites=sites, tablet=tablet, offset_s=offset_s)


def _ahead_s(sent_at: str) -> float:
    """By how much the clock of a device runs ahead, as this request shows; nothing if unsaid."""
    try:
        said = datetime.fromisoformat(sent_at)
        ahead_s = (said - datetime.now(UTC)).total_seconds() if said.tzinfo else 0.0
    except (ValueError, OverflowError):
        return 0.0
    return ahead_s if abs(ahead_s) < _FAR_S else 0.0


@api.post(
    "/ticket/",
    auth=AtSite("operate"),
    response={200: TicketOut, **PROBLEMS},
    throttle=[Pace("ticket", "60/m")],
    by_alias=True,
    url_name="ticket",
    summary="Prove the author",
)
@decorate_view(never_cache)
def ticket(request: HttpRequest, asked: TicketIn) -> dict[str, Any]:
    """A ticket that proves for 12 hours who is signed in at a device; 403 once it is revoked."""
    user = cast("SiteRequest", request).user
    tablet = None
    if asked.tablet is not None:
        tablet = tablet_at(user, asked.tablet)
        if tablet.revoked_at is not None:
            raise PermissionDenied("This device is no longer enrolled. Enrol it with a new key.")
    text, made = ticket_new(user=user, tablet=tablet)
    return {
        "ticket": text,
        "author": author_text(user),
        "begins": made.begins,
        "until": made.ends,
    }


@api.post(
    "/tablet/",
    auth=AtSite("operate"),
    response={200: TabletOut, **PROBLEMS},
    throttle=[Pace("tablet", "20/m")],
    url_name="tablet",
    summary="Enrol a device",
)
@decorate_view(never_cache)
def tablet(request: HttpRequest, asked: EnrolIn) -> dict[str, Any]:
    """Enrol a device at the site where the person stands, by the public key that it made."""
    ours = cast("SiteRequest", request)
    made = tablet_enrol(
        site=ours.site,
        name=asked.name,
        public_key=json.dumps(asked.public_key),
        by=ours.user,
        code=asked.tablet,
    )
    return {"tablet": made.code, "name": made.name, "site": ours.site.name}


@api.get(
    "/epoch/",
    auth=AtSite(),
    response={200: EpochOut, **PROBLEMS},
    throttle=[Pace("read", "1200/m")],
    url_name="epoch",
    summary="The name of this database",
)
@decorate_view(never_cache)
def epoch(request: HttpRequest) -> dict[str, Any]:
    """The time of the server, and the name of its database, which changes with a restore."""
    return {"server_at": timezone.now(), "epoch": epoch_now().code}
