"""What a record is made of: entries, amendments, signatures; plain, frozen, only ever added to.

Numbers stand as they were typed, in digits; ``value`` reads them. Every time is in UTC.
"""

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from datetime import datetime
from enum import StrEnum

from ullage.core.checks import within
from ullage.core.errors import PlanUnreadable

__all__ = [
    "Amendment",
    "AnyLine",
    "CaseOpened",
    "EntryKind",
    "EntryText",
    "Meaning",
    "Reading",
    "SignatureText",
    "Times",
    "entries_now",
]


#: A clock that runs further off than ten years was never set [s].
_FAR_S = 3.2e8


class EntryKind(StrEnum):
    """What an entry is of."""

    VITAL = "vital"
    SETTING = "setting"
    GAS = "gas"
    READING = "reading"
    DRUG = "drug"
    FLUID = "fluid"
    WARMING = "warming"
    EVENT = "event"
    DEPTH = "depth"
    TEXT = "text"

    @property
    def words(self) -> str:
        """The name that people read.

        >>> EntryKind.GAS.words
        'measured gas'
        """
        return {
            "vital": "vital sign",
            "gas": "measured gas",
            "reading": "gauge or room reading",
            "depth": "depth sign",
            "text": "free text",
        }.get(self.value, self.value)


class Meaning(StrEnum):
    """What a signature says of the one who signs."""

    AUTHOR = "I made this record"
    REVIEWED = "I have reviewed this record"
    APPROVED = "I approve this record"
    RESPONSIBLE = "I was responsible for this anaesthesia"


#: A number of a reading: digits with a point at most, no more of them than a reading has.
_DIGITS = re.compile(r"(?:[+-]?[0-9]{1,40}(?:\.[0-9]{1,40})?)?", re.ASCII)


def _digits(number: str) -> None:
    if not _DIGITS.fullmatch(number):
        raise PlanUnreadable(f"{number[:40]!r} is no number of a reading.")


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """A number as typed, in digits with a point, and its unit; both empty where it is a word."""

    number: str
    unit: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Times:
    """When it was seen, when it was written down, when the server had it.

    ``observed`` and ``received`` are of the server's clock, which all devices share; ``written`` is
    of the device as it ran. ``offset_s``: by how much that was measured to run ahead of the server;
    None where nobody measured it.
    """

    observed: datetime
    written: datetime
    received: datetime
    offset_s: float | None = None

    def __post_init__(self) -> None:
        if not all(one.tzinfo for one in (self.observed, self.written, self.received)):
            raise PlanUnreadable("Every time of a line needs its zone.")
        if self.offset_s is not None:
            within("offset_s", self.offset_s, -_FAR_S, _FAR_S)

    @property
    def late_by_min(self) -> float:
        """[min] from seeing to writing, the measured offset of the device taken out.

        Below zero where it was written before it was seen.
        """
        late = (self.written - self.observed).total_seconds() - (self.offset_s or 0.0)
        return late / 60.0

    @property
    def waited_min(self) -> float:
        """[min] from writing to the server, the measured offset of the device taken out."""
        waited = (self.received - self.written).total_seconds() + (self.offset_s or 0.0)
        return waited / 60.0


@dataclass(frozen=True, slots=True, kw_only=True)
class CaseOpened:
    """The first line of a record: who and what it is of. Later ones replace what they name."""

    id: str
    record: str
    order: int
    author: str
    times: Times
    facts: Mapping[str, str] = field(default_factory=dict)
    reason: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class EntryText:
    """One entry: what was seen or done, as it was typed, by whom and when.

    ``what`` is a variable for vital signs, settings, gases, readings, warming and depth signs, the
    name of the drug or fluid, and a word or nothing for events and free text. ``details`` holds
    dose, concentration, volume, rate, route, lot, expiry, site or device by name, as typed.
    ``animal`` names one of a group. ``author_confirmed`` is no while the pad was locked.
    """

    id: str
    record: str
    order: int
    author: str
    times: Times
    kind: EntryKind
    what: str
    typed: str
    number: str = ""
    unit: str = ""
    details: Mapping[str, str] = field(default_factory=dict)
    animal: str = ""
    author_confirmed: bool = True

    def __post_init__(self) -> None:
        _digits(self.number)

    @property
    def value(self) -> float | None:
        """The number; None where there is none.

        >>> from datetime import UTC, datetime
        >>> at = datetime(2026, 6, 8, 9, 0, tzinfo=UTC)
        >>> seen = Times(observed=at, written=at, received=at)
        >>> EntryText(
        ...     id="a", record="r", order=2, author="S. Vale", times=seen, kind=EntryKind.VITAL,
        ...     what="heart_rate", typed="120.0", number="120.0", unit="/min",
        ... ).value
        120.0
        """
        return float(self.number) if self.number else None


@dataclass(frozen=True, slots=True, kw_only=True)
class Amendment:
    """A correction: which entry, why, and what it should have said. The original stays readable.

    ``withdrawn`` says that the entry should not stand at all, such as one in the wrong case.
    """

    id: str
    record: str
    order: int
    author: str
    times: Times
    of: str
    reason: str
    typed: str = ""
    number: str = ""
    unit: str = ""
    details: Mapping[str, str] = field(default_factory=dict)
    observed: datetime | None = None
    withdrawn: bool = False

    def __post_init__(self) -> None:
        _digits(self.number)
        if self.observed is not None and self.observed.tzinfo is None:
            raise PlanUnreadable("Every time of a line needs its zone.")


@dataclass(frozen=True, slots=True, kw_only=True)
class SignatureText:
    """A signature of a person: name as printed, what it means, and how far the record went then."""

    id: str
    record: str
    order: int
    author: str
    times: Times
    printed_name: str
    meaning: Meaning


type AnyLine = CaseOpened | EntryText | Amendment | SignatureText


def entries_now(lines: Iterable[AnyLine]) -> tuple[EntryText, ...]:
    """The entries as they stand after every amendment, by the time at which things were seen.

    Parameters
    ----------
    lines : of one record, in their order; the last amendment of an entry counts. Of two entries
        with one id both stand, and an amendment is of the first.
    """
    standing: dict[str, EntryText] = {}
    for one in lines:
        if isinstance(one, EntryText):
            key = one.id if one.id not in standing else f"{one.id} {one.order}"
            standing[key] = one
        elif isinstance(one, Amendment) and one.of in standing:
            old = standing.pop(one.of)
            if not one.withdrawn:
                standing[one.of] = _amended(old, one)
    return tuple(sorted(standing.values(), key=lambda one: (one.times.observed, one.order)))


def _amended(old: EntryText, by: Amendment) -> EntryText:
    """An entry as it stands after a correction; what the correction does not name stays."""
    said = by if by.typed else old
    return replace(
        old,
        typed=said.typed,
        number=said.number,
        unit=said.unit,
        details={**old.details, **by.details},
        times=replace(old.times, observed=by.observed or old.times.observed),
    )
