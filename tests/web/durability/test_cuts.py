"""The log of the database cut off anywhere: what was acknowledged before is there, whole."""

import json
import random
import shutil
import subprocess

import pytest

from tests.counts import counted
from tests.web.durability.found import ROOT, clean_environment, look, tell, writer
from tests.web.prepared import prepared

pytestmark = [pytest.mark.web, pytest.mark.soak]

SEED = 20260609
PAGE = 4096
ENTRIES = 60
#: Lines of a record before its first entry: opened, begun.
BEFORE = 2


@pytest.fixture(scope="module")
def grown(tmp_path_factory):
    """Files of a database whose log holds sixty commits, and how long the log was at each."""
    home, kept = prepared(tmp_path_factory.mktemp("home")), tmp_path_factory.mktemp("kept")
    done = subprocess.run(
        writer("growing", str(ENTRIES), str(kept)),
        env=clean_environment(home), cwd=ROOT, capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    return kept, [json.loads(line) for line in done.stdout.splitlines()]


def cuts(length: int) -> list[int]:
    """Every page of the log, and random offsets; in short runs a tenth of both."""
    pages = list(range(0, length + 1, PAGE))
    few = pages[:: len(pages) // counted(len(pages)) or 1]
    return [*few, length, *random.Random(SEED).choices(range(length), k=counted(500))]


def test_wherever_the_log_is_cut_off_every_acknowledged_entry_is_there_and_none_is_half(
    grown, tmp_path
):
    kept, acknowledged = grown
    log = (kept / "ullage.sqlite3-wal").read_bytes()
    assert acknowledged[-1]["log"] == len(log)
    offsets = cuts(len(log))
    kept_most = 0
    for cut in offsets:
        path = tmp_path / "cut.sqlite3"
        shutil.copy(kept / "ullage.sqlite3", path)
        path.with_name("cut.sqlite3-wal").write_bytes(log[:cut])
        found = look(path)

        # The check of every chain finds an entry that is half there: its text, its sum, the count
        # and the head of its record, and what stands beside its text.
        assert found.looked.faults == [], cut
        due = sum(one["log"] <= cut for one in acknowledged)
        orders = sorted(found.entries.values())
        assert orders == list(range(BEFORE + 1, BEFORE + 1 + len(orders))), cut
        assert len(orders) == due, cut
        kept_most = max(kept_most, len(orders))
        path.unlink()
        path.with_name("cut.sqlite3-wal").unlink(missing_ok=True)

    assert kept_most == ENTRIES
    tell(f"{len(offsets)} cuts of a log of {len(log)} bytes with {ENTRIES} commits: 0 lost, 0 half")


def test_a_cut_in_what_a_power_cut_leaves_scrambled_takes_nothing_before_it(grown, tmp_path):
    kept, acknowledged = grown
    log = (kept / "ullage.sqlite3-wal").read_bytes()
    dice = random.Random(SEED)
    for cut in dice.choices(range(PAGE, len(log)), k=counted(100)):
        path = tmp_path / "cut.sqlite3"
        shutil.copy(kept / "ullage.sqlite3", path)
        path.with_name("cut.sqlite3-wal").write_bytes(log[:cut] + dice.randbytes(len(log) - cut))
        found = look(path)

        assert found.looked.faults == [], cut
        assert len(found.entries) == sum(one["log"] <= cut for one in acknowledged), cut
        path.unlink()
        path.with_name("cut.sqlite3-wal").unlink(missing_ok=True)
