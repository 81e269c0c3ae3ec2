"""One way to copy, read and lay out a database, on SQLite and on PostgreSQL."""

from collections.abc import Mapping
from contextlib import AbstractContextManager
from pathlib import Path
from typing import Protocol

from django.conf import settings

from ullage.web.upkeep.copies.chains import Ask

__all__ = ["Reading", "Store", "store_here"]


class Reading(Protocol):
    """A database that is open for questions, at one moment."""

    @property
    def ask(self) -> Ask:
        """Ask in SQL."""
        ...

    def tables(self) -> Mapping[str, int]:
        """Each table and how many rows it has."""
        ...


class Store(Protocol):
    """What can be done with the database of this installation as a whole."""

    @property
    def vendor(self) -> str:
        """Which kind of database it is."""
        ...

    def copied(self, folder: Path) -> AbstractContextManager[tuple[Path, Reading]]:
        """A consistent copy as a file, and a reading of exactly what is in it."""
        ...

    def live(self) -> AbstractContextManager[Reading]:
        """The database of the site as it is."""
        ...

    def laid_out(self, copy: Path) -> AbstractContextManager[Reading]:
        """A copy opened beside the database of the site; afterwards it is gone."""
        ...

    def put_in_place(self, copy: Path, at: str) -> str:
        """Make a copy the database of the site; say where the one before it is kept."""
        ...


def store_here() -> Store:
    """The store of this installation."""
    from ullage.web.upkeep.copies.postgres import PostgresStore
    from ullage.web.upkeep.copies.sqlite import SqliteStore

    facts = settings.DATABASES["default"]
    if facts["ENGINE"].endswith("postgresql"):
        return PostgresStore.from_settings(facts)
    return SqliteStore(str(facts["NAME"]))
