"""Several statements in one trip to the database, in plain SQL, where each millisecond counts.

On PostgreSQL they go as one text, and each still sees all that was committed before it begins, so
that a statement after one that waited for a row reads what the other writer left. SQLite is no
trip away and is asked one by one. Values are always parameters.
"""

from collections.abc import Sequence
from typing import Any

from django.db import connection
from django.db.models import Model

__all__ = ["Statement", "answers_together", "insertion", "listed"]

#: SQL with ``%s`` for each value, and the values.
type Statement = tuple[str, Sequence[Any]]


def answers_together(*statements: Statement) -> list[list[Any]]:
    """The rows that each statement answers with; none for one that only writes."""
    with connection.cursor() as cursor:
        if connection.vendor != "postgresql":
            return [_answer(cursor, *one) for one in statements]
        cursor.execute(
            ";".join(sql for sql, _ in statements),
            [value for _, values in statements for value in values],
        )
        found = [_rows(cursor)]
        while cursor.nextset():
            found.append(_rows(cursor))
        return found


def _answer(cursor: Any, sql: str, values: Sequence[Any]) -> list[Any]:
    cursor.execute(sql, values)
    return _rows(cursor)


def _rows(cursor: Any) -> list[Any]:
    return list(cursor.fetchall()) if cursor.description else []


def listed(values: Sequence[Any]) -> Statement:
    """Values as what stands in the brackets of IN; of none, NULL, which nothing equals."""
    return ", ".join(["%s"] * len(values)) or "NULL", values


def insertion(rows: Sequence[Model]) -> Statement:
    """INSERT of rows of one model, each field as the field itself writes it; answers with keys."""
    meta = rows[0]._meta
    fields = [one for one in meta.local_concrete_fields if not one.primary_key]
    names = ", ".join(f'"{one.column}"' for one in fields)
    row = f"({', '.join(['%s'] * len(fields))})"
    key = meta.pk.column if meta.pk else ""
    sql = (
        f'INSERT INTO "{meta.db_table}" ({names}) VALUES {", ".join([row] * len(rows))} '  # noqa: S608  # names of our own model
        f'RETURNING "{key}"'
    )
    return sql, [
        field.get_db_prep_save(field.pre_save(one, add=True), connection)
        for one in rows
        for field in fields
    ]
