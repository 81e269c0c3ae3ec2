"""A site of 500 machines and 10,000 parts, and a small one; run as a process of its own.

``python -m benchmarks.service_site`` prints one line of JSON: the cookie of somebody signed in
at the large site, what it holds, and the queries of the due list at both sites.
"""

import json
import sys
from datetime import date, timedelta
from typing import Any

import numpy as np

__all__ = ["build", "main"]

MACHINES = 500
SEED = 1
#: Twenty parts a machine: kind and how many.
_PARTS = (
    *(("vaporizer", 2), ("flowmeter", 2), ("breathing_system", 1), ("bag", 1), ("absorber", 1)),
    *(("relief_valve", 1), ("one_way_valve", 2), ("manometer", 1), ("oxygen_analyser", 1)),
    *(("alarm", 1), ("scavenging", 1), ("hose", 3), ("regulator", 1), ("gauge", 1), ("flush", 1)),
)
_WITH_DATE = {"bag", "hose", "oxygen_analyser"}
#: Kinds for which no page prints an interval: the site sets one, so that every part comes due.
_OWN = tuple(kind for kind, _ in _PARTS if kind not in {"vaporizer", *_WITH_DATE})


def build() -> dict[str, Any]:
    """Build both sites and count queries."""
    from django.core.management import call_command

    from benchmarks.web_site import queries, session

    call_command("migrate", verbosity=0, interactive=False)
    call_command("collectstatic", verbosity=0, interactive=False)
    small, large = _site("Small", 2), _site("Large", MACHINES)
    return {
        "cookie": f"sessionid={session(large)}",
        "machines": MACHINES,
        "parts": large["parts"],
        "events": large["events"],
        "queries": {"small": queries(small, "/service/"), "large": queries(large, "/service/")},
    }


def _site(name: str, machines: int) -> dict[str, Any]:
    """One site with its machines, their parts and years of service."""
    from django.db import transaction

    from ullage.web.accounts.selectors import User
    from ullage.web.service.services import interval_set, service_history_write
    from ullage.web.sites.selectors import Role
    from ullage.web.sites.services import member_add, site_add

    with transaction.atomic():
        user = User.objects.create_user(username=name.lower(), full_name=name)
        site = site_add(name=name, elevation_m=60.0, is_demo=True)
        member_add(site=site, user=user, role=Role.LEAD)
        for kind in _OWN:
            interval_set(
                site=site, thing=kind, task="inspection", days=365, why="Every part.", by=user
            )
        rng = np.random.default_rng(SEED)
        parts = _parts(site, user, machines, rng)
        events = _events(site, user, parts, rng)
        service_history_write(events=events)
    return {"site": site, "user": user, "parts": len(parts), "events": len(events)}


def _parts(site: Any, user: Any, machines: int, rng: np.random.Generator) -> list[Any]:
    from django.utils import timezone

    from ullage.web.machines.selectors import Part
    from ullage.web.machines.services import machine_add, parts_write

    made = []
    for number in range(machines):
        machine = machine_add(site=site, name=f"Bird {number:03d}", system="Circle")
        for kind, count in _PARTS:
            made += [
                Part(
                    site=site,
                    machine=machine,
                    kind=kind,
                    name=f"{kind.replace('_', ' ').capitalize()} {number}.{one}",
                    facts=_facts(kind, one, rng),
                    bought_on=date(2023, 1, 1) + timedelta(days=int(rng.integers(700))),
                )
                for one in range(count)
            ]
    return parts_write(parts=made, by=user, at=timezone.now())


def _facts(kind: str, number: int, rng: np.random.Generator) -> dict[str, Any]:
    if kind == "vaporizer":
        return {"agent": ("isoflurane", "halothane")[number]}
    if kind in _WITH_DATE:
        later = date.today() + timedelta(days=int(rng.integers(-60, 1500)))  # noqa: DTZ011  # near
        return {"replace_by": later.isoformat()}
    return {}


def _events(site: Any, user: Any, parts: list[Any], rng: np.random.Generator) -> list[Any]:
    """Six output tests and two services of each vaporizer, an inspection of most other parts."""
    from ullage.web.service.selectors import ServiceEvent

    made = []
    for part in parts:
        kinds = ["inspection"] if part.kind in _OWN and rng.random() < 0.9 else []
        if part.kind == "vaporizer":
            kinds = ["output_test"] * 6 + ["service"] * 2
        made += [
            ServiceEvent(
                site=site,
                part=part,
                kind=kind,
                done_on=date.today() - timedelta(days=int(rng.integers(1, 420))),  # noqa: DTZ011  # near
                done_by="Marsh Instruments",
                by=user,
            )
            for kind in kinds
        ]
    return made


def main() -> int:
    """Build and say in one line what was built."""
    import os

    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "ullage.web.settings")
    import django

    django.setup()
    print(json.dumps(build()))
    return 0


if __name__ == "__main__":
    sys.exit(main())
