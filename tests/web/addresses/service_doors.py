"""Addresses of service, and the things that they are about."""

from datetime import timedelta
from hashlib import sha256
from types import SimpleNamespace
from uuid import uuid4

from django.utils import timezone

from tests.web.addresses.door import Bad, Door, Typed, just
from ullage.web.accounts.models import User
from ullage.web.machines.models import Machine, Part
from ullage.web.service.models import CalendarAddress, Certificate, ServiceEvent

__all__ = ["SERVICE_DOORS", "service_things"]

PDF = b"%PDF-1.7\n%%EOF\n"


def service_things(machine: Machine, by: User) -> dict[str, object]:
    """A vaporizer, something done to it with its paper, and a calendar address."""
    site = machine.site
    vaporizer = Part.objects.create(
        site=site, machine=machine, kind="vaporizer", name="Iso", facts={"agent": "isoflurane"}
    )
    event = ServiceEvent.objects.create(
        site=site,
        part=vaporizer,
        kind="service",
        done_on=timezone.now().date() - timedelta(days=9),
        done_by="Marsh Instruments",
        by=by,
    )
    known = {"name": "paper.pdf", "kind": "PDF", "size_bytes": len(PDF), "content": PDF}
    paper = Certificate.objects.create(event=event, by=by, sha256=sha256(PDF).hexdigest(), **known)
    address = CalendarAddress.objects.create(site=site, name="Tablet", secret_hash="0" * 64, by=by)
    return {"vaporizer": vaporizer, "event": event, "paper": paper, "address": address}


def _event(made: SimpleNamespace) -> Typed:
    return {
        "code": str(uuid4()),
        "kind": "repair",
        "done_on": "2026-01-05",
        "done_by": "Marsh Instruments",
    }


def _test(made: SimpleNamespace) -> Typed:
    return {
        "code": str(uuid4()),
        "done_on": "2026-01-05",
        "done_by": "Marsh Instruments",
        "temperature_k": "20",
        "fresh_gas_l_min": "2",
        "carrier": "oxygen",
        "dial_1": "2",
        "measured_1": "1.9",
    }


_BAD_EVENT = Bad(
    {"kind": "repair", "done_on": "2999-01-05", "done_by": "Marsh Instruments"},
    "has not come yet",
)

SERVICE_DOORS = (
    Door(name="service:due"),
    Door(name="service:machine", thing="machine"),
    Door(name="service:machine_pdf", thing="machine"),
    Door(
        name="service:machine_add",
        what="operate",
        thing="machine",
        post=302,
        typed=_event,
        bad=Bad({**_BAD_EVENT.typed, "code": str(uuid4())}, _BAD_EVENT.sentence),
    ),
    Door(name="service:part", thing="vaporizer"),
    Door(
        name="service:part_add",
        what="operate",
        thing="vaporizer",
        post=302,
        typed=_event,
        bad=Bad({**_BAD_EVENT.typed, "code": str(uuid4())}, _BAD_EVENT.sentence),
    ),
    Door(
        name="service:test",
        what="operate",
        thing="vaporizer",
        post=302,
        typed=_test,
        bad=Bad({"dial_1": "2", "done_by": "Marsh Instruments"}, "belong together"),
    ),
    Door(name="service:event", thing="event"),
    Door(
        name="service:withdraw",
        what="operate",
        thing="event",
        get=None,
        post=302,
        typed=just(reason="Wrong part."),
        bad=Bad({"reason": " "}, "This field is required"),
    ),
    Door(name="service:file", thing="paper"),
    Door(name="service:rules"),
    Door(
        name="service:interval",
        what="manage",
        post=302,
        typed=just(thing="vaporizer", task="output_test", days="91", why="A study."),
        bad=Bad(
            {"thing": "vaporizer", "task": "output_test", "days": "0", "why": "A study."},
            "greater than or equal to 1",
        ),
    ),
    Door(
        name="service:limit",
        what="manage",
        post=302,
        typed=just(key="policy", why="As our vet says."),
        bad=Bad({"key": "own", "why": "As our vet says."}, "Write how far"),
    ),
    Door(
        name="service:calendar",
        what="manage",
        post=200,
        typed=just(name="Workshop tablet"),
        bad=Bad({"name": " "}, "This field is required"),
    ),
    Door(name="service:revoke", what="manage", thing="address", get=None, post=302),
)
