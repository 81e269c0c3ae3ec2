"""A chain as a file: every line with its sum, how far it goes, and the signatures of its heads.

The file is itself in the fixed form, so that no byte of it can change unseen.
"""

from collections.abc import Iterable, Mapping
from dataclasses import asdict, dataclass, fields
from typing import Any

from ullage.answers.record.chained import KINDS, Chained, Head, head_of
from ullage.answers.record.fixed import FORMAT, fixed_text, read_fixed
from ullage.answers.record.signed import HeadSignature
from ullage.core.errors import PlanUnreadable

__all__ = ["ChainFile", "export_chain", "read_export"]

_PARTS = ("count", "format", "head", "kind", "lines", "of", "signatures")
_SIGNED = tuple(one.name for one in fields(HeadSignature))
#: What to do with a print of a record.
_OF_PDF = "This is a PDF; save the record.json that is attached to it, and verify that."
_LOWER_HEX = frozenset("0123456789abcdef")


@dataclass(frozen=True, slots=True, kw_only=True)
class ChainFile:
    """What a file says: its lines by place, and the head and signatures that it states."""

    kind: str
    of: str
    texts: tuple[str, ...]
    sums: tuple[str, ...]
    stated: Head
    signatures: tuple[HeadSignature, ...] = ()


def export_chain(
    lines: tuple[Chained, ...],
    of: str,
    kind: str = "record",
    signatures: Iterable[HeadSignature] = (),
) -> bytes:
    """A chain as the bytes of a file.

    Parameters
    ----------
    lines : of the chain, in their order.
    of : the name of the record, or of the site whose register it is.
    kind : record or register.
    signatures : of heads of this chain.

    >>> export_chain((), "r1")[:24]
    b'{"count":0,"format":1,"h'
    """
    head = head_of(lines, of, kind)
    content = {
        "format": FORMAT,
        "kind": kind,
        "of": of,
        "count": head.count,
        "head": head.sum,
        "lines": [{"sum": one.sum, "text": one.text} for one in lines],
        "signatures": [asdict(one) for one in signatures],
    }
    return f"{fixed_text(content)}\n".encode()


def read_export(data: bytes) -> ChainFile:
    """What a file says; its chain is not verified yet.

    Raises
    ------
    PlanUnreadable : not UTF-8, not in the fixed form, parts missing or added, another format.
    """
    if data.startswith(b"%PDF-"):
        raise PlanUnreadable(_OF_PDF)
    try:
        text = data.decode("utf-8")
    except UnicodeDecodeError:
        raise PlanUnreadable("The file is not text in UTF-8.") from None
    if not text.endswith("\n"):
        raise PlanUnreadable(
            "The file does not end as it was written: its end is missing, or it was saved anew."
        )
    found = read_fixed(text[:-1])
    if found.get("format") != FORMAT:
        raise PlanUnreadable(
            f"The file is in format {str(found.get('format'))[:20]}; format {FORMAT} is read here."
        )
    _shaped(found)
    return ChainFile(
        kind=found["kind"],
        of=found["of"],
        texts=tuple(one["text"] for one in found["lines"]),
        sums=tuple(one["sum"] for one in found["lines"]),
        stated=Head(kind=found["kind"], of=found["of"], count=found["count"], sum=found["head"]),
        signatures=tuple(HeadSignature(**one) for one in found["signatures"]),
    )


def _shaped(found: Mapping[str, Any]) -> None:
    """Refuse a file whose parts are not those of a chain."""
    if set(found) != set(_PARTS):
        odd = sorted(set(found) ^ set(_PARTS))
        raise PlanUnreadable(f"Missing or unknown in the file: {', '.join(odd)[:80]}.")
    signed = found["signatures"]
    faults = {
        "The file is neither a record nor a register.": found["kind"] not in KINDS
        or not isinstance(found["of"], str),
        "The file does not say how far its chain goes.": type(found["count"]) is not int
        or not _is_hex(found["head"], 64),
        "A line of the file is not a text with its sum.": not _tables(
            found["lines"], ("sum", "text")
        ),
        "A signature of the file has not the parts of one.": not _tables(signed, _SIGNED),
    }
    for says, wrong in faults.items():
        if wrong:
            raise PlanUnreadable(says)
    if not all(_is_hex(one["key"], 64) and _is_hex(one["signature"], 128) for one in signed):
        raise PlanUnreadable("A signature of the file is not written as one.")


def _tables(rows: Any, names: tuple[str, ...]) -> bool:
    """Whether these are rows of exactly these parts: counts as numbers, the others as text."""
    return isinstance(rows, list) and all(
        isinstance(row, dict)
        and set(row) == set(names)
        and all(type(value) is (int if name == "count" else str) for name, value in row.items())
        for row in rows
    )


def _is_hex(text: Any, length: int) -> bool:
    return isinstance(text, str) and len(text) == length and set(text) <= _LOWER_HEX
