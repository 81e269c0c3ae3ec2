"""One number a row, one table a subject: the loader of `reference/data`."""

import tomllib
from dataclasses import dataclass
from difflib import get_close_matches
from enum import StrEnum
from functools import cache
from pathlib import Path

from ullage.core.errors import UnknownReference

__all__ = ["HowKnown", "Source", "Sourced", "Standing", "sourced", "sources", "table", "tables"]

_DATA = Path(__file__).parent / "data"


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
            "common": "common practice",
            "site": "site rule",
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
class Sourced:
    """One number, its unit and band, how sure it is and where it stands in print.

    ``low`` and ``high`` are None where the source prints no spread.
    """

    key: str
    value: float
    unit: str
    low: float | None = None
    high: float | None = None
    standing: Standing
    source: str
    where: str
    how_known: HowKnown
    note: str = ""
    seen_on: str = ""


def tables() -> tuple[str, ...]:
    """The names of all tables of values."""
    return tuple(sorted(one.stem for one in _DATA.glob("*.toml") if one.stem != "sources"))


@cache
def table(name: str) -> dict[str, Sourced]:
    """All values of one table by key."""
    path = _DATA / f"{name}.toml"
    if not path.is_file():
        raise UnknownReference(f"No table {name!r}. Tables: {', '.join(tables())}.")
    with path.open("rb") as opened:
        rows = tomllib.load(opened)
    return {key: _row(key, row) for key, row in rows.items()}


def _row(key: str, row: dict[str, object]) -> Sourced:
    kept = {name: value for name, value in row.items() if name not in {"standing", "how_known"}}
    return Sourced(
        key=key,
        standing=Standing(str(row["standing"])),
        how_known=HowKnown(str(row["how_known"])),
        **kept,  # type: ignore[arg-type]  # the data tests check every field's type
    )


def sourced(name: str, key: str) -> Sourced:
    """One sourced value; an unknown key is answered with its nearest neighbours."""
    rows = table(name)
    if key not in rows:
        near = ", ".join(get_close_matches(key, rows)) or "none"
        raise UnknownReference(f"No value {key!r} in {name}. Similar: {near}.")
    return rows[key]


@cache
def sources() -> dict[str, Source]:
    """All sources by key."""
    with (_DATA / "sources.toml").open("rb") as opened:
        rows = tomllib.load(opened)
    return {key: Source(key=key, **row) for key, row in rows.items()}
