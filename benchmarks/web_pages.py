"""How fast pages answer over HTTP: 50 machines, 400 cylinders and a year of readings.

The site runs as it is served: uvicorn in a process of its own, cookies and compression as for
people, one connection that is kept open. Measured for SQLite and for PostgreSQL.
"""

import http.client
import json
import os
import socket
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from tempfile import TemporaryDirectory
from time import perf_counter, sleep
from typing import Any

from benchmarks.frame import Figure
from tools.postgres import throw_away

__all__ = ["REQUESTS", "figures", "late_figure", "served", "times_ms"]

REQUESTS = 200
LIMIT_MS = 120.0
WARM_UP = 20
_READY_S = 60.0


@dataclass(frozen=True, slots=True)
class Site:
    """What was built: who is signed in, and which pages there are."""

    cookie: str
    cylinders: tuple[str, ...]
    rows: int


def figures() -> Iterator[Figure]:
    """Today and cylinder pages on both databases; the queries of each at two sizes."""
    yield from _on_database("SQLite", "")
    with throw_away(durable=True) as connection:
        yield from _on_database("PostgreSQL", connection)


def _on_database(name: str, connection: str) -> Iterator[Figure]:
    with TemporaryDirectory(prefix="ullage-bench-") as home:
        environment = {**os.environ, "ULLAGE_HOME": home, "ULLAGE_DATABASE": connection}
        environment["ULLAGE_TASKS"] = "django.tasks.backends.dummy.DummyBackend"
        told = _child("build", environment)
        site = Site(told["cookie"], tuple(told["cylinders"]), told["rows"])
        size = f"{told['machines']} machines, {told['count']} cylinders, {site.rows} readings"
        with served(environment) as port:
            pages = [f"/c/{code}/" for code in site.cylinders]
            yield late_figure(f"Today, {name}", times_ms(port, site.cookie, ["/"]), size)
            yield late_figure(f"cylinder page, {name}", times_ms(port, site.cookie, pages), size)
        for page, queries in told["queries"].items():
            yield Figure(
                name=f"{page}, {name}: more queries on the large site than on a small one",
                value=queries["large"] - queries["small"],
                limit=0,
                comparison="<=",
                n=1,
                note=f"{queries['large']} queries",
            )


def late_figure(name: str, taken_ms: list[float], size: str) -> Figure:
    """The 95th percentile of times against the limit of every page."""
    ordered = sorted(taken_ms)
    middle, late = (ordered[int(len(ordered) * share)] for share in (0.5, 0.95))
    return Figure(
        name=f"{name}, 95th percentile",
        value=late,
        limit=LIMIT_MS,
        comparison="<=",
        n=len(ordered),
        seed=1,
        unit="ms",
        note=f"median {middle:.0f} ms; {size}",
    )


def _child(work: str, environment: dict[str, str]) -> dict[str, Any]:
    command = [sys.executable, "-m", "benchmarks.web_site", work]
    made = subprocess.run(command, check=True, env=environment, stdout=subprocess.PIPE)
    found: dict[str, Any] = json.loads(made.stdout.splitlines()[-1])
    return found


@contextmanager
def served(environment: dict[str, str]) -> Iterator[int]:
    """The site behind uvicorn on a free port, warm, and gone afterwards."""
    with socket.socket() as found:
        found.bind(("127.0.0.1", 0))
        port: int = found.getsockname()[1]
    command = [sys.executable, "-m", "uvicorn", "ullage.web.asgi:application"]
    command += ["--port", str(port), "--log-level", "error", "--lifespan", "off"]
    server = subprocess.Popen(command, env=environment)
    try:
        _wait(port)
        yield port
    finally:
        server.terminate()
        server.wait(timeout=10)


def _wait(port: int) -> None:
    until = perf_counter() + _READY_S
    while perf_counter() < until:
        with socket.socket() as asked:
            if asked.connect_ex(("127.0.0.1", port)) == 0:
                return
        sleep(0.1)


def times_ms(port: int, cookie: str, paths: list[str]) -> list[float]:
    """[ms] from request to the last byte of the reply, one after the other."""
    connection = http.client.HTTPConnection("127.0.0.1", port)
    times = []
    for number in range(WARM_UP + REQUESTS):
        began = perf_counter()
        connection.request("GET", paths[number % len(paths)], headers={"Cookie": cookie})
        reply = connection.getresponse()
        body = reply.read()
        took = 1000.0 * (perf_counter() - began)
        if reply.status != 200 or b"</html>" not in body:
            raise ConnectionError(f"{paths[number % len(paths)]} answered {reply.status}")
        if number >= WARM_UP:
            times.append(took)
    connection.close()
    return times
