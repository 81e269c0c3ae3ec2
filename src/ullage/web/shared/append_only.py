"""Tables that only grow: the database itself refuses to change or to take away a row.

A migration writes ``AppendOnly("app_table")`` after the table and its constraints; the model says
``append_only = True``, and a test asks the database whether each such table is guarded. What is
refused raises IntegrityError on both databases.

Two things to know. SQLite builds a table anew when a later migration changes it, and the guards go
with the old one: end such a migration with the same operation again. And SQLite's REPLACE takes the
old row away without asking the guard of DELETE, so INSERT is guarded too: a row whose unique key is
taken is refused before SQLite looks at ON CONFLICT (``bulk_create(ignore_conflicts=True)`` raises).
"""

from collections.abc import Iterator
from typing import Any

from django.apps import apps
from django.db import connections
from django.db.backends.base.base import BaseDatabaseWrapper
from django.db.backends.base.schema import BaseDatabaseSchemaEditor
from django.db.migrations.operations.base import Operation
from django.db.migrations.state import ProjectState
from django.db.models import Model

__all__ = ["AppendOnly", "guard", "guarded_models", "missing_guards", "unguard"]

_REFUSED = "rows of {table} are never changed and never deleted"
_TAKEN = "a row of {table} with this key is there already"

_SQLITE = """
CREATE TRIGGER "{table}_no_{verb}" BEFORE {verb} ON "{table}"
BEGIN SELECT RAISE(ABORT, '{refused}'); END
"""
_SQLITE_KEY = """
CREATE TRIGGER "{table}_no_replace_{number}" BEFORE INSERT ON "{table}"
WHEN EXISTS (SELECT 1 FROM "{table}" WHERE {same})
BEGIN SELECT RAISE(ABORT, '{taken}'); END
"""
_POSTGRES_FUNCTION = """
CREATE OR REPLACE FUNCTION ullage_append_only() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
  RAISE EXCEPTION 'rows of % are never changed and never deleted', TG_TABLE_NAME
    USING ERRCODE = 'integrity_constraint_violation';
END $$
"""
_POSTGRES = (
    """
CREATE TRIGGER "{table}_no_change" BEFORE UPDATE OR DELETE ON "{table}"
FOR EACH ROW EXECUTE FUNCTION ullage_append_only()
""",
    """
CREATE TRIGGER "{table}_no_truncate" BEFORE TRUNCATE ON "{table}"
FOR EACH STATEMENT EXECUTE FUNCTION ullage_append_only()
""",
    'ALTER TABLE "{table}" ENABLE ALWAYS TRIGGER "{table}_no_change"',
    'ALTER TABLE "{table}" ENABLE ALWAYS TRIGGER "{table}_no_truncate"',
    'REVOKE UPDATE, DELETE, TRUNCATE ON "{table}" FROM PUBLIC',
)


class AppendOnly(Operation):
    """Migration operation: guard one table; run again, it guards it anew."""

    reduces_to_sql = True
    reversible = True

    def __init__(self, table: str) -> None:
        self.table = table

    def deconstruct(self) -> tuple[str, list[Any], dict[str, Any]]:
        """How a migration writes it."""
        return type(self).__name__, [self.table], {}

    def state_forwards(self, app_label: str, state: ProjectState) -> None:
        """The models stay as they are."""

    def database_forwards(
        self,
        app_label: str,
        schema_editor: BaseDatabaseSchemaEditor,
        from_state: ProjectState,
        to_state: ProjectState,
    ) -> None:
        """Set the guards."""
        for sql in _setting(schema_editor.connection, self.table):
            schema_editor.execute(sql, None)

    def database_backwards(
        self,
        app_label: str,
        schema_editor: BaseDatabaseSchemaEditor,
        from_state: ProjectState,
        to_state: ProjectState,
    ) -> None:
        """Take the guards away, as the table itself goes."""
        for sql in _lifting(schema_editor.connection, self.table):
            schema_editor.execute(sql, None)

    def describe(self) -> str:
        """What `migrate` prints."""
        return f"Guard {self.table}: rows are added, never changed or deleted"


