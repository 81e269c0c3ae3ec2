"""How fast entries are acknowledged over HTTP: eight operators at one entry a second each.

The site runs as it is served: uvicorn in a process of its own. Each operator has a connection that
is kept open and begins at a moment of their own within the second. What was acknowledged is
counted; afterwards the database is asked for as many entries. On SQLite and on PostgreSQL.
"""

import http.client
import json
import os
import subprocess
import sys
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from datetime import UTC, datetime
from random import Random
from tempfile import TemporaryDirectory
from time import perf_counter, sleep
from typing import Any
from uuid import uuid4

from benchmarks.frame import Figure
from benchmarks.web_pages import served
from tools.postgres import throw_away

__all__ = ["Operator", "figures", "on_database"]

OPERATORS, SECONDS = 8, 30
SEED = 1
LIMIT_MS = 60.0
ROUND_TRIP_MS = 100.0
AT_ONCE = 50


@dataclass(slots=True)
class Operator:
    """Somebody at a case: what they send with, and what was acknowledged."""

    cookie: str
    token: str
    record: str
    ticket: str

    def send(self, connection: http.client.HTTPConnection, count: int = 1) -> tuple[float, int]:
        """Send so many new entries in one request: [ms] it took, and how many were taken."""
        lines = [{"word": self._word(), "ticket": self.ticket} for _ in range(count)]
        body = json.dumps({"sent_at": datetime.now(UTC).isoformat(), "lines": lines})
        head = {
            "Cookie": self.cookie,
            "X-CSRFToken": self.token,
            "Content-Type": "application/json",
            "Accept": "application/json",
            "X-Ullage-Touched": "0",
        }
        began = perf_counter()
        connection.request("POST", "/api/queue/", body, head)
        reply = connection.getresponse()
        said = reply.read()
        took_ms = 1000.0 * (perf_counter() - began)
        if reply.status != 200:
            raise ConnectionError(f"the queue answered {reply.status}: {said[:200]!r}")
        return took_ms, sum(one["outcome"] == "taken" for one in json.loads(said)["results"])

    def _word(self) -> str:
        now = datetime.now(UTC).isoformat()
        return json.dumps(
            {
                "format": 1,
                "line": "entry",
                "record": self.record,
                "id": str(uuid4()),
                "kind": "vital",
                "what": "heart_rate",
                "typed": "120",
                "observed": now,
                "written": now,
            }
        )

    def work(self, port: int, seconds: int, later_s: float) -> tuple[list[float], int]:
        """One entry a second: [ms] of each, and how many were taken."""
        connection = http.client.HTTPConnection("127.0.0.1", port, timeout=30)
        self.send(connection)
        times, taken, begins = [], 1, perf_counter() + later_s
        for second in range(seconds):
            sleep(max(0.0, begins + second - perf_counter()))
            took_ms, count = self.send(connection)
            times.append(took_ms)
            taken += count
        connection.close()
        return times, taken


def figures() -> Iterator[Figure]:
    """The round trip and what was lost, on both databases."""
    yield from on_database("SQLite", "")
    with throw_away(durable=True) as connection:
        yield from on_database("PostgreSQL", connection)


def on_database(
    name: str, connection: str, *, operators: int = OPERATORS, seconds: int = SECONDS
) -> Iterator[Figure]:
    """Eight operators on one database, then fifty entries in one request, then the count."""
    with TemporaryDirectory(prefix="ullage-bench-") as home:
        environment = {**os.environ, "ULLAGE_HOME": home, "ULLAGE_DATABASE": connection}
        environment["ULLAGE_TASKS"] = "django.tasks.backends.dummy.DummyBackend"
        people = [Operator(**one) for one in _child(environment, "build", str(operators))]
        with served(environment) as port:
            times, taken = _together(people, port, seconds)
            yield _late(name, times, operators)
            yield _alone(name, people[0], port)
            most_ms, at_once = _at_once(people[0], port)
        found = _child(environment, "count")
    acknowledged = taken + at_once + _ALONE
    yield Figure(
        name=f"entries acknowledged over HTTP and not in the record, {name}",
        value=acknowledged - found["entries"],
        limit=(0.0, 0.0),
        comparison="within",
        n=acknowledged,
        note=f"{found['whole']} of {operators} chains whole, {found['aside']} kept aside",
    )
    yield Figure(
        name=f"entries taken in one request, {name}",
        value=at_once,
        limit=AT_ONCE,
        comparison=">=",
        n=1,
        note=f"{most_ms:.0f} ms",
    )


def _together(people: list[Operator], port: int, seconds: int) -> tuple[list[float], int]:
    dice = Random(SEED)  # noqa: S311  # a spread, no secret
    phases = [dice.random() for _ in people]
    with ThreadPoolExecutor(len(people)) as pool:
        done = list(pool.map(lambda one, later: one.work(port, seconds, later), people, phases))
    return [one for times, _ in done for one in times], sum(taken for _, taken in done)


def _late(name: str, times: list[float], operators: int) -> Figure:
    ordered = sorted(times)
    middle, late = (ordered[int(len(ordered) * share)] for share in (0.5, 0.95))
    return Figure(
        name=f"entry acknowledged over HTTP, {operators} operators, {name}, 95th percentile",
        value=late,
        limit=LIMIT_MS,
        comparison="<=",
        n=len(ordered),
        seed=SEED,
        unit="ms",
        note=f"median {middle:.0f} ms",
    )


_ALONE = 40


def _alone(name: str, person: Operator, port: int) -> Figure:
    """One operator, one entry after the other."""
    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=30)
    times = sorted(person.send(connection)[0] for _ in range(_ALONE))
    connection.close()
    return Figure(
        name=f"round trip of an entry, one operator, {name}, 95th percentile",
        value=times[int(0.95 * _ALONE)],
        limit=ROUND_TRIP_MS,
        comparison="<=",
        n=_ALONE,
        unit="ms",
        note=f"median {times[_ALONE // 2]:.0f} ms",
    )


def _at_once(person: Operator, port: int) -> tuple[float, int]:
    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=30)
    found = person.send(connection, AT_ONCE)
    connection.close()
    return found


def _child(environment: dict[str, str], *words: str) -> Any:
    command = [sys.executable, "-m", "benchmarks.queue_site", *words]
    made = subprocess.run(command, check=True, env=environment, stdout=subprocess.PIPE)
    return json.loads(made.stdout.splitlines()[-1])
