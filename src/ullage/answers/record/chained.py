"""The chain: each line is bound to all before it by one SHA-256 sum.

The sum of a line is taken over the name of the format, the sum before it and its fixed text. The
first line stands on 64 zeros. Records and registers of a site are chained alike, under other names.
"""

import hashlib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from ullage.answers.record.fixed import FORMAT, fixed_text
from ullage.core.errors import RuleBroken

__all__ = ["START", "Chained", "Head", "chained", "head_of", "link", "next_link", "register_line"]

#: What the first line of a chain stands on.
START = "0" * 64
KINDS = ("record", "register")


@dataclass(frozen=True, slots=True, kw_only=True)
class Chained:
    """One line of a chain: its fixed text and its sum."""

    order: int
    text: str
    sum: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Head:
    """How far a chain goes: what it is of, how many lines, and the sum of the last one."""

    kind: str
    of: str
    count: int
    sum: str


def link(before: str, text: str, kind: str = "record") -> str:
    """The sum of a line, from the sum before it and its fixed text.

    >>> link(START, '{"order":1}')[:16]
    'a1f571aaba81dc90'
    """
    begins = f"ullage {kind} {FORMAT}\n{before}\n".encode()
    return hashlib.sha256(begins + text.encode("utf-8")).hexdigest()


def next_link(before: Chained | None, content: Mapping[str, Any], kind: str = "record") -> Chained:
    """The next line of a chain.

    Parameters
    ----------
    before : the last line so far; None for the first.
    content : of the line, with its ``order``, which is one more than that of the line before.
    kind : record or register.

    Raises
    ------
    RuleBroken : an order number that does not follow.
    """
    follows = 1 if before is None else before.order + 1
    if content.get("order") != follows or type(content["order"]) is not int:
        raise RuleBroken(
            f"Line {follows} comes next, not {content.get('order')}. Read the record again."
        )
    text = fixed_text(content)
    return Chained(order=follows, text=text, sum=link(before.sum if before else START, text, kind))


def chained(contents: Iterable[Mapping[str, Any]], kind: str = "record") -> tuple[Chained, ...]:
    """A whole chain from the content of its lines."""
    lines: list[Chained] = []
    for one in contents:
        lines.append(next_link(lines[-1] if lines else None, one, kind))
    return tuple(lines)


def head_of(lines: tuple[Chained, ...], of: str, kind: str = "record") -> Head:
    """The head of a chain; of none, the start."""
    last = lines[-1].sum if lines else START
    return Head(kind=kind, of=of, count=len(lines), sum=last)


def register_line(head: Head, site: str, order: int, at: str) -> dict[str, Any]:
    """The line of a site's register that keeps how far a record went.

    Parameters
    ----------
    head : of the record.
    site : whose register it is.
    order : of the line in the register.
    at : the time, as the record writes it.
    """
    return {
        "format": FORMAT,
        "line": "head",
        "register": site,
        "order": order,
        "record": head.of,
        "count": head.count,
        "sum": head.sum,
        "at": at,
    }
