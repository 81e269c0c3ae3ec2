"""What is cut, killed and starved: processes that take entries through the service.

python -m tests.web.durability.writer WORD ..., in a home of its own.
"""

import json
import os
import shutil
import signal
import socket
import sys
from datetime import datetime
from pathlib import Path
from typing import Any

__all__ = ["main"]


def ready() -> Any:
    """An open record, and who writes in it."""
    from tests.web.upkeep.world import open_record
    from ullage.cli.site import open_site, prepare_site

    open_site()
    prepare_site()
    return open_record()


def say(found: Any) -> None:
    """One line of JSON, past every buffer: what is said here was acknowledged."""
    os.write(1, f"{json.dumps(found)}\n".encode())


def one(record: Any, user: Any, typed: str, code: str = "", at: str = "") -> Any:
    """Take one entry; its id and its time are those of whoever sends it."""
    from tests.web.upkeep.world import an_entry
    from ullage.web.cases.services import lines_take

    seen = datetime.fromisoformat(at) if at else None
    (taken,) = lines_take(record=record, sent=[an_entry(user, typed, code, seen)], by=user)
    return taken


def growing(entries: int, folder: Path) -> None:
    """Entries without a checkpoint; how long the log was at each; then copies of both files."""
    from django.conf import settings
    from django.db import connection

    record, user = ready()
    with connection.cursor() as cursor:
        cursor.execute("PRAGMA wal_checkpoint(TRUNCATE)")
        cursor.execute("PRAGMA wal_autocheckpoint=0")
    log = Path(f"{settings.DATABASES['default']['NAME']}-wal")
    for number in range(entries):
        taken = one(record, user, str(60 + number))
        say({"order": taken.order, "log": log.stat().st_size})
    for path in (log, log.with_name(log.name.removesuffix("-wal"))):
        shutil.copy(path, folder / path.name)


def acknowledging(entries: int) -> None:
    """One entry after the other, each said as soon as it was taken."""
    record, user = ready()
    say({"ready": True})
    for number in range(entries):
        say({"order": one(record, user, str(60 + number % 100)).order})


def resending() -> None:
    """Take what is asked for on standard input, and say what became of it, or which error came."""
    from django.db import DatabaseError, connection

    record, user = ready()
    say({"record": str(record.code), "pid": os.getpid()})
    for line in sys.stdin:
        asked = json.loads(line)
        try:
            taken = one(record, user, asked["typed"], asked["code"], asked["at"])
            say({"outcome": taken.outcome, "order": taken.order})
        except (DatabaseError, OSError) as why:
            say({"error": type(why).__name__})
            connection.close()


def serving(port: int) -> None:
    """A server of entries that is started anew as often as it is killed; the parent only forks."""
    from django.db import connections

    record, user = ready()
    listening = socket.create_server(("127.0.0.1", port), backlog=64, reuse_port=False)
    connections.close_all()
    for one_pool in connections.all(initialized_only=True):
        if hasattr(one_pool, "close_pool"):
            one_pool.close_pool()
    for _ in sys.stdin:
        child = os.fork()
        if child == 0:
            answering(listening, record, user)
            os._exit(0)
        say({"pid": child})
        os.waitpid(child, 0)
        say({"ended": child})


def answering(listening: socket.socket, record: Any, user: Any) -> None:
    """A thread for each client, an entry for each line, a reply once it was taken."""
    from threading import Thread

    signal.signal(signal.SIGTERM, signal.SIG_DFL)
    while True:
        connected, _ = listening.accept()
        Thread(target=answer, args=(connected, record, user), daemon=True).start()


def answer(connected: socket.socket, record: Any, user: Any) -> None:
    """Entries of one client, one after the other."""
    from django.db import close_old_connections

    with connected, connected.makefile("rw") as talking:
        for line in talking:
            code, at = line.split()
            try:
                taken = one(record, user, "120", code, at)
            finally:
                close_old_connections()  # as at the end of a request
            talking.write(f"{taken.outcome} {taken.order}\n")
            talking.flush()


def main(words: list[str]) -> None:
    """Do what is named."""
    match words:
        case ["growing", entries, folder]:
            growing(int(entries), Path(folder))
        case ["acknowledging", entries]:
            acknowledging(int(entries))
        case ["resending"]:
            resending()
        case ["serving", port]:
            serving(int(port))


if __name__ == "__main__":
    main(sys.argv[1:])
