"""How many entries a second the service takes durably: 8 writers on SQLite, 60 on PostgreSQL.

No HTTP: each writer calls the service that every door calls, one entry at a time, each in a record
of its own, and counts an entry when the call returns. Threads write as those of a server do; for
PostgreSQL they share its pool of connections, first in one process as `ullage serve` starts it,
then spread over one for each core, as where a site starts several. The settings on which durability
hangs are read back and printed beside the figure, and afterwards every chain is worked out again.
"""

import json
import os
import subprocess
import sys
from collections.abc import Iterator
from tempfile import TemporaryDirectory
from typing import Any

from benchmarks.frame import Figure
from tools.postgres import throw_away

__all__ = ["figures", "measured"]

SECONDS = 10.0


def figures() -> Iterator[Figure]:
    """Entries a second on both databases."""
    yield measured("SQLite", "", writers=8, processes=1, least=100.0)
    with throw_away(durable=True) as connection:
        yield measured("PostgreSQL", connection, writers=60, processes=1, least=400.0)
    with throw_away(durable=True) as connection:
        cores = os.cpu_count() or 1
        yield measured("PostgreSQL", connection, writers=60, processes=cores, least=400.0)


def measured(name: str, connection: str, *, writers: int, processes: int, least: float) -> Figure:
    """Entries a second, in a folder and a process of their own."""
    with TemporaryDirectory(prefix="ullage-bench-") as home:
        environment = {**os.environ, "ULLAGE_HOME": home, "ULLAGE_DATABASE": connection}
        found = _child(environment, "build", str(writers))
        share = [found["codes"][one::processes] for one in range(processes)]
        taken, took_s, busy_s = _written(environment, share)
        after = _child(environment, "look")
    settings = ", ".join(f"{one} {value}" for one, value in found["settings"].items())
    return Figure(
        name=f"durable entries a second, {writers} writers, {name}",
        value=taken / took_s if after["entries"] == taken and not after["faults"] else 0.0,
        limit=least,
        comparison=">=",
        n=taken,
        unit="/s",
        note=f"threads in {processes} {'process' if processes == 1 else 'processes'}; "
        f"{settings}; {after['entries']} stand, {after['faults']} faults in the chains; "
        f"{1000.0 * busy_s / max(taken, 1):.1f} ms of processor for each in the writers",
    )


def _written(environment: dict[str, str], share: list[list[str]]) -> tuple[int, float, float]:
    """Start every process, let them begin together, and add up what they took."""
    command = [sys.executable, "-m", "benchmarks.durable_site", "write", str(SECONDS)]
    pipes: Any = {"stdin": subprocess.PIPE, "stdout": subprocess.PIPE, "text": True}
    started: list[Any] = [
        subprocess.Popen([*command, *codes], env=environment, **pipes) for codes in share
    ]
    try:
        for one in started:
            one.stdout.readline()
        for one in started:
            one.stdin.write("go\n")
            one.stdin.flush()
        said = [json.loads(one.communicate(timeout=SECONDS * 6)[0]) for one in started]
    finally:
        for one in started:
            one.kill()
    taken, busy_s = (sum(one[name] for one in said) for name in ("taken", "busy_s"))
    return int(taken), max(one["took_s"] for one in said), busy_s


def _child(environment: dict[str, str], *words: str) -> Any:
    command = [sys.executable, "-m", "benchmarks.durable_site", *words]
    made = subprocess.run(command, check=True, env=environment, stdout=subprocess.PIPE)
    return json.loads(made.stdout.splitlines()[-1])
