"""Addresses of the life of a case, and records in each state of it."""

from hashlib import sha256
from types import SimpleNamespace
from typing import Any
from uuid import uuid4

from django.utils import timezone

from tests.web.addresses.door import Bad, Door, just
from ullage.web.accounts.models import User
from ullage.web.cases.models import CaseState, NotTaken, Record, RecordFile, Why
from ullage.web.cases.services import Opening, record_open, state_write
from ullage.web.cases.services.entries import event, write_seen
from ullage.web.machines.models import Machine

__all__ = ["LIFE_DOORS", "life_things"]

_STATES = (CaseState.RUNNING, CaseState.RECOVERING, CaseState.CLOSED)


def life_things(machine: Machine, by: User) -> dict[str, object]:
    """A record that is ready, one that recovers, a group, one that is closed; one not taken."""
    ready = _record(machine, by, "Furze", 0)
    recovering = _record(machine, by, "Gorse", 2)
    closed = _record(machine, by, "Heather", 3)
    bare = {"name": "scan.png", "kind": "PNG", "sha256": sha256(b"scan").hexdigest()}
    return {
        "ready": ready,
        "recovering": recovering,
        "group": _record(machine, by, "Cage 4", 1, is_group=True),
        "closed": closed,
        "record_file": RecordFile.objects.create(
            record=recovering, by=by, size_bytes=4, content=b"scan", **bare
        ),
        "aside": NotTaken.objects.create(
            site=machine.site,
            record=closed,
            entry=str(uuid4()),
            sent='{"format":1}',
            digest=sha256(b"one").hexdigest(),
            why=Why.CLOSED,
            says="The record is closed.",
            author=by,
            by=by,
            at=timezone.now(),
        ),
    }


def _record(
    machine: Machine, by: User, name: str, states: int, *, is_group: bool = False
) -> Record:
    facts = {"animals": "M1; M2"} if is_group else {}
    opening = Opening(machine=machine, name=name, species="mouse", facts=facts, is_group=is_group)
    record = record_open(site=machine.site, opening=opening, by=by)
    for to in _STATES[:states]:
        record = state_write(record=record, to=to, by=by)
        if to is CaseState.RUNNING:
            write_seen(record=record, seen=[event("anaesthesia began", timezone.now())], by=by)
    record.refresh_from_db()
    return record


def _entry(made: SimpleNamespace) -> dict[str, Any]:
    entries = made.running.lines.filter(kind="entry").order_by("-order")
    return {"entry": entries.values_list("code", flat=True)[0]}


def _new(made: SimpleNamespace) -> dict[str, Any]:
    return {
        "name": "Broom",
        "species": "rabbit",
        "machine": str(made.machine.pk),
        "weight": "3.1 kg",
        "code": str(uuid4()),
    }


_ANSWERS = {
    "override_by": "Otto Reads (otto)",
    "override_reason": "It cannot wait.",
}
_CODE = str(uuid4())


def _signed(made: SimpleNamespace) -> dict[str, Any]:
    return {
        "meaning": "I made this record",
        "count": str(made.closed.count),
        "password": "a long enough word",
    }


LIFE_DOORS = (
    Door(name="cases:all", asked="?words=Gorse&from_day=2026-01-01"),
    Door(name="cases:not_taken"),
    Door(
        name="cases:settling",
        what="manage",
        thing="aside",
        post=302,
        typed=just(decision="leave", reason="Written on paper already."),
        bad=Bad({"decision": "leave", "reason": " "}, "Say why."),
    ),
    Door(
        name="cases:start",
        what="operate",
        post=302,
        typed=_new,
        bad=Bad(
            {"name": "Broom", "species": "rabbit", "weight": "heavy", "code": _CODE},
            "is no number with a unit",
        ),
    ),
    Door(name="cases:start_planned", what="operate", thing="case", post=302, typed=_new),
    Door(name="cases:about", thing="ready"),
    Door(
        name="cases:begin",
        what="operate",
        thing="ready",
        get=None,
        post=302,
        typed=just(agent="isoflurane", flow_oxygen="2", **_ANSWERS),
        bad=Bad({**_ANSWERS, "flow_oxygen": "much"}, "is no number with a unit"),
    ),
    Door(
        name="cases:facts",
        what="operate",
        thing="recovering",
        post=302,
        typed=just(name="Gorse", species="mouse", sex="female", why="Looked again."),
        bad=Bad({"name": "Gorse", "species": "mouse", "sex": "female"}, "Say why this is"),
    ),
    Door(
        name="cases:animal",
        what="operate",
        thing="group",
        get=None,
        post=302,
        typed=lambda made: {"name": "M3", "weight": "24 g", "code": str(uuid4())},
        bad=Bad({"name": "M1", "code": _CODE}, "M1 is in this record already"),
    ),
    Door(name="cases:attach", what="operate", thing="recovering", get=None, post=302),
    Door(name="cases:file", thing="record_file"),
    Door(name="cases:recovery", thing="recovering"),
    Door(
        name="cases:recovery_start",
        what="operate",
        thing="running",
        get=None,
        post=302,
        typed=just(gas="off"),
        bad=Bad({"gas": ""}, "Say whether gas still flows"),
    ),
    Door(
        name="cases:step",
        what="operate",
        thing="recovering",
        get=None,
        post=302,
        typed=lambda made: {"step": "person", "met": "yes", "code": str(uuid4())},
    ),
    Door(
        name="cases:fate",
        what="operate",
        thing="recovering",
        get=None,
        post=302,
        typed=lambda made: {"word": "awake", "code": str(uuid4())},
    ),
    Door(name="cases:gas_off", what="operate", thing="running", get=None, post=302),
    Door(
        name="cases:person",
        what="operate",
        thing="recovering",
        get=None,
        post=302,
        typed=lambda made: {"stays": "yes", "code": str(uuid4())},
    ),
    Door(
        name="cases:reopen",
        what="operate",
        thing="closed",
        post=302,
        typed=just(steps=["person|"], reason="It lies down again."),
        bad=Bad({"reason": "It lies down again."}, "Say which step of the recovery"),
    ),
    Door(
        name="cases:close",
        what="operate",
        thing="recovering",
        post=302,
        typed=just(**_ANSWERS),
        bad=Bad({"override_reason": "Nobody"}, "Name who answers for it."),
    ),
    Door(name="cases:entries", thing="running"),
    Door(
        name="cases:amend",
        what="operate",
        about=_entry,
        thing="running",
        post=302,
        typed=lambda made: {"typed": "118 /min", "reason": "misread", "code": str(uuid4())},
        bad=Bad({"typed": "118", "reason": "", "code": _CODE}, "Say why; the reason stands"),
    ),
    Door(
        name="cases:sign",
        what="operate",
        thing="closed",
        post=302,
        typed=_signed,
        bad=Bad({"meaning": "", "count": "1"}, "Choose what your signature says."),
    ),
)
