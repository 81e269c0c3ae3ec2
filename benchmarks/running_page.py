"""How fast the page of a case of four hours and 1,200 entries comes, a new entry before each look.

Measured over HTTP on this machine, for SQLite and for PostgreSQL. Levels are asked for after a new
setting each time, so that nothing that was worked out before serves.
"""

import http.client
import json
import os
import subprocess
import sys
from collections.abc import Callable, Iterator
from tempfile import TemporaryDirectory
from time import perf_counter
from urllib.parse import urlencode
from uuid import uuid4

from benchmarks.frame import Figure
from benchmarks.running_site import SEED
from benchmarks.web_pages import served
from tools.postgres import throw_away

__all__ = ["figures"]

PAGE_MS, LEVELS_MS, ENTRY_MS = 150.0, 200.0, 100.0
WARM_UP, LOOKS = 4, 40


def figures() -> Iterator[Figure]:
    """Page, part that follows, entry and levels on both databases; levels with nitrous oxide."""
    yield from _on("SQLite", "", "isoflurane")
    with throw_away() as database:
        yield from _on("PostgreSQL", database, "isoflurane")
    yield from list(_on("SQLite", "", "nitrous"))[-1:]


def _on(database: str, connect: str, gas: str) -> Iterator[Figure]:
    with TemporaryDirectory(prefix="ullage-bench-") as home:
        environment = {**os.environ, "ULLAGE_HOME": home, "ULLAGE_DATABASE": connect}
        environment["ULLAGE_TASKS"] = "django.tasks.backends.dummy.DummyBackend"
        command = [sys.executable, "-m", "benchmarks.running_site", "build", gas]
        made = subprocess.run(command, check=True, env=environment, stdout=subprocess.PIPE)
        told = json.loads(made.stdout.splitlines()[-1])
        with served(environment) as port:
            yield from _measured(_Page(port, told), f"{gas}, {database}", told["entries"])


class _Page:
    """A browser at the case, and a person who enters."""

    def __init__(self, port: int, told: dict[str, str]) -> None:
        self.connection = http.client.HTTPConnection("127.0.0.1", port)
        self.told = told
        self.heart, self.dial = 90, 200

    def get(self, part: str, must_hold: bytes) -> float:
        """[ms] from request to the last byte."""
        path = f"/cases/{self.told['record']}/{part}"
        began = perf_counter()
        self.connection.request("GET", path, headers={"Cookie": self.told["cookie"]})
        reply = self.connection.getresponse()
        body = reply.read()
        took_ms = 1000.0 * (perf_counter() - began)
        if reply.status != 200 or must_hold not in body:
            raise ConnectionError(f"{path} answered {reply.status} without {must_hold!r}")
        return took_ms

    def enter(self, form: str, **typed: str) -> float:
        """[ms] from sending a form to its reply."""
        words = {"code": str(uuid4()), "csrfmiddlewaretoken": self.told["token"], **typed}
        head = {
            "Cookie": self.told["cookie"],
            "Content-Type": "application/x-www-form-urlencoded",
        }
        path = f"/cases/{self.told['record']}/enter/{form}/"
        began = perf_counter()
        self.connection.request("POST", path, urlencode(words), head)
        reply = self.connection.getresponse()
        reply.read()
        took_ms = 1000.0 * (perf_counter() - began)
        if reply.status != 302:
            raise ConnectionError(f"{path} answered {reply.status}")
        return took_ms

    def observe(self) -> float:
        """Enter another heart rate."""
        self.heart += 1
        return self.enter("observation", heart_rate=str(self.heart))

    def turn(self) -> float:
        """Turn the dial."""
        self.dial += 1
        return self.enter("setting", dial=f"{0.01 * self.dial:.2f}")


def _measured(page: _Page, where: str, entries: str) -> Iterator[Figure]:
    note = f"{entries} entries at the start, load {os.getloadavg()[0]:.1f}"

    def figure(name: str, limit: float, times: list[float]) -> Figure:
        late, middle = times[int(len(times) * 0.95)], times[len(times) // 2]
        return Figure(
            name=f"{name}, {where}, 95th percentile",
            value=late,
            limit=limit,
            comparison="<=",
            n=len(times),
            seed=SEED,
            unit="ms",
            note=f"median {middle:.0f} ms; {note}",
        )

    def whole() -> float:
        page.observe()
        return page.get("", b"Observation")

    def part() -> float:
        page.observe()
        return page.get("live/", b"last-heart_rate")

    def levels() -> float:
        page.turn()
        return page.get("levels/", b"End-tidal, expected")

    yield figure("page of a running case", PAGE_MS, _sorted(whole))
    yield figure("part that follows an entry", PAGE_MS, _sorted(part))
    yield figure("an entry by a plain form", ENTRY_MS, _sorted(page.observe))
    yield figure("levels after a new dial", LEVELS_MS, _sorted(levels))


def _sorted(look: Callable[[], float]) -> list[float]:
    for _ in range(WARM_UP):
        look()
    return sorted(look() for _ in range(LOOKS))
