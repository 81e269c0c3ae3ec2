"""What is wrong with a chain, line by line: changed, missing, added, in another order."""

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any

from ullage.answers.record.chained import START, link
from ullage.answers.record.exported import ChainFile
from ullage.answers.record.fixed import read_fixed
from ullage.core.errors import PlanUnreadable

__all__ = ["Spotted", "spotted"]

#: The name under which a line says to which chain it belongs.
_BELONGS = {"record": "record", "register": "register"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Spotted:
    """One thing found: where, what, and in a sentence. ``place`` counts from 1 in the file."""

    where: str
    what: str
    says: str
    place: int = 0


@dataclass(frozen=True, slots=True)
class _Line:
    """One line of a file: its place, its own order number, and whether it stands on the last."""

    place: int
    text: str
    sum: str
    content: dict[str, Any] | None
    on_last: bool
    order: int = field(default=0)


def _lines(file: ChainFile) -> list[_Line]:
    lines, stated, worked_out = [], START, START
    for place, (text, one) in enumerate(zip(file.texts, file.sums, strict=True), start=1):
        try:
            content: dict[str, Any] | None = read_fixed(text)
        except PlanUnreadable:
            content = None
        order = content.get("order") if content else None
        follows = link(stated, text, file.kind)
        bound = {follows} if stated == worked_out else {follows, link(worked_out, text, file.kind)}
        lines.append(
            _Line(place, text, one, content, one in bound, order if type(order) is int else 0)
        )
        stated, worked_out = one, follows
    return lines


def spotted(file: ChainFile) -> tuple[Spotted, ...]:
    """Everything that is wrong with the chain of a file; nothing when it holds.

    Parameters
    ----------
    file : as read; its sums are worked out again from its texts.
    """
    lines = _lines(file)
    found = [
        *_changed(file, lines),
        *_missing(file, lines),
        *_twice(lines),
        *_foreign(file, lines),
        *_end(file, lines),
    ]
    return tuple(found)


def _changed(file: ChainFile, lines: list[_Line]) -> Iterator[Spotted]:
    """Lines that do not stand on the one before them, and why."""
    sums: dict[int, set[str]] = {0: {START}}
    for one in lines:
        sums.setdefault(one.order, set()).add(one.sum)
    last = 0
    for one in lines:
        what, says = _why(file, one, last, sums)
        if what:
            yield _told(one, what, says)
        last = one.order
    yield from _sums_changed(file, lines)


def _why(file: ChainFile, one: _Line, last: int, sums: dict[int, set[str]]) -> tuple[str, str]:
    """What is wrong with one line, behind the line of that order; empty where nothing is."""
    before = sums.get(one.order - 1)
    if one.content is None or one.order < 1:
        return "changed", "Its text is not as a record writes it."
    if one.on_last:
        if one.order != last + 1 and before:
            return "added", "It is bound to a line that its number does not follow."
        return "", ""
    if _stands(file, one, before):
        return "moved", "It is whole, but does not stand on the line before it."
    if before is None:
        return "not to be checked", "The line that it stands on is not here."
    if one.order == last + 1:
        return "changed", "Its text does not agree with its sum."
    return "added", "It is bound to no line of this chain."


def _stands(file: ChainFile, line: _Line, sums: set[str] | None) -> bool:
    """Whether a line is whole on a line of the number before its own, wherever that is."""
    return any(link(one, line.text, file.kind) == line.sum for one in sums or ())


def _sums_changed(file: ChainFile, lines: list[_Line]) -> Iterator[Spotted]:
    """A last line's sum is bound by nothing after it: the head that the file states tells."""
    if lines and lines[-1].sum != file.stated.sum:
        yield Spotted(
            where="The end",
            what="changed",
            says="The sum of the last line is not the one that the file states as its head.",
            place=lines[-1].place,
        )


def _missing(file: ChainFile, lines: list[_Line]) -> Iterator[Spotted]:
    """Order numbers that no line has."""
    there = {one.order for one in lines}
    top = min(max([file.stated.count, *there]), len(lines) + _MOST_NAMED)
    gone = [number for number in range(1, top + 1) if number not in there]
    for first, last in _runs(gone):
        named = f"Line {first}" if first == last else f"Lines {first} to {last}"
        yield Spotted(
            where=named,
            what="missing",
            says=f"{named} {'is' if first == last else 'are'} not in the file.",
        )


#: How far beyond the lines that are there missing ones are counted.
_MOST_NAMED = 10_000


def _runs(numbers: list[int]) -> Iterator[tuple[int, int]]:
    start = last = 0
    for one in numbers:
        if start and one == last + 1:
            last = one
            continue
        if start:
            yield start, last
        start = last = one
    if start:
        yield start, last


def _twice(lines: list[_Line]) -> Iterator[Spotted]:
    """Order numbers that stand more than once."""
    times = Counter(one.order for one in lines if one.order)
    for one in lines:
        if times[one.order] > 1:
            yield _told(one, "added", f"Order number {one.order} stands {times[one.order]} times.")


def _foreign(file: ChainFile, lines: list[_Line]) -> Iterator[Spotted]:
    """Lines that say that they belong to another record."""
    for one in lines:
        named = (one.content or {}).get(_BELONGS[file.kind], file.of)
        if named != file.of:
            yield _told(one, "added", f"It belongs to {str(named)[:40]}, not to {file.of[:40]}.")


def _end(file: ChainFile, lines: list[_Line]) -> Iterator[Spotted]:
    if file.stated.count != len(lines):
        yield Spotted(
            where="The end",
            what="changed",
            says=f"The file states {file.stated.count} lines and holds {len(lines)}.",
        )
    if not lines and file.stated.sum != START:
        yield Spotted(where="The end", what="missing", says="The file states a head and no line.")


def _told(line: _Line, what: str, says: str) -> Spotted:
    named = line.order or "?"
    return Spotted(
        where=f"Line {named} (place {line.place})", what=what, says=says, place=line.place
    )
