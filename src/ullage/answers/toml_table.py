"""One table of a TOML file being read: values as people write them, errors with line and key."""

import re
import tomllib
from collections.abc import Iterable, Iterator
from difflib import get_close_matches
from enum import StrEnum
from math import inf
from typing import Any

from ullage.answers.toml_lines import line_of
from ullage.core.errors import PlanUnreadable, UllageError
from ullage.core.units import read_quantity

__all__ = ["TomlTable", "first_table"]

_CLOCK = re.compile(r"^(\d{1,2})[:.h](\d{2})$")
_YES = {"yes": True, "true": True, "no": False, "false": False}


def first_table(text: str) -> "TomlTable":
    """The whole text as a table; empty or malformed TOML is refused with its line.

    Raises
    ------
    PlanUnreadable : nothing in it, or not TOML.

    >>> first_table('[day]\\nname = "x"\\n').table("day").text("name")
    'x'
    """
    if not text.strip():
        raise PlanUnreadable("Line 1: the file is empty; it needs tables as the examples have.")
    try:
        found = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise PlanUnreadable(_malformed(text, str(error))) from None
    return TomlTable(text, (), found)


def _malformed(text: str, said: str) -> str:
    found = re.search(r"^(.*?) \(at line (\d+), column (\d+)\)$", said)
    if found is None:
        line = text.rstrip().count("\n") + 1
        return f"Line {line}: {said.removesuffix('(at end of document)').strip()}; not valid TOML."
    words, line = found[1], int(found[2])
    lines = text.splitlines()
    written = lines[line - 1].strip() if line <= len(lines) else ""
    key = written.partition("=")[0].strip()
    named = f", {key}" if "=" in written and key else ""
    return f"Line {line}{named}: {words}; not valid TOML: {written[:60]!r}."


