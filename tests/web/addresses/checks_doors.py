"""Addresses of checks, and the things that they are about."""

from hashlib import sha256
from uuid import uuid4

from tests.web.addresses.door import Bad, Door, just
from ullage.web.accounts.models import User
from ullage.web.checks.models import CheckFile
from ullage.web.checks.services import check_begin
from ullage.web.machines.models import Machine

__all__ = ["CHECKS_DOORS", "check_things"]


def check_things(machine: Machine, by: User) -> dict[str, object]:
    """A check that was begun, with a picture."""
    check = check_begin(machine=machine, key="start_of_day", by=by)
    bare = {"name": "bag.png", "kind": "PNG", "sha256": sha256(b"bag").hexdigest()}
    file = CheckFile.objects.create(in_check=check, by=by, size_bytes=3, content=b"bag", **bare)
    return {"check": check, "check_file": file}


_EACH_CASE = [
    "flow_controls_shut",
    "vaporizer_filled",
    "absorbent",
    "system_complete",
    "leak",
    "relief_valve",
    "one_way_valves",
    "airway_items",
    "monitors",
    "relief_open",
]

CHECKS_DOORS = (
    Door(name="checks:home"),
    Door(name="checks:lists"),
    Door(name="checks:list", about=just(key="start_of_day")),
    Door(
        name="checks:list_edit",
        what="manage",
        about=just(key="before_each_case"),
        post=302,
        typed=just(title="Before each dog", steps=_EACH_CASE, reason="Only dogs here."),
        bad=Bad({"title": "Before each dog", "reason": ""}, "A list needs a step"),
    ),
    Door(name="checks:limits"),
    Door(
        name="checks:limit",
        what="manage",
        about=just(name="leak"),
        get=None,
        post=302,
        typed=just(choice="iso_30"),
        bad=Bad({"choice": "none of them"}, "Select a valid choice", dropped=("none of them",)),
    ),
    Door(
        name="checks:own_leak",
        what="manage",
        get=None,
        post=302,
        typed=just(flow_l_min="200", at_kpa="30", reason="Agreed in spring."),
        bad=Bad({"flow_l_min": "9000", "at_kpa": "30", "reason": "x"}, "must be between 0 and"),
    ),
    Door(name="checks:machine", thing="machine"),
    Door(
        name="checks:changed",
        what="operate",
        thing="machine",
        get=None,
        post=302,
        typed=just(kind="absorbent"),
        bad=Bad({"kind": "weather"}, "Select a valid choice", dropped=("weather",)),
    ),
    Door(
        name="checks:begin",
        what="operate",
        thing="machine",
        about=just(key="monthly"),
        get=None,
        post=302,
    ),
    Door(name="checks:check", thing="check"),
    Door(
        name="checks:step",
        what="operate",
        thing="check",
        about=just(key="oxygen_analyser"),
        get=None,
        post=302,
        typed=lambda made: {"code": str(uuid4()), "air_fraction": "21", "oxygen_fraction": "98"},
        bad=Bad(
            {"code": str(uuid4()), "air_fraction": "2100", "oxygen_fraction": "98"},
            "must be between 0 and 100 %",
        ),
    ),
    Door(
        name="checks:no_animal",
        what="operate",
        thing="check",
        about=just(key="leak"),
        get=None,
        post=302,
        typed=lambda made: {"code": str(uuid4())},
    ),
    Door(name="checks:end", what="operate", thing="check", get=None, post=302),
    Door(
        name="checks:give_up",
        what="operate",
        thing="check",
        get=None,
        post=302,
        typed=just(reason="Called away."),
    ),
    Door(name="checks:attach", what="operate", thing="check", get=None, post=302),
    Door(name="checks:file", thing="check_file"),
)
