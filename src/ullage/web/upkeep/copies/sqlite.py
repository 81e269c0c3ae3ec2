"""Copies of a SQLite database by its own backup: the file of a live one, copied, lacks entries."""

import os
import sqlite3
from collections.abc import Iterable, Iterator, Mapping
from contextlib import closing, contextmanager
from pathlib import Path
from typing import Any

from ullage.core.errors import RuleBroken

__all__ = ["SqliteReading", "SqliteStore"]

_BESIDE = ("-wal", "-shm", "-journal")


class SqliteReading:
    """A database file that is open for questions."""

    def __init__(self, connection: sqlite3.Connection) -> None:
        self.connection = connection

    def ask(self, question: str) -> Iterable[tuple[Any, ...]]:
        """Ask in SQL."""
        return self.connection.execute(question)

    def tables(self) -> Mapping[str, int]:
        """Each table and how many rows it has."""
        listed = "SELECT name FROM sqlite_master WHERE type = 'table' AND name NOT LIKE 'sqlite_%'"
        names = sorted(name for (name,) in self.connection.execute(listed))
        count = 'SELECT COUNT(*) FROM "{}"'
        return {one: self.connection.execute(count.format(one)).fetchone()[0] for one in names}


class SqliteStore:
    """The database of the site in one file."""

    vendor = "sqlite"
    file = "ullage.sqlite3"

    def __init__(self, path: str) -> None:
        self.path = path

    @contextmanager
    def copied(self, folder: Path) -> Iterator[tuple[Path, SqliteReading]]:
        """A copy as one file, and a reading of it."""
        from django.db import connection

        if connection.in_atomic_block:
            # SQLite would wait for the end of a transaction that waits for it.
            raise RuleBroken("No backup is made in the middle of a change.")
        copy = folder / self.file
        connection.ensure_connection()
        with closing(sqlite3.connect(copy)) as made:
            connection.connection.backup(made)
            # One file, with nothing beside it that could be left behind.
            made.execute("PRAGMA journal_mode=DELETE")
        _sound(copy)
        with closing(_opened(copy)) as opened:
            yield copy, SqliteReading(opened)

    @contextmanager
    def live(self) -> Iterator[SqliteReading]:
        """The database of the site, by the connection that the site itself uses."""
        from django.db import connection

        connection.ensure_connection()
        yield SqliteReading(connection.connection)

    @contextmanager
    def laid_out(self, copy: Path) -> Iterator[SqliteReading]:
        """A copy opened where it lies."""
        _sound(copy)
        with closing(_opened(copy)) as opened:
            yield SqliteReading(opened)

    def put_in_place(self, copy: Path, at: str) -> str:
        """Move the file of the site aside with what belongs to it, and a copy into its place."""
        here = Path(self.path)
        kept = here.with_name(f"{here.stem}.before-{at}{here.suffix}")
        moved = ""
        for ending in ("", *_BESIDE):
            old = here.with_name(here.name + ending)
            if old.exists():
                old.rename(kept.with_name(kept.name + ending))
                moved = str(kept)
        copy.replace(here)
        if os.name == "posix":
            folder = os.open(here.parent, os.O_RDONLY)
            try:
                os.fsync(folder)
            finally:
                os.close(folder)
        return moved


def _opened(path: Path) -> sqlite3.Connection:
    return sqlite3.connect(f"{path.absolute().as_uri()}?mode=ro&immutable=1", uri=True)


def _sound(path: Path) -> None:
    """Ask SQLite itself whether the file is one of its own, whole.

    Raises
    ------
    RuleBroken : it is not.
    """
    try:
        with closing(_opened(path)) as opened:
            said = [row[0] for row in opened.execute("PRAGMA integrity_check(3)")]
    except sqlite3.DatabaseError as why:
        said = [str(why)]
    if said != ["ok"]:
        raise RuleBroken(f"The copy of the database is not sound: {'; '.join(said)[:200]}")
