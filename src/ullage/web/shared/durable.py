"""Settings on which it hangs that a commit outlives a power cut: read back, never taken on trust.

What is asked for in settings may be refused without a word: by a disk on the network, by a
library, by a server that somebody tuned.
"""

from typing import Any

from django.db.backends.base.base import BaseDatabaseWrapper

from ullage.core.errors import RuleBroken

__all__ = ["insist_durable", "insist_on_opening", "settings_read_back", "what_is_not_durable"]

#: What each setting must read, by the documentation of the database.
_SQLITE = {"journal_mode": {"wal"}, "synchronous": {"FULL", "EXTRA"}}
_POSTGRES = {
    "fsync": {"on"},
    "full_page_writes": {"on"},
    "synchronous_commit": {"on", "local", "remote_write", "remote_apply"},
}
#: Print of the documentation of SQLite: the numbers that `PRAGMA synchronous` answers with.
_SYNCHRONOUS = {0: "OFF", 1: "NORMAL", 2: "FULL", 3: "EXTRA"}


def settings_read_back(connection: BaseDatabaseWrapper) -> dict[str, str]:
    """Each setting as the database itself says that it is."""
    with connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            return {name: _one(cursor, f"SHOW {name}") for name in _POSTGRES}
        read = {name: _one(cursor, f"PRAGMA {name}") for name in _SQLITE}
    number = int(read["synchronous"])
    return {**read, "synchronous": _SYNCHRONOUS.get(number, str(number))}


def _one(cursor: Any, question: str) -> str:
    cursor.execute(question)
    return str(cursor.fetchone()[0])


def what_is_not_durable(connection: BaseDatabaseWrapper) -> str:
    """Say which settings would lose what was acknowledged; nothing where none would."""
    wanted = _POSTGRES if connection.vendor == "postgresql" else _SQLITE
    read = settings_read_back(connection)
    wrong = [f"{name} is {read[name]}" for name, good in wanted.items() if read[name] not in good]
    if not wrong:
        return ""
    if connection.vendor == "postgresql":
        cure = "Switch it on in the server's configuration and start again."
    else:
        cure = "It must lie on a disk of this computer, not on a network drive."
    return f"The database could lose what it has acknowledged: {', '.join(wrong)}. {cure}"


def insist_durable(connection: BaseDatabaseWrapper) -> None:
    """Refuse to go on with a database that could lose what it has acknowledged.

    Raises
    ------
    RuleBroken : with the setting and its cure.
    """
    wrong = what_is_not_durable(connection)
    if wrong:
        raise RuleBroken(wrong)


def insist_on_opening(connection: BaseDatabaseWrapper, **_: object) -> None:
    """Ask every SQLite connection as it opens; one in memory keeps nothing and is let through."""
    if connection.vendor != "sqlite" or connection.is_in_memory_db():  # type: ignore[attr-defined]  # SQLite's wrapper has it
        return
    try:
        insist_durable(connection)
    except RuleBroken:
        # An open connection is not asked again: whoever tries once more must open it anew.
        connection.close()
        raise
