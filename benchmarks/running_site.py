"""A site with one case of four hours and 1,200 entries, still running; run as a process of its own.

``python -m benchmarks.running_site build isoflurane`` prints one line of JSON: a cookie, a token
and the record. With ``nitrous`` nitrous oxide is given for a part of the case.
"""

import json
import random
import sys
from collections.abc import Iterator
from datetime import datetime, timedelta
from typing import Any

__all__ = ["ENTRIES", "HOURS", "build", "main"]

HOURS, ENTRIES, SEED = 4, 1200, 20_260
_TOKEN = "b" * 32
#: Variable, unit, middle and spread: a full observation every five minutes.
_SEEN = (
    ("heart_rate", "/min", 96, 12),
    ("respiratory_rate", "/min", 18, 4),
    ("cuff_systolic", "mmHg", 118, 10),
    ("cuff_mean", "mmHg", 84, 8),
    ("cuff_diastolic", "mmHg", 68, 7),
    ("oxygen_saturation", "%", 97, 2),
    ("end_tidal_co2", "mmHg", 42, 4),
    ("inspired_co2", "mmHg", 0, 0),
    ("temperature_gullet", "°C", 38, 0.4),
    ("inspired_oxygen", "%", 95, 2),
    ("airway_pressure", "cmH2O", 12, 2),
    ("end_pressure", "cmH2O", 2, 1),
)
_WORDS = (("ventilation", "breathing by itself"), ("eyelid", "weak"), ("jaw", "slack"))


def build(*, nitrous: bool) -> dict[str, str]:
    """An empty database made ready, with the case in it."""
    from django.core.management import call_command
    from django.utils import timezone

    call_command("migrate", verbosity=0, interactive=False)
    call_command("collectstatic", verbosity=0, interactive=False)
    site, user, machine = _place()
    began = timezone.now() - timedelta(hours=HOURS, minutes=2)
    record = _record(site, user, machine)
    seen = list(_entries(began, nitrous=nitrous))
    _write(record, user, seen)
    record.refresh_from_db()
    return {
        "cookie": f"sessionid={_session(user, record)}; csrftoken={_TOKEN}",
        "token": _TOKEN,
        "record": str(record.code),
        "entries": str(len(seen)),
    }


def _place() -> tuple[Any, Any, Any]:
    """A site, its lead, and a machine that draws from one cylinder that was read."""
    from django.utils import timezone

    from ullage.web.accounts.selectors import User
    from ullage.web.machines.services import machine_add
    from ullage.web.sites.selectors import Role
    from ullage.web.sites.services import member_add, room_add, site_add
    from ullage.web.supply.selectors import Cylinder, Reading
    from ullage.web.supply.services import SourceFacts, history_write, source_add

    site = site_add(name="Bench", elevation_m=60.0, is_demo=True)
    user = User.objects.create_user(username="bench", full_name="Bench Lead")
    member_add(site=site, user=user, role=Role.LEAD)
    room = room_add(site=site, name="Theatre")
    machine = machine_add(site=site, name="Heron", room=room, system="circle")
    facts = SourceFacts(name="On Heron", kind="cylinder", gas="oxygen", room=room)
    source = source_add(site=site, facts=facts, by=user, machines=[machine])
    cylinder = Cylinder(
        site=site,
        source=source,
        name="Rowan",
        size="J",
        water_capacity_l=47.0,
        fill_gauge_kpa=13_700.0,
        state="in_use",
        connected_at=timezone.now() - timedelta(days=1),
    )
    history_write(cylinders=[cylinder])
    at = timezone.now() - timedelta(hours=HOURS + 1)
    read = Reading(cylinder=cylinder, at=at, gauge_kpa=12_000.0, typed="bar", by=user)
    history_write(readings=[read])
    return site, user, machine


def _record(site: Any, user: Any, machine: Any) -> Any:
    from ullage.web.cases.selectors import CaseState
    from ullage.web.cases.services import Opening, record_open, state_write

    facts = {"weight": "62 kg", "agent": "isoflurane", "system": "circle"}
    opening = Opening(machine=machine, name="Bracken", species="sheep", facts=facts)
    record = record_open(site=site, opening=opening, by=user)
    return state_write(record=record, to=CaseState.RUNNING, by=user)


def _entries(began: datetime, *, nitrous: bool) -> Iterator[Any]:
    """Settings, and observations every five minutes, as many as were asked for."""
    from ullage.answers.record.things import EntryKind
    from ullage.reference.record import variable_rows
    from ullage.web.cases.services.entries import Seen, event, setting

    dice, left = random.Random(SEED), ENTRIES  # noqa: S311  # a case made up, nothing secret
    rows = variable_rows()

    def read(at: datetime, key: str, typed: str) -> Any:
        return Seen(kind=EntryKind(rows[key].kind), what=key, typed=typed, at=at)

    steps = HOURS * 12
    for step in range(steps):
        at = began + timedelta(minutes=5 * step)
        found = [] if step else [event("anaesthesia began", at), event("relief valve open", at)]
        if step % 5 == 0:
            found.append(setting("dial", f"{2 + 0.25 * (step % 3):g} %", at))
            found.append(setting("flow_oxygen", f"{1 + 0.2 * (step % 2):g} L/min", at))
        if nitrous and step in {6, 24}:
            found.append(setting("flow_nitrous_oxide", f"{0.8 if step == 6 else 0} L/min", at))
        if step % 2:
            found.append(read(at, "end_tidal_isoflurane", f"{dice.uniform(1.5, 1.8):.1f} %"))
        for key, unit, middle, spread in _SEEN:
            digits = 1 if key.startswith("temperature") else 0
            found.append(read(at, key, f"{dice.gauss(middle, spread / 2):.{digits}f} {unit}"))
        found += [read(at, key, word) for key, word in _WORDS]
        more = round(left / (steps - step)) - len(found)
        between = at + timedelta(minutes=2)
        for number in range(max(more, 0)):
            moment = between + timedelta(seconds=number)
            found.append(read(moment, "pulse_rate", f"{90 + number} /min"))
        left -= len(found)
        yield from found


def _write(record: Any, user: Any, seen: list[Any]) -> None:
    from ullage.web.cases.services.entries import take_seen

    for first in range(0, len(seen), 50):
        take_seen(record=record, seen=seen[first : first + 50], by=user)


def _session(user: Any, record: Any) -> str:
    """Signed in, with the page opened once."""
    from django.test import Client

    client = Client()
    client.force_login(user)
    client.get(f"/cases/{record.code}/")
    return client.cookies["sessionid"].value


def main(words: list[str]) -> int:
    """Build, and say in one line what was made."""
    import os

    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "ullage.web.settings")
    import django

    django.setup()
    print(json.dumps(build(nitrous=words[1:] == ["nitrous"])))
    return 0


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
