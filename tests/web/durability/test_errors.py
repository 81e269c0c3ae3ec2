"""A disk that fails or is full: no reply is an acknowledgement, and sending again harms nothing."""

import json
import signal
import subprocess
import time
from contextlib import contextmanager
from datetime import UTC, datetime
from uuid import uuid4

import pytest

from tests.counts import counted
from tests.web.durability.found import (
    ROOT,
    clean_environment,
    look,
    needs_strace,
    tell,
    writer,
)
from tests.web.prepared import prepared

pytestmark = [pytest.mark.web, pytest.mark.soak, needs_strace]

FAULTS = {
    "sync refused (EIO)": "fdatasync,fsync:error=EIO",
    "disk full (ENOSPC)": "pwrite64,write:error=ENOSPC",
    "writing refused (EIO)": "pwrite64:error=EIO",
}


class Talking:
    """A process that takes entries, and can be made to find a broken disk."""

    def __init__(self, home) -> None:
        self.home = prepared(home)
        self.times: dict[str, str] = {}
        self.process = subprocess.Popen(
            writer("resending"), env=clean_environment(home), cwd=ROOT, text=True,
            stdin=subprocess.PIPE, stdout=subprocess.PIPE,
        )  # fmt: skip
        self.pid = json.loads(self.process.stdout.readline())["pid"]

    def ask(self, code: str, typed: str) -> dict[str, object]:
        at = self.times.setdefault(code, datetime.now(tz=UTC).isoformat())
        self.process.stdin.write(f"{json.dumps({'code': code, 'typed': typed, 'at': at})}\n")
        self.process.stdin.flush()
        return json.loads(self.process.stdout.readline())

    @contextmanager
    def broken(self, fault: str):
        """The calls named fail from here on; replies on the pipe are written past them."""
        named = fault.partition(":")[0]
        watched = ["strace", "-f", "-p", str(self.pid), "-o", str(self.home / "trace")]
        only = [
            "-P",
            str(self.home / "ullage.sqlite3-wal"),
            "-P",
            str(self.home / "ullage.sqlite3"),
        ]
        inject = ["-e", f"trace={named}", "-e", f"inject={fault}"]
        strace = subprocess.Popen([*watched, *only, *inject], stderr=subprocess.PIPE, text=True)
        assert "attached" in strace.stderr.readline()
        try:
            yield
        finally:
            strace.send_signal(signal.SIGINT)
            strace.wait(timeout=10)
            strace.stderr.close()
            time.sleep(0.05)

    def close(self) -> None:
        self.process.stdin.close()
        self.process.wait(timeout=20)
        self.process.stdout.close()


@pytest.fixture
def talking(tmp_path):
    made = Talking(tmp_path)
    yield made
    made.close()


@pytest.mark.parametrize("name", FAULTS)
def test_an_entry_whose_commit_failed_is_not_acknowledged_and_is_sent_again_without_harm(
    talking, name
):
    acknowledged, refused, there_after_all = {}, 0, 0
    for number in range(counted(10)):
        before, code = str(uuid4()), str(uuid4())
        acknowledged[before] = talking.ask(before, str(60 + number))["order"]
        with talking.broken(FAULTS[name]):
            failed = talking.ask(code, str(100 + number))
        assert "outcome" not in failed, failed
        refused += 1
        again = talking.ask(code, str(100 + number))
        # A failed commit is unknown, not undone: it may stand, and then it stands once.
        assert again["outcome"] in {"taken", "again"}
        there_after_all += again["outcome"] == "again"
        acknowledged[code] = again["order"]
        assert talking.ask(code, str(100 + number)) == {"outcome": "again", "order": again["order"]}
    talking.close()

    found = look(talking.home / "ullage.sqlite3")
    assert found.looked.faults == []
    assert found.entries == acknowledged
    tell(f"{name}: {refused} refused, {there_after_all} stood all the same, all once after again")
