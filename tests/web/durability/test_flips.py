"""One bit changed in a database, an export or a backup: what changed content is found."""

import json
import random
import shutil
import sqlite3
import subprocess
import sys
from collections import Counter
from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path

import pytest

from tests.counts import counted
from tests.web.durability.found import ROOT, clean_environment, look, tell
from tests.web.prepared import prepared
from ullage.answers.record.chained import chained, head_of
from ullage.answers.record.exported import export_chain
from ullage.answers.record.signed import private_pem, public_pem, sign_head
from ullage.answers.record.things import EntryKind, EntryText, Times
from ullage.answers.record.verified import verify_record
from ullage.answers.record.written import content_of
from ullage.core.errors import RuleBroken
from ullage.web.upkeep.copies.backup_file import open_backup, unpack
from ullage.web.upkeep.copies.chains import _LINES, _RECORDS, _REGISTER

pytestmark = [pytest.mark.web, pytest.mark.soak]

SEED = 20260609
ENTRIES = 200


def flipped(data: bytes, bit: int) -> bytes:
    changed = bytearray(data)
    changed[bit // 8] ^= 1 << (bit % 8)
    return bytes(changed)


@pytest.fixture(scope="module")
def grown(tmp_path_factory):
    """A database with two hundred entries in one file, and a backup of it."""
    home = prepared(tmp_path_factory.mktemp("home"))
    steps = [["grow", "2", str(ENTRIES // 2)], ["backup"]]
    done = subprocess.run(
        [sys.executable, "-m", "tests.web.upkeep.world"],
        env=clean_environment(home), cwd=ROOT, input=json.dumps(steps),
        capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    with closing(sqlite3.connect(home / "ullage.sqlite3")) as opened:
        opened.execute("PRAGMA wal_checkpoint(TRUNCATE)")
        opened.execute("PRAGMA journal_mode=DELETE")
    return home / "ullage.sqlite3", next((home / "backups").glob("*.zip"))


def content(path: Path) -> list[object]:
    """All that is recorded: lines with what stands beside them, registers, how far records go."""
    with closing(sqlite3.connect(path)) as opened:
        return [opened.execute(one).fetchall() for one in (_LINES, _REGISTER, _RECORDS)]


def told(path: Path, before: list[object]) -> str:
    """How a changed database shows: SQLite's own check, an error, the chain, or not at all."""
    try:
        same = content(path) == before
    except (sqlite3.Error, UnicodeDecodeError, ValueError, OverflowError):
        return "error when read"
    try:
        with closing(sqlite3.connect(path)) as opened:
            sound = [row[0] for row in opened.execute("PRAGMA integrity_check(1)")] == ["ok"]
    except sqlite3.Error:
        sound = False
    try:
        held = look(path).looked.faults == []
    except (sqlite3.Error, UnicodeDecodeError, ValueError, OverflowError):
        held = False
    if not held:
        return "chain"
    if not sound:
        return "check of SQLite"
    return "content is the same" if same else "NOT FOUND"


def test_every_flipped_bit_that_changed_what_is_recorded_is_found(grown, tmp_path):
    database, _ = grown
    data, before = database.read_bytes(), content(database)
    assert len(before[0]) == ENTRIES + 4
    dice, found = random.Random(SEED), Counter()
    for _ in range(counted(500)):
        path = tmp_path / "flipped.sqlite3"
        path.write_bytes(flipped(data, dice.randrange(8 * len(data))))
        found[told(path, before)] += 1

    assert found["NOT FOUND"] == 0, found
    tell(f"{found.total()} bits flipped in a database: {dict(found)}")


def test_every_flipped_bit_among_the_entries_is_found(grown, tmp_path):
    """The same, where the entries lie: most of a database is tables that stand still."""
    database, _ = grown
    data, before = database.read_bytes(), content(database)
    places = [at for at in range(len(data)) if data.startswith(b'{"animal"', at)]
    assert len(places) >= ENTRIES
    dice, found = random.Random(SEED), Counter()
    for _ in range(counted(500)):
        path = tmp_path / "flipped.sqlite3"
        path.write_bytes(flipped(data, 8 * dice.choice(places) + dice.randrange(8 * 400)))
        found[told(path, before)] += 1

    assert found["NOT FOUND"] == 0, found
    assert found["chain"] > found.total() // 2
    tell(f"{found.total()} bits flipped among the entries: {dict(found)}")


def an_export() -> tuple[bytes, str]:
    at = datetime(2026, 6, 9, 9, 0, tzinfo=UTC)
    lines = chained(
        content_of(
            EntryText(
                id=f"e{order}", record="r", order=order, author="S. Vale (sam)",
                times=Times(observed=at, written=at, received=at), kind=EntryKind.VITAL,
                what="heart_rate", typed="120", number="120", unit="/min",
            )
        )
        for order in range(1, 21)
    )  # fmt: skip
    key = private_pem(random.Random(SEED).randbytes(32))
    signed = sign_head(head_of(lines, "r"), key, "2026-06-09T10:00:00.000000Z")
    return export_chain(lines, "r", signatures=[signed]), public_pem(key)


def test_every_flipped_bit_of_an_exported_record_is_found():
    data, key = an_export()
    assert verify_record(data, [key]).verdict.value == "Fine"
    bits = random.Random(SEED).sample(range(8 * len(data)), counted(500))
    for bit in bits:
        assert verify_record(flipped(data, bit), [key]).verdict.value == "Stop", bit

    tell(f"{len(bits)} bits flipped in an exported record: all found")


def test_a_flipped_bit_of_a_backup_is_found_or_changed_nothing_in_it(grown, tmp_path):
    _, backup = grown
    data, dice, found = backup.read_bytes(), random.Random(SEED), Counter()
    whole = open_backup(backup)
    for number in range(counted(500)):
        path, place = tmp_path / "a.zip", tmp_path / str(number)
        path.write_bytes(flipped(data, dice.randrange(8 * len(data))))
        place.mkdir()
        try:
            read = open_backup(path)
            unpack(read, place)
            assert (read.manifest, read.signature) == (whole.manifest, whole.signature)
            found["content is the same"] += 1
        except RuleBroken:
            found["found"] += 1
        shutil.rmtree(place)

    assert found["found"] > 0.9 * found.total()
    tell(f"{found.total()} bits flipped in a backup: {dict(found)}")
