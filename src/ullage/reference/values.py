"""One value a row, one table a subject: the loader of `reference/data`.

A row is a number (`Sourced`) or words (`Stated`); both carry source, place and how they are known.
"""

import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, fields
from enum import StrEnum
from functools import cache
from pathlib import Path
from typing import Any

from ullage.core.checks import not_negative
from ullage.core.errors import UnknownReference
from ullage.core.units import convert

__all__ = [
    "NOT_TABLES",
    "Band",
    "HowKnown",
    "Row",
    "Source",
    "Sourced",
    "Spread",
    "Standing",
    "Stated",
    "raw_table",
    "row_from",
    "sourced",
    "sources",
    "stated",
    "table",
    "tables",
]

_DATA = Path(__file__).parent / "data"

#: Files of the data that hold no rows of values: citations, and disagreements side by side.
NOT_TABLES = frozenset({"sources", "conflicts", "disagreements"})


class Standing(StrEnum):
    """How sure a value is."""

    EXACT = "exact"
    MEASURED = "measured"
    ESTIMATED = "estimated"
    ASSUMED = "assumed"


class HowKnown(StrEnum):
    """Who says so: read, recalled, worked out, the trade, or the site."""

    SEEN = "seen"
    MEMORY = "memory"
    COMPUTED = "computed"
    COMMON = "common"
    SITE = "site"

    @property
    def words(self) -> str:
        """The words that are shown beside a value."""
        return {
            "seen": "seen in print",
            "memory": "from memory, not confirmed",
            "computed": "computed",
            "common": "common practice, no source",
            "site": "site rule",
        }[self.value]


class Spread(StrEnum):
    """What a printed low and high mean, and so how they are drawn."""

    LIMIT = "limit"
    SD = "sd"
    RANGE = "range"

    @property
    def words(self) -> str:
        """The words that stand beside the band."""
        return {
            "limit": "a limit, taken as uniform",
            "sd": "a standard deviation, taken as normal",
            "range": "range of the values given",
        }[self.value]


@dataclass(frozen=True, slots=True, kw_only=True)
class Source:
    """Where values were read: citation, where it was seen, and when."""

    key: str
    cite: str
    seen_in: str = ""
    seen_on: str = ""
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Band:
    """The band that an answer uses for a value, and where the band itself comes from."""

    low: float
    high: float
    published: bool
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """What every row of a table carries, number or words."""

    key: str
    standing: Standing
    source: str
    where: str
    how_known: HowKnown
    gas: str = ""
    condition: str = ""
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Sourced(Row):
    """One number, its unit and band, how sure it is and where it stands in print.

    ``low`` and ``high`` are None where the source prints no spread.
    """

    value: float
    unit: str
    low: float | None = None
    high: float | None = None
    spread: Spread | None = None

    def band(self, assumed_share: float | None = None) -> Band:
        """The band of the row; where it has none, one of an assumed share, marked as such.

        Parameters
        ----------
        assumed_share : [1] share of the value either way, 0 or more; None takes the share that
            the table of supply values keeps for this purpose.

        Returns
        -------
        The band and its words; an exact value has no width. It counts as published only where
        the row was read or worked out from what was read.

        >>> sourced("supply", "whistle_kpa").band().words
        'a limit, taken as uniform'
        >>> sourced("supply", "begin_psi").band(0.1).words
        'spread not published; 10 % either way is assumed'
        """
        if self.standing is Standing.EXACT:
            return Band(low=self.value, high=self.value, published=True, words="exact")
        if self.low is not None and self.high is not None:
            words = self.spread.words if self.spread else Spread.RANGE.words
            published = self.how_known in {HowKnown.SEEN, HowKnown.COMPUTED}
            told = words if published else f"{words}; {self.how_known.words}"
            return Band(low=self.low, high=self.high, published=published, words=told)
        if assumed_share is None:
            assumed_share = sourced("supply", "unpublished_spread_share").value
        width = abs(self.value) * not_negative("assumed_share", assumed_share)
        return Band(
            low=self.value - width,
            high=self.value + width,
            published=False,
            words=f"spread not published; {100 * assumed_share:g} % either way is assumed",
        )

    def inside(self, kind: str) -> float:
        """The value in the unit used inside for a kind of quantity, such as ``pressure``.

        >>> round(sourced("supply", "begin_psi").inside("pressure"))
        6895
        """
        return convert(self.value, self.unit, kind)


