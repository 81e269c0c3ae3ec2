"""Times and people as a printed record names them."""

import re
from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date, datetime, tzinfo
from typing import Any

from ullage.answers.record.printed import local_time
from ullage.answers.record.standing import Standing
from ullage.answers.record.things import AnyLine, EntryText

__all__ = ["Told", "breakable", "initials_of", "marks_of"]

_USER = re.compile(r"^(?P<name>.*?)\s*(?:\((?P<user>[^()]*)\))?$")


def initials_of(authors: Iterable[str]) -> dict[str, str]:
    """Initials of each author; two who share them stand with their user name, or in full.

    >>> initials_of(["Tamsin Kerr (tkerr)", "Theo Kay (tkay)", "Morag Orr (morr)"])
    {'Tamsin Kerr (tkerr)': 'tkerr', 'Theo Kay (tkay)': 'tkay', 'Morag Orr (morr)': 'M.O.'}
    """
    names = list(dict.fromkeys(authors))
    short = {one: _initials(one) for one in names}
    found = {}
    for one in names:
        alone = list(short.values()).count(short[one]) == 1
        user = _USER.match(one)
        found[one] = short[one] if alone and short[one] else (user and user["user"]) or one
    return found


def _initials(author: str) -> str:
    said = _USER.match(author)
    words = said["name"].split() if said else []
    return "".join(f"{word[0].upper()}." for word in words) if len(words) > 1 else ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """How one record tells times and people: on the clock of its place, from its first day on."""

    zone: tzinfo
    day: date
    people: dict[str, str] = field(default_factory=dict)

    @classmethod
    def of(cls, lines: Iterable[AnyLine], zone: tzinfo) -> "Told":
        """For the lines of a record: its day is that of the first entry."""
        kept = list(lines)
        entries = [one.times.observed for one in kept if isinstance(one, EntryText)]
        first = min(entries, default=kept[0].times.observed)
        people = initials_of(one.author for one in kept)
        return cls(zone=zone, day=local_time(first, zone).date(), people=people)

    def time(self, at: datetime) -> str:
        """The time of day, with its date where that is another."""
        local = local_time(at, self.zone)
        if local.date() == self.day:
            return f"{local:%H:%M}"
        year = f" {local.year}" if local.year != self.day.year else ""
        return f"{local.day} {local:%b}{year} {local:%H:%M}"

    def moment(self, at: datetime) -> str:
        """Date and time in full."""
        local = local_time(at, self.zone)
        return f"{local.day} {local:%B %Y %H:%M}"

    def date(self) -> str:
        """The day of the record in words."""
        return f"{self.day:%A} {self.day.day} {self.day:%B %Y}"

    def by(self, line: AnyLine) -> str:
        """Who wrote a line; an author still to be confirmed is named as such."""
        name = self.people.get(line.author, line.author)
        unsure = isinstance(line, EntryText) and not line.author_confirmed
        return f"{name} to confirm" if unsure else name


def marks_of(one: Standing, told: Told) -> str:
    """What is to be known of how an entry came to stand: late, amended."""
    late = f"late, written {told.time(one.entry.times.written)}" if one.is_late else ""
    return "; ".join(part for part in (late, "amended" if one.is_amended else "") if part)


#: A word longer than this may be broken after each so many letters.
_LONG = re.compile(r"\S{30,}")
_STEP = 20
_GAP = "\u200b"


def breakable(data: dict[str, Any]) -> dict[str, Any]:
    """The same data; words too long for a column can be broken, drawings stay as they are."""
    return {key: value if key == "charts" else _broken(value) for key, value in data.items()}


def _broken(value: Any) -> Any:
    if isinstance(value, str):
        return _LONG.sub(_gaps, value) if len(value) >= _STEP else value
    if isinstance(value, dict):
        return {key: _broken(one) for key, one in value.items()}
    if isinstance(value, list | tuple):
        return [_broken(one) for one in value]
    return value


def _gaps(found: re.Match[str]) -> str:
    word = found[0]
    return _GAP.join(word[start : start + _STEP] for start in range(0, len(word), _STEP))
