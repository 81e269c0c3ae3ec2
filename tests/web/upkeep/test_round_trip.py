"""Backup, drill and restore of real installations, on both databases, by the commands."""

import json
import subprocess
import sys
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest
from django.db import connection

from tests.cli.test_serve import free_port, serving
from tests.web.prepared import clean_environment, prepared
from tools.postgres import throw_away
from ullage.core.errors import RuleBroken
from ullage.web.upkeep.copies.postgres import _program

pytestmark = [
    pytest.mark.web,
    pytest.mark.skipif(connection.vendor != "sqlite", reason="it makes databases of its own"),
]

ULLAGE = [sys.executable, "-c", "from ullage.cli import main; main()"]


class Installation:
    """A folder of data, and a database; commands run in it as a person would run them."""

    def __init__(self, home: Path, database: str) -> None:
        self.home = home
        self.env = clean_environment(home, database)

    def do(self, *steps: list[str]) -> list[Any]:
        """Steps of `world`, one after the other in one process."""
        done = self.ran([sys.executable, "-m", "tests.web.upkeep.world"], json.dumps(steps))
        assert done.returncode == 0, done.stderr
        found: list[Any] = json.loads(done.stdout)
        return found

    def run(self, *words: str) -> subprocess.CompletedProcess[str]:
        """A command as a person runs it."""
        return self.ran([*ULLAGE, *words], "")

    def ran(self, words: list[str], typed: str) -> subprocess.CompletedProcess[str]:
        root = Path(__file__).parents[3]
        return subprocess.run(
            words, env=self.env, input=typed, capture_output=True, text=True, check=False, cwd=root
        )


@contextmanager
def installed(vendor: str, home: Path):
    """An installation of its own on one of the databases."""
    if vendor == "sqlite":
        yield Installation(prepared(home), "")
    else:
        home.mkdir(exist_ok=True)
        with throw_away(durable=True) as database:
            yield Installation(home, database)


RESTORE = ["restore", "--yes", "NEWEST"]


@pytest.mark.parametrize("vendor", ["sqlite", "postgresql"])
def test_what_was_backed_up_is_restored_and_what_came_after_is_kept_beside(tmp_path, vendor):
    with installed(vendor, tmp_path / "home") as there:
        done = there.do(
            *(["grow", "1", "5"], ["backup"], ["epoch"], ["grow", "1", "3"], ["counts"]),
            *(["drill"], RESTORE, ["counts"], ["epoch"], ["grow", "1", "2"], ["drill"]),
        )
        (first,), backup, named, (second,), before = done[:5]
        drill, restored, after, renamed, (third,), again = done[5:]

        assert [one[0] for one in (backup, drill, restored, again)] == [0, 0, 0, 0], done
        # Two lines of its beginning, and those that were entered.
        assert before == {first: 7, second: 5}
        assert after == {first: 7}
        assert renamed != named
        assert third not in before
        assert "1 record with 7 lines, and the database still holds them" in words(drill)
        assert "The database before it: " in restored[1]
        if vendor == "sqlite":
            (kept,) = there.home.glob("ullage.before-*.sqlite3")
            kept.rename(there.home / "ullage.sqlite3")
            assert there.do(["counts"]) == [before]


def words(done: list[Any]) -> str:
    """What a command printed, in one line."""
    return " ".join(done[1].split())


def newest(there: Installation) -> Path:
    return max((there.home / "backups").glob("*.zip"))


def test_a_new_computer_takes_a_backup_and_says_whose_it_is(tmp_path):
    with installed("sqlite", tmp_path / "old") as old:
        _, _, counts = old.do(["grow", "1", "2"], ["backup"], ["counts"])
        file = str(newest(old))
    with installed("sqlite", tmp_path / "new") as new:
        restored, there = new.do(["restore", "--yes", file], ["counts"])
        assert (restored[0], there) == (0, counts), restored
        assert "not known here" in restored[1]

    with installed("sqlite", tmp_path / "other") as other:
        trusting = ["restore", "--yes", "--key", str(old.home / "signing.pub"), file]
        _, refused, empty, trusted, there = other.do(
            ["backup"], ["restore", "--yes", file], ["counts"], trusting, ["counts"]
        )
        assert (refused[0], refused[2].count("\n"), empty) == (1, 1, {})
        assert "--accept-unknown-key" in refused[2]
        assert (trusted[0], there) == (0, counts)


def test_nothing_is_replaced_by_a_backup_that_does_not_hold(tmp_path):
    with installed("sqlite", tmp_path / "home") as there:
        there.do(["grow", "1", "4"], ["backup"])
        whole = bytearray(newest(there).read_bytes())
        whole[len(whole) // 2] ^= 4
        newest(there).write_bytes(whole)
        drill, restored, asked, counts = there.do(
            ["drill"], RESTORE, ["restore", "NEWEST"], ["counts"]
        )

        for refused in (drill, restored):
            assert (refused[0], refused[1]) == (1, "")
        assert "Go on?" in asked[1]
        assert list(counts.values()) == [6]
        assert not list(there.home.glob("ullage.before-*"))


def test_a_restore_takes_nothing_from_under_an_open_site(tmp_path):
    with installed("sqlite", tmp_path / "home") as there:
        there.do(["grow", "1", "1"])
        with serving(there.home, free_port()):
            backup, refused = there.do(["backup"], RESTORE)
        (restored,) = there.do(RESTORE)

    assert (backup[0], refused[0], restored[0]) == (0, 1, 0)
    assert "The site is open on this database" in refused[2]


def test_on_postgresql_a_backup_needs_its_programs_and_is_of_its_kind(tmp_path):
    with installed("sqlite", tmp_path / "a") as small:
        small.do(["backup"])
        file = str(newest(small))
    with installed("postgresql", tmp_path / "b") as large:
        (other,) = large.do(["restore", "--yes", "--accept-unknown-key", file])
        (tmp_path / "pg").mkdir()
        (tmp_path / "pg" / "pg_dump").write_text("#!/bin/sh\necho it is too old >&2; exit 1\n")
        (tmp_path / "pg" / "pg_dump").chmod(0o755)
        large.env["PGBIN"] = str(tmp_path / "pg")
        (old,) = large.do(["backup"])

    assert other[0] == 1
    assert "is of a sqlite database; this one is postgresql" in other[2]
    assert old[0] == 1
    assert "pg_dump refused: it is too old" in old[2]


def test_a_program_that_is_nowhere_is_one_sentence(monkeypatch, tmp_path):
    monkeypatch.setenv("PGBIN", str(tmp_path))
    monkeypatch.setenv("PATH", str(tmp_path))

    with pytest.raises(RuleBroken, match="pg_nothing is not on this computer"):
        _program("pg_nothing")
