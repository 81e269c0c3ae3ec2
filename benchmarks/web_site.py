"""A large site in an empty database, and a small one beside it; run as a process of its own.

``python -m benchmarks.web_site build`` prints one line of JSON: the cookie of somebody signed
in at the large site, codes of cylinders, rows, and the queries of each page at both sites.
"""

import json
import sys
from datetime import datetime, timedelta
from typing import Any

__all__ = ["build", "main", "queries", "session"]

MACHINES, CYLINDERS, DAYS = 50, 400, 365
SEED = 1


def build() -> dict[str, Any]:
    """Build both sites and count queries."""
    from django.core.management import call_command

    call_command("migrate", verbosity=0, interactive=False)
    call_command("collectstatic", verbosity=0, interactive=False)
    small = _site("Small", machines=2, cylinders=4, days=20)
    large = _site("Large", machines=MACHINES, cylinders=CYLINDERS, days=DAYS)
    return {
        "cookie": f"sessionid={session(large)}",
        "cylinders": [str(one.code) for one in large["cylinders"][:: CYLINDERS // 100]],
        "count": len(large["cylinders"]),
        "machines": MACHINES,
        "rows": large["rows"],
        "queries": {
            "Today": {"small": queries(small, "/"), "large": queries(large, "/")},
            "cylinder page": {
                "small": queries(small, _page(small)),
                "large": queries(large, _page(large)),
            },
        },
    }


def _page(made: dict[str, Any]) -> str:
    return f"/c/{made['cylinders'][0].code}/"


def _site(name: str, *, machines: int, cylinders: int, days: int) -> dict[str, Any]:
    """One site: every machine has a source with a cylinder; the rest stands in store."""
    from django.db import transaction

    from ullage.web.accounts.selectors import User
    from ullage.web.sites.selectors import Role
    from ullage.web.sites.services import member_add, room_add, site_add

    with transaction.atomic():
        user = User.objects.create_user(username=name.lower(), full_name=name)
        site = site_add(name=name, elevation_m=60.0, is_demo=True)
        member_add(site=site, user=user, role=Role.LEAD)
        rooms = [room_add(site=site, name=f"Room {one}") for one in range(max(1, machines // 3))]
        made: dict[str, Any] = {"site": site, "user": user}
        fed = _machines(site, user, rooms, machines)
        made["cylinders"] = _cylinders(site, fed, cylinders)
        made["rows"] = _readings(made, days)
        _cases(site, user, fed)
    _answers(made)
    return made


def _machines(site: Any, user: Any, rooms: list[Any], count: int) -> list[tuple[Any, Any]]:
    from ullage.web.machines.services import machine_add
    from ullage.web.supply.services import SourceFacts, source_add

    found = []
    for number in range(count):
        room = rooms[number % len(rooms)]
        machine = machine_add(site=site, name=f"Bird {number:02d}", room=room, system="T-piece")
        facts = SourceFacts(name=f"Source {number:02d}", kind="cylinder", gas="oxygen", room=room)
        found.append((machine, source_add(site=site, facts=facts, by=user, machines=[machine])))
    return found


def _cylinders(site: Any, fed: list[tuple[Any, Any]], count: int) -> list[Any]:
    """As many in use as there are sources, then full, part used and empty ones."""
    from django.utils import timezone

    from ullage.web.supply.selectors import Cylinder
    from ullage.web.supply.services import history_write

    states = ("full", "part_used", "empty", "returned")
    rows = [
        Cylinder(
            site=site,
            source=fed[number][1] if number < len(fed) else None,
            name=f"Tree {number:03d}",
            size="E",
            water_capacity_l=4.7,
            fill_gauge_kpa=13_700.0,
            state="in_use" if number < len(fed) else states[number % len(states)],
            connected_at=timezone.now() - timedelta(days=3) if number < len(fed) else None,
        )
        for number in range(count)
    ]
    history_write(cylinders=rows)
    return rows


def _readings(made: dict[str, Any], days: int) -> int:
    """Readings spread over the year, falling and refilled; 500 to a cylinder of the large site."""
    from django.utils import timezone

    from ullage.web.supply.selectors import Reading
    from ullage.web.supply.services import history_write

    now, total = timezone.now(), 0
    each = max(20, round(500 * days / DAYS))
    for number, cylinder in enumerate(made["cylinders"]):
        rows = [
            Reading(
                cylinder=cylinder,
                at=_when(now, days, each, one),
                gauge_kpa=13_000.0 - 300.0 * ((one + number) % 35),
                typed="bar",
                by=made["user"],
            )
            for one in range(each)
        ]
        history_write(readings=rows)
        total += len(rows)
    return total


def _when(now: datetime, days: int, each: int, number: int) -> datetime:
    return now - timedelta(minutes=30) - timedelta(days=days) * (number / each)


def _cases(site: Any, user: Any, fed: list[tuple[Any, Any]]) -> None:
    """Two cases on each machine today."""
    from ullage.web.days.selectors import PlannedCase, bounds_of, today_at
    from ullage.web.days.services import cases_write

    midnight = bounds_of(site, today_at(site)).start
    phases = [{"name": "Procedure", "minutes": 80.0, "oxygen_l_min": 1.0}]
    cases_write(
        cases=[
            PlannedCase(
                site=site,
                machine=machine,
                name=f"Flower {number}{hour}",
                species="rabbit",
                weight_kg=3.4,
                starts_at=midnight + timedelta(hours=hour, minutes=number % 60),
                minutes=80.0,
                phases=phases,
                by=user,
            )
            for number, (machine, _) in enumerate(fed)
            for hour in (9, 14)
        ]
    )


def _answers(made: dict[str, Any]) -> None:
    """Real answers: of the day, and of cylinders; those of one stand for the others in store."""
    from ullage.web.days.selectors import today_at
    from ullage.web.days.services import day_work
    from ullage.web.supply.selectors import StoredAnswer
    from ullage.web.supply.services import cylinder_work

    first = made["cylinders"][0]
    cylinder_work(cylinder_pk=first.pk)
    pattern = list(StoredAnswer.objects.filter(subject=f"cylinder:{first.pk}"))
    StoredAnswer.objects.bulk_create(
        [
            StoredAnswer(
                site=one.site,
                subject=f"cylinder:{cylinder.pk}",
                kind=one.kind,
                payload=one.payload,
                worked_out_at=one.worked_out_at,
            )
            for cylinder in made["cylinders"][1:]
            for one in pattern
        ],
        batch_size=500,
    )
    day_work(site_pk=made["site"].pk, day=today_at(made["site"]))


def session(made: dict[str, Any]) -> str:
    """Somebody who is signed in, without the form."""
    from django.test import Client

    client = Client()
    client.force_login(made["user"])
    return client.cookies["sessionid"].value


def queries(made: dict[str, Any], path: str) -> int:
    """How many queries a page takes the second time."""
    from django.db import connection
    from django.test import Client
    from django.test.utils import CaptureQueriesContext

    client = Client()
    client.force_login(made["user"])
    client.get(path)
    with CaptureQueriesContext(connection) as counted:
        reply = client.get(path)
    if reply.status_code != 200:
        raise ConnectionError(f"{path} answered {reply.status_code}")
    return len(counted)


def main(words: list[str]) -> int:
    """Build and say in one line what was built."""
    import os

    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "ullage.web.settings")
    import django

    django.setup()
    if words != ["build"]:
        return 2
    print(json.dumps(build()))
    return 0


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
