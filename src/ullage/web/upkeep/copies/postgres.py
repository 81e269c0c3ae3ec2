"""Copies of a PostgreSQL database, by its own programs: one snapshot for copy and manifest."""

import os
import shutil
import subprocess
from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from secrets import token_hex
from typing import TYPE_CHECKING, Any

from ullage.core.errors import RuleBroken

if TYPE_CHECKING:
    from psycopg import Connection

__all__ = ["PostgresReading", "PostgresStore"]

_LONGEST_NAME = 63


class PostgresReading:
    """A database that is open for questions, read at one moment."""

    def __init__(self, connection: "Connection[tuple[Any, ...]]") -> None:
        self.connection = connection

    def ask(self, question: str) -> Iterable[tuple[Any, ...]]:
        """Ask in SQL; rows come as they are needed."""
        with self.connection.cursor(name=f"ask_{token_hex(4)}") as cursor:
            cursor.itersize = 2_000
            cursor.execute(question.encode())
            yield from cursor

    def tables(self) -> Mapping[str, int]:
        """Each table and how many rows it has."""
        from psycopg import sql

        listed = "SELECT tablename FROM pg_tables WHERE schemaname = current_schema() ORDER BY 1"
        counted: dict[str, int] = {}
        for (name,) in self.connection.execute(listed).fetchall():
            count = sql.SQL("SELECT COUNT(*) FROM {}").format(sql.Identifier(name))
            row = self.connection.execute(count).fetchone()
            counted[name] = int(row[0]) if row else 0
        return counted


@dataclass(frozen=True, slots=True)
class PostgresStore:
    """The database of the site on a server; ``reach`` is what libpq needs to get to it."""

    reach: Mapping[str, str]
    vendor: str = "postgresql"
    file: str = "ullage.dump"

    @classmethod
    def from_settings(cls, facts: Mapping[str, Any]) -> "PostgresStore":
        """From what Django has been told."""
        names = {"NAME": "dbname", "USER": "user", "PASSWORD": "password"}
        names |= {"HOST": "host", "PORT": "port"}
        return cls({ours: str(facts[one]) for one, ours in names.items() if facts.get(one)})

    @property
    def name(self) -> str:
        """The name of the database."""
        return self.reach.get("dbname", "ullage")

    @contextmanager
    def copied(self, folder: Path) -> Iterator[tuple[Path, PostgresReading]]:
        """A dump, and a reading in the snapshot that the dump was taken from."""
        copy = folder / self.file
        with self._reading(self.name) as reading:
            row = reading.connection.execute("SELECT pg_export_snapshot()").fetchone()
            snapshot = str(row[0]) if row else ""
            words = ["--format=custom", f"--snapshot={snapshot}", f"--file={copy}"]
            self._run("pg_dump", [*words, "--no-owner", "--no-privileges"], self.name)
            yield copy, reading

    @contextmanager
    def live(self) -> Iterator[PostgresReading]:
        """The database of the site as it is now."""
        with self._reading(self.name) as reading:
            yield reading

    @contextmanager
    def laid_out(self, copy: Path) -> Iterator[PostgresReading]:
        """A copy restored into a database of its own, which is dropped afterwards."""
        name = self._made("drill")
        try:
            self._fill(copy, name)
            with self._reading(name) as reading:
                yield reading
        finally:
            self._do("DROP DATABASE IF EXISTS {}", name)

    def put_in_place(self, copy: Path, at: str) -> str:
        """Restore beside, then change the names; the server refuses while anybody is connected."""
        import psycopg

        name = self._made("new")
        kept = f"{self.name[: _LONGEST_NAME - 24]}_before_{at}"
        try:
            self._fill(copy, name)
            self._do("ALTER DATABASE {} RENAME TO {}", self.name, kept)
        except (psycopg.Error, RuleBroken) as why:
            self._do("DROP DATABASE IF EXISTS {}", name)
            raise RuleBroken(f"Nothing was replaced: {_first_line(why)}") from why
        self._do("ALTER DATABASE {} RENAME TO {}", name, self.name)
        return f"database {kept}"

    @contextmanager
    def _reading(self, name: str) -> Iterator[PostgresReading]:
        import psycopg

        try:
            opened = psycopg.connect(self._to(name))
        except psycopg.Error as why:
            raise RuleBroken(f"The database cannot be reached: {_first_line(why)}") from why
        with opened as connection:
            connection.isolation_level = psycopg.IsolationLevel.REPEATABLE_READ
            connection.read_only = True
            yield PostgresReading(connection)

    def _to(self, name: str) -> str:
        """How libpq gets to one database of the server."""
        from psycopg.conninfo import make_conninfo

        return make_conninfo("", **{**self.reach, "dbname": name})

    def _made(self, what: str) -> str:
        """A new, empty database on the same server."""
        import psycopg

        name = f"{self.name[: _LONGEST_NAME - 24]}_{what}_{token_hex(4)}"
        try:
            self._do("CREATE DATABASE {} TEMPLATE template0", name)
        except psycopg.Error as why:
            raise RuleBroken(
                f"No database beside that of the site can be made: {_first_line(why)} "
                f"Give its user the right to: ALTER ROLE {self.reach.get('user', '')} CREATEDB"
            ) from why
        return name

    def _do(self, statement: str, *names: str) -> None:
        import psycopg
        from psycopg import sql

        beside = "template1" if self.name == "postgres" else "postgres"
        with psycopg.connect(self._to(beside), autocommit=True) as connection:
            quoted = sql.SQL(statement).format(*map(sql.Identifier, names))
            connection.execute(quoted)

    def _fill(self, copy: Path, name: str) -> None:
        words = ["--no-owner", "--no-privileges", "--exit-on-error", f"--dbname={name}", str(copy)]
        self._run("pg_restore", words, name)

    def _run(self, program: str, words: list[str], name: str) -> None:
        """Run one of PostgreSQL's programs; the password goes by the environment, unseen."""
        variables = {"user": "PGUSER", "password": "PGPASSWORD", "host": "PGHOST", "port": "PGPORT"}
        ours = {to: self.reach[one] for one, to in variables.items() if one in self.reach}
        done = subprocess.run(
            [_program(program), *words],
            env={**os.environ, **ours, "PGDATABASE": name},
            capture_output=True,
            text=True,
            check=False,
        )
        if done.returncode != 0:
            raise RuleBroken(f"{program} refused: {_first_line(done.stderr)}")


def _first_line(said: object) -> str:
    lines = [line.strip() for line in str(said).splitlines() if line.strip()]
    return lines[0][:240] if lines else "it did not say why."


def _program(name: str) -> str:
    """Where a program of PostgreSQL is: PGBIN, Debian's place, or the path."""
    places = [Path(os.environ["PGBIN"])] if "PGBIN" in os.environ else []
    places += sorted(Path("/usr/lib/postgresql").glob("*/bin"), reverse=True)
    for place in places:
        if (place / name).is_file():
            return str(place / name)
    found = shutil.which(name)
    if found is None:
        raise RuleBroken(
            f"{name} is not on this computer. It comes with the client programs of PostgreSQL "
            "(apt-get install postgresql-client); or set PGBIN to their folder."
        )
    return found