@dataclass(frozen=True, slots=True, kw_only=True)
class Stated(Row):
    """One fact in words: a colour, a set of pins, a duty."""

    text: str


def tables() -> tuple[str, ...]:
    """The names of all tables of values."""
    return tuple(sorted(one.stem for one in _DATA.glob("*.toml") if one.stem not in NOT_TABLES))


@cache
def raw_table(name: str) -> Mapping[str, Any]:
    """One data file as written; rows are read with `table`."""
    path = _DATA / f"{name}.toml"
    if not path.is_file():
        raise UnknownReference(f"No table {name!r}. Tables: {', '.join(tables())}.")
    with path.open("rb") as opened:
        return tomllib.load(opened)


@cache
def table(name: str) -> dict[str, Sourced | Stated]:
    """All rows of one table by key; the key of a nested row has dots in it."""
    return {key: row_from(key, written) for key, written in _rows("", raw_table(name))}


def _rows(prefix: str, node: Any) -> Iterator[tuple[str, Mapping[str, Any]]]:
    """Walk down to every row, known by its ``how_known`` or the ``fact`` that it names."""
    if isinstance(node, Mapping) and ("how_known" in node or "fact" in node):
        yield prefix, node
    elif isinstance(node, Mapping):
        for key, below in node.items():
            yield from _rows(f"{prefix}.{key}" if prefix else key, below)
    elif isinstance(node, list):
        for count, below in enumerate(node, start=1):
            yield from _rows(f"{prefix}.{count}", below)


_KEPT = {kind: {one.name for one in fields(kind)} for kind in (Sourced, Stated)}


def row_from(key: str, written: Mapping[str, Any]) -> Sourced | Stated:
    """One row as the loader understands it: words when it has a ``text``, else a number."""
    if "fact" in written:
        from ullage.reference.taken import taken

        return taken(key, written)
    kind: type[Sourced] | type[Stated] = Stated if "text" in written else Sourced
    kept = {name: value for name, value in written.items() if name in _KEPT[kind]}
    for name in {"value", "low", "high"} & kept.keys():
        kept[name] = float(kept[name])
    kept["standing"] = Standing(written["standing"])
    kept["how_known"] = HowKnown(written["how_known"])
    if "spread" in kept:
        kept["spread"] = Spread(kept["spread"])
    return kind(key=key, **kept)


def sourced(name: str, key: str) -> Sourced:
    """One number of a table; an unknown key is answered with its nearest neighbours.

    >>> sourced("supply", "gauge_error_share").value
    0.025
    """
    row = _found(name, key)
    if not isinstance(row, Sourced):
        raise UnknownReference(f"{key!r} in {name} is not a number: {row.text!r}.")
    return row


def stated(name: str, key: str) -> Stated:
    """One fact in words of a table; an unknown key is answered with its nearest neighbours."""
    row = _found(name, key)
    if not isinstance(row, Stated):
        raise UnknownReference(f"{key!r} in {name} is a number: {row.value:g} {row.unit}.")
    return row


def _found(name: str, key: str) -> Sourced | Stated:
    rows = table(name)
    if key not in rows:
        from difflib import get_close_matches

        near = ", ".join(get_close_matches(key, rows)) or "none"
        raise UnknownReference(f"No value {key!r} in {name}. Similar: {near}.")
    return rows[key]


@cache
def sources() -> dict[str, Source]:
    """All sources by key."""
    return {key: Source(key=key, **row) for key, row in raw_table("sources").items()}
