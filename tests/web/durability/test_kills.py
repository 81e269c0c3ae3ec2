"""Servers killed at random under load: what a client was told is taken is there, once."""

import json
import os
import random
import signal
import socket
import subprocess
import sys
import time
from contextlib import contextmanager
from datetime import UTC, datetime
from threading import Event, Thread
from uuid import uuid4

import pytest
from django.db import connection

from tests.cli.test_serve import free_port
from tests.counts import counted
from tests.web.durability.found import ROOT, clean_environment, look, tell, writer
from tests.web.prepared import prepared
from tools.postgres import cluster

pytestmark = [
    pytest.mark.web,
    pytest.mark.soak,
    pytest.mark.skipif(sys.platform != "linux", reason="it forks and kills"),
    pytest.mark.skipif(connection.vendor != "sqlite", reason="it makes databases of its own"),
]

SEED = 20260609
CLIENTS = 6


class Client(Thread):
    """Sends one entry after the other; keeps its own list of what was acknowledged."""

    def __init__(self, port: int, ends: Event) -> None:
        super().__init__(daemon=True)
        self.port, self.ends = port, ends
        self.acknowledged: dict[str, int] = {}
        self.broken = 0

    def run(self) -> None:
        code, at = str(uuid4()), datetime.now(tz=UTC).isoformat()
        while True:
            try:
                with socket.create_connection(("127.0.0.1", self.port), timeout=20) as connected:
                    talking = connected.makefile("rw")
                    while code:
                        talking.write(f"{code} {at}\n")
                        talking.flush()
                        outcome, order = talking.readline().split()
                        assert outcome in {"taken", "again"}
                        self.acknowledged[code] = int(order)
                        # The last one is sent until it is acknowledged, then no more.
                        code = "" if self.ends.is_set() else str(uuid4())
                        at = datetime.now(tz=UTC).isoformat()
                    return
            except (OSError, ValueError):
                self.broken += 1
                time.sleep(0.01)


class Server:
    """The parent that starts a server as often as it was killed."""

    def __init__(self, home, database: str) -> None:
        self.port = free_port()
        if not database:
            prepared(home)
        self.process = subprocess.Popen(
            writer("serving", str(self.port)), env=clean_environment(home, database), cwd=ROOT,
            text=True, stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL,
        )  # fmt: skip

    def started(self) -> int:
        self.process.stdin.write("\n")
        self.process.stdin.flush()
        return int(json.loads(self.process.stdout.readline())["pid"])

    def killed(self, pid: int) -> None:
        os.kill(pid, signal.SIGKILL)
        assert json.loads(self.process.stdout.readline()) == {"ended": pid}

    def close(self) -> None:
        self.process.kill()
        self.process.wait()
        self.process.stdin.close()
        self.process.stdout.close()


@contextmanager
def loaded(home, database: str = ""):
    """A server under load; afterwards every client has its last entry acknowledged."""
    server, ends = Server(home, database), Event()
    pid = server.started()
    clients = [Client(server.port, ends) for _ in range(CLIENTS)]
    for one in clients:
        one.start()
    state = {"pid": pid}
    try:
        yield server, clients, state
        ends.set()
        for one in clients:
            one.join(60)
            assert not one.is_alive()
    finally:
        server.killed(state["pid"])
        server.close()


def several(clients: list[Client], count: int) -> None:
    """Wait until so many more entries were acknowledged, so that each kill meets work."""
    wanted = sum(len(one.acknowledged) for one in clients) + count
    until = time.monotonic() + 60
    while sum(len(one.acknowledged) for one in clients) < wanted:
        assert time.monotonic() < until
        time.sleep(0.005)


def test_no_kill_of_the_server_loses_what_it_acknowledged(tmp_path):
    dice, kills = random.Random(SEED), counted(100)
    with loaded(tmp_path) as (server, clients, state):
        for _ in range(kills):
            several(clients, dice.randint(1, 12))
            time.sleep(dice.uniform(0, 0.05))
            server.killed(state["pid"])
            state["pid"] = server.started()
        several(clients, 5)

    acknowledged = {code: order for one in clients for code, order in one.acknowledged.items()}
    found = look(tmp_path / "ullage.sqlite3")
    assert found.looked.faults == []
    assert found.entries == acknowledged
    broken = sum(one.broken for one in clients)
    tell(f"{kills} kills, {len(acknowledged)} acknowledged, {broken} broken off, 0 lost, 0 twice")


def entries_of(home, database: str) -> tuple[dict[str, int], list[str], dict[str, str]]:
    """The entries that stand in PostgreSQL, what does not hold, and the settings read back."""
    script = (
        "import json; from ullage.cli.site import open_site; open_site();"
        "from django.db import connection; from ullage.web.cases.models import Line;"
        "from ullage.web.shared.durable import settings_read_back;"
        "from ullage.web.upkeep.copies.chains import look_through;"
        "from ullage.web.upkeep.copies.store import store_here\n"
        "with store_here().live() as r: faults = look_through(r.ask, r.tables()).faults\n"
        "rows = Line.objects.filter(kind='entry').values_list('code', 'order')\n"
        "print(json.dumps([{str(c): o for c, o in rows}, faults, settings_read_back(connection)]))"
    )
    done = subprocess.run(
        [sys.executable, "-c", script], env=clean_environment(home, database), cwd=ROOT,
        capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    found: tuple[dict[str, int], list[str], dict[str, str]] = tuple(json.loads(done.stdout))
    return found


def test_no_kill_of_postgresql_loses_what_was_acknowledged(tmp_path):
    dice, kills = random.Random(SEED), max(3, counted(30))
    home = tmp_path / "home"
    home.mkdir()
    with cluster(durable=True) as there:
        with loaded(home, there.connection) as (_, clients, _):
            for _ in range(kills):
                several(clients, dice.randint(1, 12))
                time.sleep(dice.uniform(0, 0.05))
                there.kill()
                there.start()
            several(clients, 5)
        acknowledged = {code: order for one in clients for code, order in one.acknowledged.items()}
        entries, faults, settings = entries_of(home, there.connection)

    assert settings == {"fsync": "on", "full_page_writes": "on", "synchronous_commit": "on"}
    assert faults == []
    assert entries == acknowledged
    read = ", ".join(f"{name} {value}" for name, value in settings.items())
    tell(f"{kills} kills of PostgreSQL ({read}), {len(acknowledged)} acknowledged, 0 lost, 0 twice")
