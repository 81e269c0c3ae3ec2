"""How fast a day of records becomes one file, and a long record its page and its verification.

All through the services and views of the site, with an empty database of its own: 40 records of
four hours, each with its own entries.
"""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from importlib import import_module
from time import perf_counter, process_time
from typing import Any
from uuid import uuid4

from benchmarks.django_site import temporary_site
from benchmarks.frame import Figure

__all__ = ["figures"]

DAY, ENTRIES, LONG = 40, 300, 1200
DAY_S, PAGE_MS, PDF_MS = 10.0, 1_000.0, 500.0
RUNS = 7
_SEED = 30_260


def figures() -> Iterator[Figure]:
    """A day of 40 records at two sizes; the page, the print and the verification of a long one."""
    with temporary_site():
        site, user, machine = _site()
        for entries in (ENTRIES, LONG):
            records = [
                _record(site, user, machine, entries, _SEED + number) for number in range(DAY)
            ]
            yield _day(site, user, records, entries)
        yield from _long(user, records[-1])


def _site() -> tuple[Any, Any, Any]:
    from ullage.web.accounts.selectors import User
    from ullage.web.machines.selectors import Machine
    from ullage.web.sites.selectors import Role
    from ullage.web.sites.services import member_add, room_add, site_add

    user = User.objects.create_user(username="bench", full_name="Bea Bench")
    site = site_add(name="Fennel Lane", elevation_m=60.0, is_demo=True)
    member_add(site=site, user=user, role=Role.LEAD)
    room = room_add(site=site, name="Theatre 2")
    return site, user, Machine.objects.create(site=site, room=room, name="Heron", system="circle")


def _record(site: Any, user: Any, machine: Any, entries: int, seed: int) -> Any:
    """An invented record of four hours, chained like any other and written at once."""
    from django.db import transaction

    from ullage.answers.record.things import Amendment, CaseOpened, EntryText
    from ullage.web.cases.selectors import author_text
    from ullage.web.cases.services import Opening, head_keep, record_locked, record_open
    from ullage.web.cases.services.chain import line_chained, lines_save

    world = import_module("tests.web.records.world")
    lines = world.sheep_case(entries, seed)
    facts = {**lines[0].facts, "name": "Tansy"}
    opening = Opening(machine=machine, name="Tansy", species="sheep", facts=facts)
    record = record_open(site=site, opening=opening, by=user)
    ids = {one.id: str(uuid4()) for one in lines}
    with transaction.atomic():
        locked = record_locked(record)
        rows = []
        for one in lines[1:]:
            if not isinstance(one, EntryText | Amendment | CaseOpened):
                continue
            own: dict[str, Any] = {
                "id": ids[one.id],
                "record": str(record.code),
                "author": author_text(user),
            }
            if isinstance(one, Amendment):
                own["of"] = ids[one.of]
            line = replace(one, order=locked.count + 1, **own)
            rows.append(line_chained(record=locked, line=line, by=user))
        lines_save(record=locked, rows=rows)
        head_keep(record=locked)
    return locked


def _day(site: Any, user: Any, records: Sequence[Any], entries: int) -> Figure:
    from ullage.web.records.models import Run, RunKind
    from ullage.web.records.services import run_ask, run_do

    run = run_ask(site=site, kind=RunKind.PAPERS, records=records, by=user)
    # Whether a worker was asked for it or not: it is done here, and only once.
    began, worked = perf_counter(), process_time()
    run_do(run_pk=run.pk)
    took, worked = perf_counter() - began, process_time() - worked
    done = Run.objects.get(pk=run.pk)
    return Figure(
        name="a day of 40 records as one file, with progress",
        value=took,
        limit=DAY_S,
        comparison="<=",
        n=len(records),
        seed=_SEED,
        unit="s",
        note=f"each of {entries} entries in 4 h; {done.done} of {done.total}; {done.says} "
        f"Work of the processors: {worked:.1f} s",
    )


def _long(user: Any, record: Any) -> Iterator[Figure]:
    from django.conf import settings
    from django.test import Client

    # Files of the pages are laid out by the server; here only their words are asked for.
    settings.STORAGES = {
        **settings.STORAGES,
        "staticfiles": {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"},
    }
    client = Client()
    client.force_login(user)
    for name, path, limit in (
        ("page of a record", "", PAGE_MS),
        ("print of a record through its page", "pdf/", PDF_MS),
        ("verification of a record", "verify/", PAGE_MS),
    ):
        times = sorted(_asked_ms(client, f"/records/{record.code}/{path}") for _ in range(RUNS))
        yield Figure(
            name=f"{name}, median",
            value=times[len(times) // 2],
            limit=limit,
            comparison="<=",
            n=RUNS,
            seed=_SEED,
            unit="ms",
            note=f"{LONG} entries; shortest {times[0]:.0f} ms, longest {times[-1]:.0f} ms",
        )


def _asked_ms(client: Any, path: str) -> float:
    began = perf_counter()
    reply = client.get(path)
    took = 1000.0 * (perf_counter() - began)
    if reply.status_code != 200:
        raise RuntimeError(f"{path} answered {reply.status_code}")
    return took
