"""A throw-away PostgreSQL: up, a command or a block run against it, gone.

As a command: ``python -m tools.postgres -- pytest -m web`` sets ULLAGE_DATABASE for it.
"""

import contextlib
import os
import shutil
import socket
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path
from typing import Any

__all__ = ["main", "throw_away"]

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


@contextlib.contextmanager
def throw_away(*, durable: bool = False) -> Iterator[str]:
    """A connection string to a new cluster, which is gone afterwards.

    ``durable`` keeps fsync on, for figures that must not flatter.
    """
    programs, port = _folder(), _free_port()
    drop: dict[str, Any] = {}
    place = tempfile.mkdtemp(prefix="ullage-pg-")
    if os.geteuid() == 0:  # the server refuses to run as root
        drop = {"user": "nobody", "group": "nogroup", "extra_groups": []}
        shutil.chown(place, "nobody", "nogroup")

    def run(program: str, *words: str) -> None:
        command = [f"{programs}/{program}", *words]
        subprocess.run(command, check=True, cwd=place, stdout=subprocess.DEVNULL, **drop)

    data = f"{place}/db"
    run("initdb", "-D", data, "-U", "ullage", "-A", "trust", "-E", "UTF8", "--locale=C.UTF-8", "-N")
    options = f"-p {port} -c unix_socket_directories={place} " + (
        "-c listen_addresses=127.0.0.1" if durable else OPTIONS
    )
    run("pg_ctl", "-D", data, "-w", "-l", f"{place}/log", "-o", options, "start")
    try:
        yield f"host=127.0.0.1 port={port} user=ullage dbname=postgres"
    finally:
        run("pg_ctl", "-D", data, "-m", "immediate", "-w", "stop")
        shutil.rmtree(place, ignore_errors=True)


def main(words: list[str]) -> int:
    """Run a command with ULLAGE_DATABASE set; return its exit status."""
    command = words[1:] if words[:1] == ["--"] else words
    with throw_away() as connection:
        environment = {**os.environ, "ULLAGE_DATABASE": connection}
        return subprocess.run(command, check=False, env=environment).returncode


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
