"""Addresses of waste gas, and the badge that some of them are about."""

from datetime import timedelta
from types import SimpleNamespace
from typing import Any

from django.utils import timezone

from tests.web.addresses.door import Bad, Door, just
from ullage.web.accounts.models import User
from ullage.web.exposure.models import BadgeResult
from ullage.web.sites.models import Room

__all__ = ["EXPOSURE_DOORS", "exposure_things"]


def exposure_things(room: Room, by: User) -> dict[str, object]:
    """One badge, worn in the room a week ago."""
    ago = timezone.now() - timedelta(days=7)
    badge = BadgeResult.objects.create(
        site=room.site,
        room=room,
        agent="isoflurane",
        who="M.O.",
        worn_from=ago,
        worn_to=ago + timedelta(hours=2),
        level=1.2,
        level_ppm=1.2,
        by=by,
    )
    return {"badge": badge}


def _room(made: SimpleNamespace) -> dict[str, Any]:
    return {"pk": made.room.pk}


def _agent(made: SimpleNamespace) -> dict[str, Any]:
    return {"agent": "isoflurane"}


_BADGE = {
    "agent": "isoflurane",
    "who": "M.O.",
    "worn_on": "2026-01-05",
    "worn_from": "09:00",
    "worn_to": "11:00",
    "level": "1.6",
    "unit": "ppm",
    "celsius": "25",
}

EXPOSURE_DOORS = (
    Door(name="exposure:home"),
    Door(
        name="exposure:purge",
        asked="?volume_l=4&flow_l_min=2&start_share=2&end_share=1000",
    ),
    Door(name="exposure:room", about=_room),
    Door(
        name="exposure:mixing",
        what="manage",
        about=_room,
        post=302,
        typed=just(mixing_factor="3"),
        bad=Bad({"mixing_factor": "0.2"}, "must be between 1 and 10"),
    ),
    Door(
        name="exposure:way",
        what="operate",
        thing="machine",
        post=302,
        typed=just(scavenging="active", animals="1"),
        bad=Bad({"scavenging": "", "animals": "400"}, "must be between 1 and 100"),
    ),
    Door(name="exposure:limits"),
    Door(
        name="exposure:limit",
        what="manage",
        about=_agent,
        post=302,
        typed=just(limit="uk_wel"),
        bad=Bad({"limit": "nobody"}, "Select a valid choice"),
    ),
    Door(name="exposure:badges"),
    Door(
        name="exposure:badge_add",
        what="operate",
        post=302,
        typed=just(**_BADGE),
        bad=Bad({**_BADGE, "worn_on": "2999-01-05"}, "has not come yet"),
    ),
    Door(name="exposure:badge", thing="badge"),
    Door(
        name="exposure:withdraw",
        what="operate",
        thing="badge",
        get=None,
        post=302,
        typed=just(reason="Left in the drawer."),
        bad=Bad({"reason": " "}, "This field is required"),
    ),
)
