"""A throw-away PostgreSQL: up, a command or a block run against it, gone.

As a command: ``python -m tools.postgres -- pytest -m web`` sets ULLAGE_DATABASE for it.
"""

import contextlib
import os
import shutil
import signal
import socket
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

__all__ = ["Cluster", "cluster", "main", "throw_away"]

#: Quick and unsafe on purpose: the cluster lives as long as the tests.
OPTIONS = "-c listen_addresses=127.0.0.1 -c fsync=off -c full_page_writes=off"


def _folder() -> str:
    """Where the server's programs are: PGBIN, Debian's place, or the path."""
    if "PGBIN" in os.environ:
        return os.environ["PGBIN"]
    debian = sorted(Path("/usr/lib/postgresql").glob("*/bin"), reverse=True)
    if debian:
        return str(debian[0])
    found = shutil.which("initdb")
    if found is None:
        sys.exit("PostgreSQL not found: apt-get install postgresql, or set PGBIN.")
    return str(Path(found).resolve().parent)


def _free_port() -> int:
    with socket.socket() as opened:
        opened.bind(("127.0.0.1", 0))
        port: int = opened.getsockname()[1]
    return port


def _is_alive(pid: int) -> bool:
    try:
        return Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()[0] != "Z"
    except (FileNotFoundError, ProcessLookupError):
        return False


class Cluster:
    """A server with its own data; it can be stopped, killed and started again."""

    def __init__(self, place: str, *, durable: bool) -> None:
        self.place, self.durable = place, durable
        self.programs, self.port = _folder(), _free_port()
        self.drop: dict[str, Any] = {}
        if os.geteuid() == 0:  # the server refuses to run as root
            self.drop = {"user": "nobody", "group": "nogroup", "extra_groups": []}
            shutil.chown(place, "nobody", "nogroup")
        options = ("-E", "UTF8", "--locale=C.UTF-8", "-N")
        self._run("initdb", "-D", self.data, "-U", "ullage", "-A", "trust", *options)

    @property
    def data(self) -> str:
        """Where its files are."""
        return f"{self.place}/db"

    @property
    def connection(self) -> str:
        """How libpq reaches it."""
        return f"host=127.0.0.1 port={self.port} user=ullage dbname=postgres"

    def start(self) -> None:
        """Start it, and wait until it answers."""
        # No socket file: one that a killed server left would stop the next.
        options = f"-p {self.port} -c unix_socket_directories= " + (
            "-c listen_addresses=127.0.0.1" if self.durable else OPTIONS
        )
        log = f"{self.place}/log"
        self._run("pg_ctl", "-D", self.data, "-w", "-l", log, "-o", options, "start")

    def stop(self) -> None:
        """Stop it at once."""
        self._run("pg_ctl", "-D", self.data, "-m", "immediate", "-w", "stop")

    def kill(self) -> None:
        """Kill the server and every process of it, as the system would without memory."""
        lock = Path(self.data, "postmaster.pid")
        first = int(lock.read_text().split()[0])
        os.kill(first, signal.SIGSTOP)  # so that it starts no process while they are counted
        listed = Path(f"/proc/{first}/task/{first}/children").read_text().split()
        processes = (first, *map(int, listed))
        for pid in processes:
            with contextlib.suppress(ProcessLookupError):
                os.kill(pid, signal.SIGKILL)
        while any(map(_is_alive, processes)):
            time.sleep(0.01)
        # One that is dead and not yet fetched by its parent would pass for a server that runs.
        lock.unlink(missing_ok=True)

    def _run(self, program: str, *words: str) -> None:
        command = [f"{self.programs}/{program}", *words]
        quiet = subprocess.DEVNULL
        subprocess.run(command, check=True, cwd=self.place, stdout=quiet, **self.drop)


@contextlib.contextmanager
def cluster(*, durable: bool = False) -> Iterator[Cluster]:
    """A new server, which is gone afterwards with its data.

    ``durable`` keeps fsync on, for figures that must not flatter.
    """
    place = tempfile.mkdtemp(prefix="ullage-pg-")
    made = Cluster(place, durable=durable)
    made.start()
    try:
        yield made
    finally:
        made.stop()
        shutil.rmtree(place, ignore_errors=True)


@contextlib.contextmanager
def throw_away(*, durable: bool = False) -> Iterator[str]:
    """A connection string to a new cluster, which is gone afterwards."""
    with cluster(durable=durable) as made:
        yield made.connection


def main(words: list[str]) -> int:
    """Run a command with ULLAGE_DATABASE set; return its exit status."""
    command = words[1:] if words[:1] == ["--"] else words
    with throw_away() as connection:
        environment = {**os.environ, "ULLAGE_DATABASE": connection}
        return subprocess.run(command, check=False, env=environment).returncode


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
