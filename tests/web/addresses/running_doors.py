"""Addresses of running cases, and one such case."""

from datetime import timedelta
from uuid import uuid4

from django.utils import timezone

from tests.web.addresses.door import Bad, Door
from ullage.answers.record.things import EntryKind
from ullage.web.accounts.models import User
from ullage.web.cases.models import CaseState
from ullage.web.cases.services import Opening, record_open, state_write
from ullage.web.cases.services.entries import Seen, setting, write_seen
from ullage.web.machines.models import Machine

__all__ = ["RUNNING_DOORS", "running_things"]


def running_things(machine: Machine, by: User) -> dict[str, object]:
    """A case that has run for some minutes."""
    facts = {"weight": "4 kg", "agent": "isoflurane"}
    opening = Opening(machine=machine, name="Clover", species="cat", facts=facts)
    record = record_open(site=machine.site, opening=opening, by=by)
    record = state_write(record=record, to=CaseState.RUNNING, by=by)
    at = timezone.now() - timedelta(minutes=12)
    seen = [setting("dial", "2 %", at), setting("flow_oxygen", "1 L/min", at)]
    seen.append(Seen(kind=EntryKind.VITAL, what="heart_rate", typed="120 /min", at=at))
    write_seen(record=record, seen=seen, by=by)
    record.refresh_from_db()
    return {"running": record}


RUNNING_DOORS = (
    Door(name="cases:home"),
    Door(name="cases:running", thing="running"),
    Door(name="cases:live", thing="running"),
    Door(name="cases:pad", what="operate", thing="running"),
    Door(name="cases:levels", thing="running"),
    Door(name="cases:changes", thing="running"),
    Door(name="cases:oxygen", thing="running"),
    Door(name="cases:head", thing="running"),
    Door(name="cases:stream", thing="running"),
    Door(
        name="cases:enter",
        what="operate",
        about=lambda made: {"form": "observation"},
        thing="running",
        get=None,
        post=302,
        typed=lambda made: {"code": str(uuid4()), "heart_rate": "118", "jaw": "slack"},
        bad=Bad(
            {"code": str(uuid4()), "heart_rate": "fast", "oxygen_saturation": "97"},
            "Nothing was taken yet.",
        ),
    ),
)
