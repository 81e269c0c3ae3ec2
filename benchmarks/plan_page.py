"""How fast the live answers of "Plan a case" come over HTTP, each for a case not asked before."""

import http.client
import json
import os
import subprocess
import sys
from collections.abc import Iterator
from tempfile import TemporaryDirectory
from time import perf_counter
from urllib.parse import urlencode

from benchmarks.frame import Figure
from benchmarks.web_pages import served

__all__ = ["figures"]

LIMIT_MS = 300.0
WARM_UP, REQUESTS = 6, 60
_TYPED = {
    "name": "Tansy",
    "starts": "16:00",
    "phase_0": "Preparation",
    "minutes_0": "15",
    "phase_1": "Procedure",
    "minutes_1": "60",
    "phase_2": "Waking",
    "minutes_2": "10",
    "agent": "isoflurane",
    "no_drugs": "on",
    "target_mac": "1.2",
    "machine": "1",
}
#: Species, weight [kg], breathing system.
_ANIMALS = (("mouse", 0.025, "nose cone"), ("cat", 4.0, "T-piece"), ("pig", 30.0, "circle"))


def figures() -> Iterator[Figure]:
    """The 95th percentile for each animal at a site of 50 machines and a year of readings."""
    with TemporaryDirectory(prefix="ullage-bench-") as home:
        environment = {**os.environ, "ULLAGE_HOME": home, "ULLAGE_DATABASE": ""}
        environment["ULLAGE_TASKS"] = "django.tasks.backends.dummy.DummyBackend"
        command = [sys.executable, "-m", "benchmarks.web_site", "build"]
        made = subprocess.run(command, check=True, env=environment, stdout=subprocess.PIPE)
        told = json.loads(made.stdout.splitlines()[-1])
        size = f"{told['machines']} machines, {told['count']} cylinders"
        with served(environment) as port:
            for species, weight_kg, system in _ANIMALS:
                asked = {**_TYPED, "species": species, "system": system}
                times = sorted(_times_ms(port, told["cookie"], asked, weight_kg))
                late, middle = times[int(len(times) * 0.95)], times[len(times) // 2]
                yield Figure(
                    name=f"live answers for a {species}, 200 draws, 95th percentile",
                    value=late,
                    limit=LIMIT_MS,
                    comparison="<=",
                    n=len(times),
                    seed=20_260,
                    unit="ms",
                    note=f"median {middle:.0f} ms; {size}",
                )


def _times_ms(port: int, cookie: str, asked: dict[str, str], weight_kg: float) -> list[float]:
    """[ms] from request to the last byte, every request with another weight."""
    connection = http.client.HTTPConnection("127.0.0.1", port)
    times = []
    for number in range(WARM_UP + REQUESTS):
        weight = f"{weight_kg * (1.0 + 0.001 * number):.6f}"
        path = f"/case/answers/?{urlencode({**asked, 'weight_kg': weight})}"
        began = perf_counter()
        connection.request("GET", path, headers={"Cookie": cookie, "HX-Request": "true"})
        reply = connection.getresponse()
        body = reply.read()
        took = 1000.0 * (perf_counter() - began)
        if reply.status != 200 or b"Vaporizer dial" not in body:
            raise ConnectionError(f"{path} answered {reply.status} without a dial")
        if number >= WARM_UP:
            times.append(took)
    connection.close()
    return times