def guard(connection: BaseDatabaseWrapper, table: str) -> None:
    """Set the guards of one table, anew if there are some."""
    with connection.cursor() as cursor:
        for sql in _setting(connection, table):
            cursor.execute(sql)


def unguard(connection: BaseDatabaseWrapper, table: str) -> None:
    """Take the guards of one table away: for emptying a database of tests, nothing else."""
    with connection.cursor() as cursor:
        for sql in _lifting(connection, table):
            cursor.execute(sql)


def guarded_models() -> list[type[Model]]:
    """Every model that says of itself that it only grows."""
    return [model for model in apps.get_models() if getattr(model, "append_only", False)]


def missing_guards(using: str = "default") -> list[str]:
    """The tables that should be guarded and are not, by asking the database."""
    connection = connections[using]
    tables = [model._meta.db_table for model in guarded_models()]
    wanted = {one: _names(connection, one) for one in tables}
    return [table for table, names in wanted.items() if not names <= _found(connection, table)]


def _setting(connection: BaseDatabaseWrapper, table: str) -> Iterator[str]:
    yield from _lifting(connection, table)
    said = {"table": table, "refused": _REFUSED.format(table=table)}
    if connection.vendor == "postgresql":
        yield _POSTGRES_FUNCTION
        yield from (sql.format(**said) for sql in _POSTGRES)
        return
    for verb in ("update", "delete"):
        yield _SQLITE.format(verb=verb, **said)
    taken = _TAKEN.format(table=table)
    for number, columns in enumerate(_keys(connection, table)):
        same = " AND ".join(f'"{one}" = NEW."{one}"' for one in columns)
        yield _SQLITE_KEY.format(table=table, number=number, same=same, taken=taken)


def _lifting(connection: BaseDatabaseWrapper, table: str) -> Iterator[str]:
    on = f' ON "{table}"' if connection.vendor == "postgresql" else ""
    for name in sorted(_found(connection, table)):
        yield f'DROP TRIGGER IF EXISTS "{name}"{on}'


def _names(connection: BaseDatabaseWrapper, table: str) -> set[str]:
    """The guards that a table must have."""
    if connection.vendor == "postgresql":
        return {f"{table}_no_change", f"{table}_no_truncate"}
    keys = {f"{table}_no_replace_{number}" for number, _ in enumerate(_keys(connection, table))}
    return {f"{table}_no_update", f"{table}_no_delete"} | keys


def _found(connection: BaseDatabaseWrapper, table: str) -> set[str]:
    """The guards that a table has; on PostgreSQL only those that are switched on."""
    sql = "SELECT name FROM sqlite_master WHERE type = 'trigger' AND tbl_name = %s"
    if connection.vendor == "postgresql":
        sql = (
            "SELECT tgname FROM pg_trigger WHERE tgrelid = to_regclass(quote_ident(%s)) "
            "AND NOT tgisinternal AND tgenabled = 'A'"
        )
    with connection.cursor() as cursor:
        cursor.execute(sql, [table])
        return {name for (name,) in cursor.fetchall() if name.startswith(f"{table}_no_")}


def _keys(connection: BaseDatabaseWrapper, table: str) -> list[tuple[str, ...]]:
    """The columns of each unique key in SQLite; keys under a condition are left to SQLite."""
    with connection.cursor() as cursor:
        cursor.execute(f'PRAGMA table_info("{table}")')
        primary = [(row[5], row[1]) for row in cursor.fetchall() if row[5]]
        cursor.execute(f'PRAGMA index_list("{table}")')
        whole = sorted(row[1] for row in cursor.fetchall() if row[2] and not row[4])
        keys = {tuple(name for _, name in sorted(primary))} if primary else set()
        for index in whole:
            cursor.execute(f'PRAGMA index_info("{index}")')
            keys.add(tuple(row[2] for row in cursor.fetchall()))
    return sorted(keys)
