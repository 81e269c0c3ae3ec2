"""How fast the due list answers over HTTP: 500 machines, 10,000 parts, each with an interval."""

import json
import os
import subprocess
import sys
from collections.abc import Iterator
from tempfile import TemporaryDirectory

from benchmarks.frame import Figure
from benchmarks.web_pages import late_figure, served, times_ms
from tools.postgres import throw_away

__all__ = ["figures"]


def figures() -> Iterator[Figure]:
    """The due list on both databases, whole, filtered and at its last page; and its queries."""
    yield from _on_database("SQLite", "")
    with throw_away(durable=True) as connection:
        yield from _on_database("PostgreSQL", connection)


def _on_database(name: str, connection: str) -> Iterator[Figure]:
    with TemporaryDirectory(prefix="ullage-bench-") as home:
        environment = {**os.environ, "ULLAGE_HOME": home, "ULLAGE_DATABASE": connection}
        environment["ULLAGE_TASKS"] = "django.tasks.backends.dummy.DummyBackend"
        command = [sys.executable, "-m", "benchmarks.service_site"]
        made = subprocess.run(command, check=True, env=environment, stdout=subprocess.PIPE)
        told = json.loads(made.stdout.splitlines()[-1])
        size = f"{told['machines']} machines, {told['parts']} parts, {told['events']} events"
        paths = ["/service/", "/service/?when=soon", "/service/?sort=machine&page=100"]
        with served(environment) as port:
            times = times_ms(port, told["cookie"], paths)
            yield late_figure(f"due list, {name}", times, size)
        queries = told["queries"]
        yield Figure(
            name=f"due list, {name}: more queries on the large site than on a small one",
            value=queries["large"] - queries["small"],
            limit=0,
            comparison="<=",
            n=1,
            note=f"{queries['large']} queries",
        )
