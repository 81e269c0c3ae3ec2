"""The tidy table of records as Parquet: the same columns, each with its own type."""

import json
from collections.abc import Iterable, Sequence
from datetime import UTC
from tempfile import NamedTemporaryFile
from typing import Any

from ullage.answers.record.things import AnyLine
from ullage.answers.record.tidy import COLUMNS, tidy_description, tidy_rows

__all__ = ["tidy_parquet"]

_TYPES = {
    "text": "VARCHAR",
    "number": "DOUBLE",
    "count": "BIGINT",
    "yes or no": "BOOLEAN",
    "time": "TIMESTAMP WITH TIME ZONE",
}


def tidy_parquet(records: Sequence[Iterable[AnyLine]]) -> bytes:
    """The entries of one record or of several as the bytes of a Parquet file.

    Parameters
    ----------
    records : the lines of each, in their order.

    Returns
    -------
    The columns of the tidy table with their types; ``ullage`` in the metadata of the file holds
    the description of the columns as JSON, and each unit stands in its column besides.
    """
    import duckdb

    kept = [tuple(lines) for lines in records]
    rows = [row for lines in kept for row in tidy_rows(lines)]
    named = ", ".join(f'"{one.name}" {_TYPES[one.type]}' for one in COLUMNS)
    described = json.dumps(tidy_description(kept), ensure_ascii=False)
    with duckdb.connect(":memory:") as table, NamedTemporaryFile(suffix=".parquet") as file:
        table.execute("SET TimeZone = 'UTC'")
        table.execute(f"CREATE TABLE entries ({named})")
        if rows:
            taken = ", ".join("unnest(?)" for _ in COLUMNS)
            table.execute(f"INSERT INTO entries SELECT {taken}", _columns(rows))
        table.execute(
            f"COPY entries TO {_quoted(file.name)} "
            f"(FORMAT parquet, COMPRESSION zstd, USE_TMP_FILE false, "
            f"KV_METADATA {{ullage: {_quoted(described)}}})"
        )
        file.seek(0)
        return file.read()


def _columns(rows: Sequence[dict[str, Any]]) -> list[list[Any]]:
    return [[_plain(row.get(one.name), one.type) for row in rows] for one in COLUMNS]


def _plain(said: Any, of: str) -> Any:
    if said is None:
        return "" if of == "text" else None
    return said.astimezone(UTC) if of == "time" else said


def _quoted(text: str) -> str:
    """Text in the quotes of SQL."""
    return "'" + text.replace("'", "''") + "'"
