"""The disk is asked to keep an entry before the entry is acknowledged: seen in a trace."""

import re
import subprocess
import sys

import pytest

from tests.counts import counted
from tests.web.durability.found import ROOT, clean_environment, needs_strace, tell, writer
from tests.web.prepared import prepared

pytestmark = [pytest.mark.web, pytest.mark.soak, needs_strace]

#: SQLite as it would be with the other setting that is often chosen.
CARELESS = """
import os, sqlite3, sys
opened = sqlite3.connect(sys.argv[1], isolation_level=None)
opened.execute("PRAGMA journal_mode=WAL")
opened.execute(f"PRAGMA synchronous={sys.argv[2]}")
opened.execute("CREATE TABLE t (x)")
os.write(1, b'{"ready": true}\\n')
for number in range(20):
    opened.execute("INSERT INTO t VALUES (?)", [number])
    os.write(1, f'{{"order": {number}}}\\n'.encode())
"""


def syncs(command: list[str], home) -> list[int]:
    """How many syncs that succeeded precede each reply, since the reply before it."""
    trace = home / "trace"
    watched = ["strace", "-f", "-qq", "-s", "32", "-o", str(trace)]
    watched += ["-e", "trace=fdatasync,fsync,write"]
    subprocess.run(
        [*watched, *command], env=clean_environment(home), cwd=ROOT,
        check=True, capture_output=True,
    )  # fmt: skip
    counted_syncs, found, begun = 0, [], False
    for line in trace.read_text(errors="replace").splitlines():
        if re.search(r"(fdatasync|fsync)(\(\d+\)| resumed.*\)) += 0$", line):
            counted_syncs += 1
        elif re.search(r'write\(1, "\{\\"ready', line):
            begun, counted_syncs = True, 0
        elif begun and re.search(r'write\(1, "\{\\"order', line):
            found.append(counted_syncs)
            counted_syncs = 0
    return found


def test_every_entry_is_synced_before_it_is_acknowledged(tmp_path):
    entries = counted(200)
    found = syncs(writer("acknowledging", str(entries)), prepared(tmp_path))

    assert len(found) == entries
    assert min(found) >= 1
    tell(f"{entries} replies, each after at least {min(found)} sync, {sum(found)} syncs in all")


@pytest.mark.parametrize(("synchronous", "least", "most"), [("FULL", 1, 9), ("NORMAL", 0, 0)])
def test_the_trace_tells_a_database_that_syncs_from_one_that_does_not(
    tmp_path, synchronous, least, most
):
    path = str(tmp_path / "a.sqlite3")
    found = syncs([sys.executable, "-c", CARELESS, path, synchronous], tmp_path)

    assert len(found) == 20
    assert all(least <= one <= most for one in found[1:])
