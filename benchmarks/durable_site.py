"""A site with running cases, and writers who add entries to them; run as a process of its own.

``python -m benchmarks.durable_site build 8`` prints the codes of eight records and the settings of
the database as read back; ``write 10 CODE ...`` writes to them for ten seconds; ``look`` verifies.
"""

import json
import sys
from concurrent.futures import ThreadPoolExecutor
from time import perf_counter, process_time
from typing import Any
from uuid import uuid4

__all__ = ["build", "entry", "look", "main", "write"]


def build(records: int) -> dict[str, Any]:
    """An empty database made ready, with running cases."""
    from django.core.management import call_command
    from django.db import connection

    from ullage.web.accounts.selectors import User
    from ullage.web.machines.services import machine_add
    from ullage.web.shared.durable import settings_read_back
    from ullage.web.sites.selectors import Role
    from ullage.web.sites.services import member_add, room_add, site_add

    call_command("migrate", verbosity=0, interactive=False)
    site = site_add(name="Bench", elevation_m=60.0, is_demo=True)
    room = room_add(site=site, name="Theatre")
    machine = machine_add(site=site, name="Wren", room=room, system="T-piece")
    user = User.objects.create_user(username="op", full_name="Operator")
    member_add(site=site, user=user, role=Role.OPERATOR)
    codes = [_opened(site, machine, user, number) for number in range(records)]
    return {"codes": codes, "settings": settings_read_back(connection)}


def _opened(site: Any, machine: Any, user: Any, number: int) -> str:
    from ullage.web.cases.selectors import CaseState
    from ullage.web.cases.services import Opening, record_open, state_write

    opening = Opening(machine=machine, name=f"Case {number}", species="cat")
    record = record_open(site=site, opening=opening, by=user)
    state_write(record=record, to=CaseState.RUNNING, by=user)
    return str(record.code)


def entry(user: Any, typed: str = "120") -> Any:
    """One heart rate, as a door hands it to the service."""
    from django.utils import timezone

    from ullage.answers.record.things import EntryKind, EntryText, Times
    from ullage.web.cases.services import Sent, typed_reading

    read, at = typed_reading("heart_rate", typed), timezone.now()
    return Sent(
        line=EntryText(
            id=str(uuid4()),
            record="",
            order=1,
            author="",
            times=Times(observed=at, written=at, received=at),
            kind=EntryKind.VITAL,
            what="heart_rate",
            typed=typed,
            number=read.number,
            unit=read.unit,
        ),
        user=user,
    )


def write(seconds: float, codes: list[str]) -> dict[str, float]:
    """One thread for each record; how many entries were taken, in which time."""
    from ullage.web.cases.services import lines_take

    with ThreadPoolExecutor(len(codes)) as pool:
        list(pool.map(_ready, codes))
        print("ready", flush=True)
        sys.stdin.readline()
        began, busy = perf_counter(), process_time()
        taken = sum(pool.map(lambda code: _writes(lines_take, code, began + seconds), codes))
    return {"taken": taken, "took_s": perf_counter() - began, "busy_s": process_time() - busy}


def _ready(code: str) -> None:
    """Load what a thread needs before the clock runs."""
    from django.db import connection

    from ullage.web.cases.selectors import Record

    Record.objects.get(code=code)
    connection.close()


def _writes(take: Any, code: str, until: float) -> int:
    from django.db import connection

    from ullage.web.accounts.selectors import User
    from ullage.web.cases.selectors import Record

    record, user = Record.objects.get(code=code), User.objects.get(username="op")
    taken = 0
    while perf_counter() < until:
        (done,) = take(record=record, sent=[entry(user)], by=user)
        taken += done.outcome == "taken"
        if connection.vendor == "postgresql":
            connection.close()  # back to the pool, as at the end of a request
    connection.close()
    return taken


def look() -> dict[str, int]:
    """How many entries stand, and what does not hold in any chain."""
    from ullage.web.cases.selectors import Line
    from ullage.web.upkeep.copies.chains import look_through
    from ullage.web.upkeep.copies.store import store_here

    with store_here().live() as reading:
        looked = look_through(reading.ask, reading.tables())
    entries = Line.objects.filter(kind="entry").count()
    return {"entries": entries, "faults": looked.count_of_faults}


def main(words: list[str]) -> int:
    """Do what is asked, and say in one line what came of it."""
    import os

    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "ullage.web.settings")
    import django

    django.setup()
    if words[0] == "build":
        print(json.dumps(build(int(words[1]))))
    elif words[0] == "write":
        print(json.dumps(write(float(words[1]), words[2:])))
    else:
        print(json.dumps(look()))
    return 0


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
