"""Lines as a tablet words them: JSON text in, an entry or an amendment out, nothing guessed.

Number and unit are read from what was typed. Author, order and receipt are the server's own; they
stand empty here.
"""

import json
import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta
from typing import Any

from ullage.answers.record.doubts import VARIABLE_KINDS
from ullage.answers.record.fixed import FORMAT
from ullage.answers.record.things import Amendment, EntryKind, EntryText, Times
from ullage.answers.record.words import read_reading
from ullage.core.errors import PlanUnreadable

__all__ = ["MOST_BYTES", "Posted", "amended_as_typed", "posted_names", "read_posted"]

#: A line of a record is no longer than this [byte].
MOST_BYTES = 16_384

_ALWAYS = {"format", "line", "record", "id", "written"}
_ENTRY = _ALWAYS | {"kind", "what", "typed", "observed"}
_AMENDMENT = _ALWAYS | {"of", "reason"}
_EITHER = {"typed", "details", "observed", "author_confirmed", "offset_s", "by"}
_MAYBE = {"entry": _EITHER | {"animal"}, "amendment": _EITHER | {"withdrawn"}}
_OFFSET = re.compile(r"[+-]?[0-9]{1,9}(?:\.[0-9]{1,6})?", re.ASCII)
_NO_ZONE = "Every time of a line needs its zone."


@dataclass(frozen=True, slots=True, kw_only=True)
class Posted:
    """A line as it was worded.

    ``author_confirmed`` says that its author was signed in when it was written; ``by`` is the
    account for which the page was made on which it was written, empty where nobody was.
    """

    line: EntryText | Amendment
    author_confirmed: bool = True
    by: str = ""


def posted_names(text: str) -> tuple[str, str]:
    """The id that a worded line gives itself and its record, as far as they can be read.

    >>> posted_names('{"id":"6b0c2f6e","record":"r","line":"?"}'), posted_names("[")
    (('6b0c2f6e', 'r'), ('', ''))
    """
    try:
        said = _content(text)
    except PlanUnreadable:
        return "", ""
    found = [said.get(name) for name in ("id", "record")]
    line_id, record = (one if isinstance(one, str) else "" for one in found)
    return line_id, record


def read_posted(text: str) -> Posted:
    """The line that a tablet worded.

    Parameters
    ----------
    text : JSON of at most `MOST_BYTES`, as the tablet made it.

    Returns
    -------
    An entry with its number read from what was typed, or an amendment as it was typed; order 1, no
    author, and received when it was written by the server's clock, until the server places it.

    Raises
    ------
    PlanUnreadable : too long, no JSON, another format, parts missing, unknown or of another kind.
    UnreadableQuantity : what was typed is no number with a unit of the variable.
    UnknownReference : no such variable.

    >>> read_posted(
    ...     '{"format":1,"line":"entry","record":"r","id":"a","kind":"vital","what":"heart_rate",'
    ...     '"typed":"120","observed":"2026-06-08T09:00:00Z","written":"2026-06-08T09:00:04Z"}'
    ... ).line.unit
    '/min'
    """
    if len(text.encode("utf-8", "surrogatepass")) > MOST_BYTES:
        raise PlanUnreadable(f"The entry is longer than {MOST_BYTES // 1024} kB.")
    said = _content(text)
    word = said.get("line")
    if said.get("format") != FORMAT or type(said["format"]) is not int:
        raise PlanUnreadable(f"An entry is worded in format {FORMAT}; this one is not.")
    if word not in _MAYBE:
        raise PlanUnreadable("Only entries and amendments are sent.")
    _named(said, _ENTRY if word == "entry" else _AMENDMENT, _MAYBE[word])
    line = _entry(said) if word == "entry" else _amendment(said)
    confirmed = _yes(said, "author_confirmed", True)
    return Posted(line=line, author_confirmed=confirmed, by=_text(said, "by"))


def amended_as_typed(line: Amendment, of: EntryText) -> Amendment:
    """An amendment with its number read, as a reading of the entry that it corrects.

    Parameters
    ----------
    line : as it was worded.
    of : the entry that it names.

    Raises
    ------
    UnreadableQuantity : what was typed is no number with a unit of the variable.
    """
    if of.kind not in VARIABLE_KINDS or not line.typed:
        return line
    read = read_reading(of.what, line.typed)
    return replace(line, number=read.number, unit=read.unit)


