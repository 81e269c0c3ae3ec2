"""Tables as CSV that a spreadsheet shows and never runs, and from which every cell is read back."""

import csv
import io
import re
from collections.abc import Iterable, Mapping, Sequence

__all__ = ["GUARD", "guarded", "table_csv", "unguarded"]

#: What stands before text that a spreadsheet would take for a formula.
GUARD = "'"

#: With these a spreadsheet begins a formula; text that begins with the guard is guarded as well.
_BEGINS = ("=", "+", "-", "@", "\t", "\r", "\n", "\uff1d", "\uff0b", "\uff0d", "\uff20", GUARD)
_NUMBER = re.compile(r"[+-]?[0-9]+(?:\.[0-9]+)?(?:e[+-]?[0-9]+)?", re.ASCII)


def guarded(text: str) -> str:
    """A cell that no spreadsheet runs: text that looks like a formula gets an apostrophe.

    Plain numbers stay as they are. `unguarded` gives back what it was.

    >>> guarded("=1+1"), guarded("-3"), guarded("'tis"), guarded("-3 °C")
    ("'=1+1", '-3', "''tis", "'-3 °C")
    """
    if text.startswith(_BEGINS) and not _NUMBER.fullmatch(text):
        return f"{GUARD}{text}"
    return text


def unguarded(cell: str) -> str:
    """What a cell was before it was guarded: one apostrophe at its beginning is taken off.

    >>> unguarded("'=1+1"), unguarded("-3"), unguarded("''tis")
    ('=1+1', '-3', "'tis")
    """
    return cell.removeprefix(GUARD)


def table_csv(columns: Sequence[str], rows: Iterable[Mapping[str, str]]) -> str:
    """Rows under their names, by RFC 4180: commas, double quotes, lines ended by CR LF.

    Parameters
    ----------
    columns : names, in their order.
    rows : cells by name; one that is not there stays empty.

    >>> table_csv(["a", "b"], [{"a": "=x", "b": "1,2"}])
    'a,b\\r\\n\\'=x,"1,2"\\r\\n'
    """
    kept = io.StringIO(newline="")
    writer = csv.writer(kept, lineterminator="\r\n")
    writer.writerow(columns)
    for row in rows:
        writer.writerow([guarded(row.get(name, "")) for name in columns])
    return kept.getvalue()