class TomlTable:
    """A table with its place in the text; keys asked for are remembered, others are refused."""

    def __init__(self, text: str, path: tuple[str | int, ...], table: dict[str, Any]) -> None:
        self._text, self._path, self._table = text, path, table
        self._asked: set[str] = set()

    def __contains__(self, key: str) -> bool:
        return key in self._table

    def refused(self, key: str, sentence: str) -> PlanUnreadable:
        """The error that names line and key."""
        line = line_of(self._text, (*self._path, key) if key else self._path)
        named = f", {key}" if key else ""
        return PlanUnreadable(f"Line {line}{named}: {sentence}")

    def missing(self, key: str, sentence: str) -> PlanUnreadable:
        """The error for a key that must be there; a misspelt one is named instead."""
        unknown = [one for one in self._table if one not in self._asked]
        near = get_close_matches(key, unknown, n=1, cutoff=0.7)
        if near:
            return self.refused(near[0], f"{near[0]!r} is not a key here; the nearest is {key!r}.")
        return self.refused(key, sentence)

    def wrapped(self, key: str, error: UllageError) -> PlanUnreadable:
        """Another error of ours, with line and key before its sentence."""
        return self.refused(key, str(error))

    def raw(self, key: str) -> Any:
        """The value as TOML gave it; None where it is not there."""
        self._asked.add(key)
        return self._table.get(key)

    def text(self, key: str, default: str | None = None) -> str:
        """Words; without a default the key must be there."""
        found = self.raw(key)
        if found is None:
            if default is None:
                raise self.missing(key, f"{self._title()} needs {key!r}.")
            return default
        if not isinstance(found, str) or (default is None and not found.strip()):
            raise self.refused(key, f"{found!r} must be words in quotation marks.")
        return found.strip()

    def quantity(
        self, key: str, kind: str, *, low: float = 0.0, high: float = inf, above: bool = False
    ) -> float | None:
        """A number with its unit, in the unit used inside; None where it is not there."""
        found = self.raw(key)
        if found is None:
            return None
        if isinstance(found, bool) or not isinstance(found, str):
            raise self.refused(key, f"{found!r} must be text with its unit, such as {_LIKE[kind]}.")
        try:
            value = read_quantity(found, kind)
        except UllageError as error:
            raise self.wrapped(key, error) from None
        if not low <= value <= high or (above and value <= low):
            raise self.refused(key, f"{found!r} {_allowed(kind, low, high, above)}.")
        return value

    def needed(self, key: str, kind: str, *, high: float = inf) -> float:
        """A number above 0 that must be there."""
        found = self.quantity(key, kind, high=high, above=True)
        if found is None:
            raise self.missing(key, f"{self._title()} needs {key!r}, such as {_LIKE[kind]}.")
        return found

    def count(self, key: str, default: int = 0) -> int:
        """A whole number, 0 or more."""
        found = self.raw(key)
        if found is None:
            return default
        if isinstance(found, str) and found.strip().isdigit():
            found = int(found)
        if isinstance(found, bool) or not isinstance(found, int) or not 0 <= found <= 1000:
            raise self.refused(key, f"{found!r} must be a whole number from 0 to 1000.")
        return found

    def flag(self, key: str) -> bool | None:
        """Yes or no; None where it is not there or unknown."""
        found = self.raw(key)
        if found is None or isinstance(found, bool) or str(found).lower() == "unknown":
            return found if isinstance(found, bool) else None
        if str(found).lower() not in _YES:
            raise self.refused(key, f"{found!r} must be true, false or unknown.")
        return _YES[str(found).lower()]

    def clock_min(self, key: str) -> float | None:
        """A time of day as minutes after midnight; None where it is not there."""
        found = self.raw(key)
        if found is None:
            return None
        if hasattr(found, "hour") and hasattr(found, "minute"):
            return float(found.hour * 60 + found.minute) + getattr(found, "second", 0) / 60.0
        read = _CLOCK.match(str(found).strip())
        if read is None or int(read[1]) > 23 or int(read[2]) > 59:
            raise self.refused(key, f'{found!r} must be a time of day, such as "10:30".')
        return int(read[1]) * 60.0 + int(read[2])

    def choice[Kind: StrEnum](self, key: str, kinds: type[Kind], default: Kind | None) -> Kind:
        """One of a fixed set of words; a near match is offered."""
        if default is not None and key not in self:
            self.raw(key)
            return default
        written = self.text(key).lower().replace("_", " ")
        words = [one.value for one in kinds]
        if written not in words:
            raise self.refused(key, f"{written!r} is not known{_near(written, words)}.")
        return kinds(written)

    def names(self, key: str) -> tuple[str, ...]:
        """A list of words; one word alone will do."""
        found = self.raw(key)
        listed = [found] if isinstance(found, str) else found or []
        if not isinstance(listed, list) or not all(isinstance(one, str) for one in listed):
            raise self.refused(key, f"{found!r} must be a list of names.")
        return tuple(one.strip() for one in listed)

    def table(self, key: str) -> "TomlTable":
        """A table inside this one; an empty one where it is not there."""
        found = self.raw(key)
        if found is not None and not isinstance(found, dict):
            raise self.refused(key, f"{found!r} must be a table.")
        return TomlTable(self._text, (*self._path, key), found or {})

    def tables(self, key: str) -> Iterator["TomlTable"]:
        """Each table of a list."""
        found = self.raw(key)
        if found is not None and not (
            isinstance(found, list) and all(isinstance(one, dict) for one in found)
        ):
            raise self.refused(key, f"Write [[{key}]] once for each, or a list of tables.")
        for index, one in enumerate(found or []):
            yield TomlTable(self._text, (*self._path, key, index), one)

    def finish(self, *, known: Iterable[str] = ()) -> None:
        """Refuse keys that nobody asked for, with the nearest one that we know."""
        known = {*self._asked, *known}
        for key in self._table:
            if key not in known:
                raise self.refused(key, f"{key!r} is not a key here{_near(key, sorted(known))}.")

    def _title(self) -> str:
        name = self._table.get("name")
        words = [str(one) for one in self._path if isinstance(one, str)]
        what = words[-1].removesuffix("s") if words else "the file"
        return f"{what} {name}" if isinstance(name, str) and name else f"This {what}"


#: An example of each kind, for errors.
_LIKE = {
    "pressure": '"1000 psi"',
    "volume": '"4.76 L"',
    "flow": '"1 L/min"',
    "time": '"75 min"',
    "mass": '"3.4 kg"',
    "length": '"60 m"',
    "temperature": '"20 °C"',
    "temperature step": '"5 °C"',
    "share": '"10 %"',
    "count": '"1.0"',
}


#: Units in which limits are told.
_INSIDE = {
    "pressure": " kPa",
    "flow": " L/min",
    "volume": " L",
    "temperature": " K",
    "time": " min",
    "mass": " kg",
    "length": " m",
    "share": " %",
}


def _allowed(kind: str, low: float, high: float, above: bool) -> str:
    unit = _INSIDE.get(kind, "")
    if kind == "share":
        low, high = 100.0 * low, 100.0 * high
    least = f"above {low:g}" if above else f"{low:g} or more"
    if high == inf and low:
        least = f"above {low:g}{unit}" if above else f"{low:g}{unit} or more"
    if high == inf:
        return f"must be {least}"
    return f"must be {least} and at most {high:g}{unit}"


def _near(word: str, words: list[str]) -> str:
    found = get_close_matches(word, words, n=1, cutoff=0.6)
    if found:
        return f"; the nearest is {found[0]!r}"
    return f"; known are {', '.join(words)}"
