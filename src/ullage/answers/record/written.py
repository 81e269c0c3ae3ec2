"""Lines of a record as content for the fixed text, and read back from it."""

from collections.abc import Callable, Mapping
from dataclasses import fields
from datetime import datetime
from enum import StrEnum
from math import inf, isfinite
from typing import Any

from ullage.answers.record.fixed import FORMAT, read_fixed, read_utc, utc_text
from ullage.answers.record.things import (
    Amendment,
    AnyLine,
    CaseOpened,
    EntryKind,
    EntryText,
    Meaning,
    SignatureText,
    Times,
)
from ullage.core.errors import PlanUnreadable

__all__ = ["content_of", "line_of_content", "line_of_text"]

#: The word for the kind of a line -> its class.
_LINES: Mapping[str, type[AnyLine]] = {
    "case": CaseOpened,
    "entry": EntryText,
    "amendment": Amendment,
    "signature": SignatureText,
}
_WORDS = {kind: word for word, kind in _LINES.items()}
_ENUMS: Mapping[str, type[StrEnum]] = {"kind": EntryKind, "meaning": Meaning}


def content_of(line: AnyLine) -> dict[str, Any]:
    """A line as content: every field by name, times in UTC, the format and the kind of line.

    >>> from datetime import UTC, datetime
    >>> at = datetime(2026, 6, 8, 9, 0, tzinfo=UTC)
    >>> content_of(
    ...     SignatureText(
    ...         id="s", record="r", order=9, author="S. Vale", printed_name="Sam Vale",
    ...         times=Times(observed=at, written=at, received=at), meaning=Meaning.REVIEWED,
    ...     )
    ... )["meaning"]
    'I have reviewed this record'
    """
    return {
        "format": FORMAT,
        "line": _WORDS[type(line)],
        **{one.name: _plain(getattr(line, one.name)) for one in fields(line)},
    }


def _plain(value: Any) -> Any:
    if isinstance(value, Times):
        offset = None if value.offset_s is None else f"{value.offset_s:.3f}"
        times = {name: utc_text(getattr(value, name)) for name in _TIMES}
        return {**times, "offset_s": offset}
    if isinstance(value, StrEnum):
        return value.value
    if isinstance(value, datetime):
        return utc_text(value)
    return dict(value) if isinstance(value, Mapping) else value


_TIMES = ("observed", "written", "received")


def line_of_text(text: str) -> AnyLine:
    """The line that a fixed text holds.

    Raises
    ------
    PlanUnreadable : not in the fixed form, another format, or parts missing, added or of another
        kind.
    """
    return line_of_content(read_fixed(text))


def line_of_content(content: Mapping[str, Any]) -> AnyLine:
    """The line that `content_of` turned into content.

    Raises
    ------
    PlanUnreadable : another format, or parts missing, added or of another kind.
    """
    if content.get("format") != FORMAT:
        raise PlanUnreadable(
            f"This is format {str(content.get('format'))[:20]}; format {FORMAT} can be read here."
        )
    kind = _LINES.get(str(content.get("line")))
    if kind is None:
        raise PlanUnreadable(f"{str(content.get('line'))[:20]!r} is no kind of line.")
    wanted = {one.name: one.type for one in fields(kind)}
    if set(content) != {"format", "line", *wanted}:
        odd = sorted(set(content) ^ {"format", "line", *wanted})
        raise PlanUnreadable(f"Missing or unknown in a line: {', '.join(odd)[:80]}.")
    return kind(**{name: _read(name, content[name], wanted[name]) for name in wanted})


def _read(name: str, value: Any, wanted: Any) -> Any:
    if name in _READERS:
        return _READERS[name](value)
    if name in _ENUMS:
        known = {one.value: one for one in _ENUMS[name]}
        if not isinstance(value, str) or value not in known:
            raise PlanUnreadable(f"{str(value)[:40]!r} is no {name} of a line.")
        return known[value]
    kind = wanted if wanted in {int, bool} else str
    if type(value) is not kind:
        raise PlanUnreadable(f"{name} of a line is no {kind.__name__}.")
    return value


def _read_named(value: Any) -> dict[str, str]:
    if not isinstance(value, dict) or not all(isinstance(one, str) for one in value.values()):
        raise PlanUnreadable("Details and facts of a line hold text by name.")
    return value


def _read_observed(value: Any) -> datetime | None:
    return None if value is None else read_utc(value)


def _read_times(value: Any) -> Times:
    if not isinstance(value, dict) or set(value) != {*_TIMES, "offset_s"}:
        raise PlanUnreadable("The times of a line are observed, written and received.")
    said = value["offset_s"]
    try:
        offset = None if said is None else float(said)
    except (TypeError, ValueError):
        offset = inf
    if offset is not None and (not isfinite(offset) or f"{offset:.3f}" != said):
        raise PlanUnreadable("The offset of a clock is in seconds with three decimals.")
    return Times(**{name: read_utc(value[name]) for name in _TIMES}, offset_s=offset)


_READERS: Mapping[str, Callable[[Any], Any]] = {
    "times": _read_times,
    "observed": _read_observed,
    "details": _read_named,
    "facts": _read_named,
}