def _content(text: str) -> dict[str, Any]:
    try:
        found = json.loads(text, object_pairs_hook=_once, parse_constant=_no_number)
    except (ValueError, RecursionError):
        raise PlanUnreadable("The entry is not JSON.") from None
    if not isinstance(found, dict):
        raise PlanUnreadable("The entry is not a table of names and values.")
    return found


def _once(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    found = dict(pairs)
    if len(found) != len(pairs):
        raise PlanUnreadable("A name stands twice in the entry.")
    return found


def _no_number(word: str) -> None:
    raise PlanUnreadable(f"{word} is no number of a record.")


def _named(said: Mapping[str, Any], must: set[str], may: set[str]) -> None:
    odd = sorted((must - set(said)) | (set(said) - must - may))
    if odd:
        raise PlanUnreadable(f"Missing or unknown in the entry: {', '.join(odd)[:80]}.")


def _entry(said: Mapping[str, Any]) -> EntryText:
    kinds = {one.value: one for one in EntryKind}
    kind = kinds.get(_text(said, "kind"))
    if kind is None:
        raise PlanUnreadable(f"{said['kind'][:40]!r} is no kind of entry.")
    what, typed = _text(said, "what"), _text(said, "typed")
    read = read_reading(what, typed) if kind in VARIABLE_KINDS else None
    return EntryText(
        id=_text(said, "id"),
        record=_text(said, "record"),
        order=1,
        author="",
        times=_times(said, _time(said, "observed")),
        kind=kind,
        what=what,
        typed=typed,
        number=read.number if read else "",
        unit=read.unit if read else "",
        details=_details(said),
        animal=_text(said, "animal"),
        author_confirmed=_yes(said, "author_confirmed", True),
    )


def _amendment(said: Mapping[str, Any]) -> Amendment:
    return Amendment(
        id=_text(said, "id"),
        record=_text(said, "record"),
        order=1,
        author="",
        times=_times(said, None),
        of=_text(said, "of"),
        reason=_text(said, "reason"),
        typed=_text(said, "typed"),
        details=_details(said),
        observed=_time(said, "observed") if said.get("observed") is not None else None,
        withdrawn=_yes(said, "withdrawn", False),
    )


def _times(said: Mapping[str, Any], observed: datetime | None) -> Times:
    """The times of a line; one that was seen at no other time was seen when it was written."""
    written, offset = _time(said, "written"), said.get("offset_s")
    if offset is not None and not (isinstance(offset, str) and _OFFSET.fullmatch(offset)):
        raise PlanUnreadable("The offset of a clock is in seconds, as text.")
    offset_s = None if offset is None else float(offset)
    try:
        own = written - timedelta(seconds=offset_s or 0.0)
    except OverflowError:
        raise PlanUnreadable("The time lies outside the calendar.") from None
    return Times(
        observed=own if observed is None else observed,
        written=written,
        received=own,
        offset_s=offset_s,
    )


def _time(said: Mapping[str, Any], name: str) -> datetime:
    text = _text(said, name)
    try:
        found = datetime.fromisoformat(text)
        moved = found.astimezone(UTC)
    except (ValueError, OverflowError):
        raise PlanUnreadable(f"{name}: {text[:40]!r} is no time.") from None
    if found.tzinfo is None:
        raise PlanUnreadable(_NO_ZONE)
    return moved


def _text(said: Mapping[str, Any], name: str) -> str:
    found = said.get(name, "")
    if not isinstance(found, str):
        raise PlanUnreadable(f"{name} of an entry is text.")
    return found


def _yes(said: Mapping[str, Any], name: str, unsaid: bool) -> bool:
    found = said.get(name, unsaid)
    if not isinstance(found, bool):
        raise PlanUnreadable(f"{name} of an entry is true or false.")
    return found


def _details(said: Mapping[str, Any]) -> dict[str, str]:
    found = said.get("details", {})
    if not isinstance(found, dict) or not all(isinstance(one, str) for one in found.values()):
        raise PlanUnreadable("Details of an entry hold text by name.")
    return found
