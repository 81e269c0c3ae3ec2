"""Values taken from a row of a fact table: the number stays there, its mark comes along.

A row of a small table that says ``fact = "agents_values:PHY-004"`` holds no number of its own.
Where a cell holds several numbers, ``part`` says which one, counted from 1; two parts are the
ends of a range, three its middle and ends. ``of = "note"`` takes it from the note of the row.
A mark written beside it may lower that of the row, never raise it; a condition may say more exactly
what the number is of.
"""

import re
from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

from ullage.core.errors import UnknownReference
from ullage.reference.facts import Fact, fact
from ullage.reference.values import HowKnown, Sourced, Spread, Standing

__all__ = ["number_of", "numbers_in", "taken"]

#: How the fact tables spell a unit -> how we do.
_SPELLED = {"-": "1", "": "1", "fraction": "1", "degC": "°C", "C": "°C", "mL/mL": "L/L"}

#: A minus is a sign where neither a number nor a plus stands before it: 0.63-0.69, +-20.
_NUMBER = re.compile(r"(?<![\w.])(?:(?<!\+)-)?\d+(?:\.\d+)?")
_RANGE = re.compile(r"^(?:CI |CL )?(\d+(?:\.\d+)?)-(\d+(?:\.\d+)?)\b")
_SD = re.compile(r"^(?:\+-)?(\d+(?:\.\d+)?)(?: SD)?(?: n=\d+)?$")
_SHARE = re.compile(r"\+-(\d+(?:\.\d+)?) %")


def numbers_in(text: str) -> tuple[float, ...]:
    """Every number of a cell, in order; a range gives its two ends.

    >>> numbers_in("480; 60/27/7/6; 14/52/7/6")[:3]
    (480.0, 60.0, 27.0)
    >>> numbers_in("0.63-0.69"), numbers_in("-17; -24")
    ((0.63, 0.69), (-17.0, -24.0))
    """
    return tuple(float(one) for one in _NUMBER.findall(text))


def taken(key: str, written: Mapping[str, Any]) -> Sourced:
    """The value of a row that names a row of a fact table.

    Raises
    ------
    UnknownReference : no such row, or a cell with several numbers and no ``part``.
    """
    table, _, name = written["fact"].partition(":")
    row = fact(table, name)
    if written.get("of") == "note":
        row = replace(row, value=row.note, number=None, spread="", quantity=f"{row.quantity}, note")
    if written.get("how_known") == HowKnown.MEMORY.value:
        row = replace(row, how_known=HowKnown.MEMORY)
    found = number_of(row, written.get("part"), written.get("unit"))
    return replace(found, key=key, condition=written.get("condition", found.condition))


def number_of(
    row: Fact, part: int | Sequence[int] | None = None, unit: str | None = None
) -> Sourced:
    """One number of a row of a fact table, with the mark of the row and a place that names it.

    Parameters
    ----------
    row : of a fact table.
    part : which number of the cell, counted from 1; two for low and high, three for middle, low and
        high; None for a cell that holds one number, or a range.
    unit : where the table's own spelling is that of several numbers.

    Raises
    ------
    UnknownReference : a cell that does not hold that number.

    >>> number_of(fact("agents_values", "PHY-004")).value
    238.0
    >>> number_of(fact("agents_values", "PHY-012")).how_known.words
    'computed'
    """
    value, low, high, spread, middle = _value(row, part)
    how = row.how_known or HowKnown.MEMORY
    if how is HowKnown.SEEN and (middle or row.spread == "derived"):
        how = HowKnown.COMPUTED
    known_by = f"{row.table}_memory" if how is HowKnown.MEMORY else row.table
    return Sourced(
        key=row.key,
        value=value,
        unit=unit or _SPELLED.get(row.unit, row.unit),
        low=low,
        high=high,
        spread=spread,
        standing=row.standing or Standing.ESTIMATED,
        source=known_by,
        where=f"{row.key}: {row.quantity}, {row.subject}. {row.source}",
        how_known=how,
        condition=row.condition,
        note=row.note,
    )


def _value(
    row: Fact, part: int | Sequence[int] | None
) -> tuple[float, float | None, float | None, Spread | None, bool]:
    """Value, low, high and spread, and whether the value is the middle of a range."""
    if part is not None:
        found = _parts(row, (part,) if isinstance(part, int) else part)
        if len(found) == 1:
            return found[0], None, None, None, False
        low, high = found[-2:]
        value = found[0] if len(found) == 3 else (low + high) / 2.0
        return value, low, high, Spread.RANGE, len(found) == 2
    if row.number is not None:
        return row.number, *_band(row.number, row.spread), False
    if _RANGE.fullmatch(row.value.strip()):
        low, high = sorted(numbers_in(row.value))
        return (low + high) / 2.0, low, high, Spread.RANGE, True
    raise UnknownReference(f"{row.place} holds no single number: {row.value!r}. Name its part.")


def _parts(row: Fact, parts: Sequence[int]) -> tuple[float, ...]:
    numbers = numbers_in(row.value)
    for one in parts:
        if not 1 <= one <= len(numbers):
            raise UnknownReference(f"{row.place} holds no number {one}: {row.value!r}.")
    return tuple(numbers[one - 1] for one in parts)


def _band(value: float, spread: str) -> tuple[float | None, float | None, Spread | None]:
    """The band that a spread in words comes to; a standard error is none."""
    said = spread.strip()
    if found := _RANGE.match(said):
        low, high = float(found[1]), float(found[2])
        return (low, high, Spread.RANGE) if low <= value <= high else (None, None, None)
    if found := _SD.match(said):
        return value - float(found[1]), value + float(found[1]), Spread.SD
    if found := _SHARE.search(said):
        width = abs(value) * float(found[1]) / 100.0
        return value - width, value + width, Spread.RANGE
    return None, None, None
