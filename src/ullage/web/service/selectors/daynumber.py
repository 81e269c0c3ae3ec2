"""Days as whole numbers inside a query, so that a due date is a sum on every database."""

from typing import Any

from django.db.models import Field, Func
from django.db.models.sql.compiler import SQLCompiler

__all__ = ["DayNumber"]


class PlainNumber(Field[Any, Any]):
    """A whole number taken as the driver hands it over, which spares a call for each row."""

    def db_type(self, connection: Any) -> str:
        """What every database calls it."""
        return "integer"


#: What the Julian day at midnight, cut to a whole number, is ahead of `date.toordinal`.
_AHEAD = 1721424


class DayNumber(Func):
    """A date, or its text as ISO 8601, as the ordinal that `date.fromordinal` reads."""

    arity = 1
    output_field = PlainNumber()
    template = "((%(expressions)s)::date - DATE '0001-01-01' + 1)"

    def as_sqlite(self, compiler: SQLCompiler, connection: Any, **context: Any) -> Any:
        """SQLite keeps dates as text and counts days from noon of a day long ago."""
        template = f"(CAST(julianday(%(expressions)s) AS INTEGER) - {_AHEAD})"
        return self.as_sql(compiler, connection, template=template, **context)
