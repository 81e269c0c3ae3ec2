"""The fixed text of a line: one way to write it, so that the same content is the same bytes.

UTF-8 JSON, keys sorted, no blanks, numbers of readings as text just as they were typed, times in
UTC with microseconds. Only counts and format numbers are JSON numbers.
"""

import json
from collections.abc import Mapping
from datetime import UTC, datetime
from typing import Any

from ullage.core.errors import PlanUnreadable

__all__ = ["FORMAT", "fixed_text", "read_fixed", "read_utc", "utc_text"]

#: The number of the format that this page writes; a reader refuses a number that it does not know.
FORMAT = 1

#: More levels than this are no line of ours, and would exhaust the reader.
_DEEPEST = 8
#: Counts beyond this are read differently by different readers of JSON.
_MOST = 2**53


def utc_text(at: datetime) -> str:
    """A time as the record writes it.

    Raises
    ------
    PlanUnreadable : a time without a zone.

    >>> from datetime import timedelta, timezone
    >>> utc_text(datetime(2026, 6, 8, 11, 5, tzinfo=timezone(timedelta(hours=2))))
    '2026-06-08T09:05:00.000000Z'
    """
    if at.tzinfo is None:
        raise PlanUnreadable("A time of the record needs its zone; it is kept in UTC.")
    try:
        moved = at.astimezone(UTC).replace(tzinfo=None)
    except OverflowError:
        raise PlanUnreadable("The time lies outside the calendar.") from None
    return f"{moved.isoformat(timespec='microseconds')}Z"


def read_utc(text: str) -> datetime:
    """The time that `utc_text` wrote; nothing else is taken.

    Raises
    ------
    PlanUnreadable : not written so.
    """
    try:
        found = datetime.fromisoformat(text)
    except (TypeError, ValueError):
        found = None
    if found is None or found.tzinfo is None or utc_text(found) != text:
        raise PlanUnreadable(f"{str(text)[:40]!r} is not a time of the record.")
    return found


def fixed_text(content: Mapping[str, Any]) -> str:
    """Content in the one way in which it is chained.

    Parameters
    ----------
    content : text, whole numbers, yes and no, nothing, and lists and tables of these.

    Raises
    ------
    PlanUnreadable : a number with a fraction, text that UTF-8 cannot hold, a key that is no text.

    >>> fixed_text({"unit": "Cel", "number": "37.50", "order": 7})
    '{"number":"37.50","order":7,"unit":"Cel"}'
    """
    _only_fixed(content, 0)
    text = json.dumps(content, ensure_ascii=False, sort_keys=True, separators=(",", ":"))
    try:
        text.encode("utf-8")
    except UnicodeEncodeError:
        raise PlanUnreadable("The text holds half a character; it cannot be kept.") from None
    return text


def _only_fixed(node: Any, depth: int) -> None:
    if depth > _DEEPEST:
        raise PlanUnreadable("The content is nested too deeply for a line of a record.")
    if isinstance(node, Mapping):
        odd = [key for key in node if not isinstance(key, str)]
        if odd:
            raise PlanUnreadable(f"{odd[0]!r} is no name of a part of a line; names are text.")
    if isinstance(node, Mapping | list | tuple):
        for below in node.values() if isinstance(node, Mapping) else node:
            _only_fixed(below, depth + 1)
    else:
        _one_value(node)


def _one_value(value: Any) -> None:
    """Refuse what is neither text nor a count that every reader reads alike."""
    if isinstance(value, int) and abs(value) >= _MOST:
        raise PlanUnreadable("A count in a line is too large to be one.")
    if not (value is None or isinstance(value, str | int)):
        raise PlanUnreadable(
            f"{str(value)[:40]} cannot stand in a line: readings are kept as typed, as text."
        )


def read_fixed(text: str) -> dict[str, Any]:
    """The content of a fixed text.

    Raises
    ------
    PlanUnreadable : not JSON, not a table, or written in any other way than the fixed one.

    >>> read_fixed('{"order":7}')
    {'order': 7}
    """
    try:
        found = json.loads(text, object_pairs_hook=_once, parse_constant=_no_constant)
    except (ValueError, RecursionError):
        raise PlanUnreadable("This is not JSON as a record writes it.") from None
    if not isinstance(found, dict) or fixed_text(found) != text:
        raise PlanUnreadable("This is not in the fixed form: it was written by something else.")
    return found


def _once(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    found = dict(pairs)
    if len(found) != len(pairs):
        raise PlanUnreadable("A name stands twice in one table.")
    return found


def _no_constant(word: str) -> None:
    raise PlanUnreadable(f"{word} is no number of a record.")
