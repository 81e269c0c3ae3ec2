"""Records of the practice world: one that runs, a group, one in recovery, two that are closed.

Every animal, dose and reading in them is invented.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from uuid import uuid4

from ullage.answers.record.closing import ANIMALS, RECOVERY_STEP, animals_text
from ullage.answers.record.doubts import VARIABLE_KINDS
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
from ullage.reference.record import variable_rows
from ullage.web.accounts.selectors import User
from ullage.web.cases.selectors import Record, ready_of, rules_of
from ullage.web.cases.services import (
    Opening,
    ToldLine,
    head_sign,
    record_write,
    typed_reading,
)
from ullage.web.days.selectors import PlannedCase
from ullage.web.machines.selectors import Machine
from ullage.web.records.services import papers_keep
from ullage.web.sites.selectors import Site

__all__ = ["Course", "Teller", "told_record"]

#: How long it takes to write down what was seen.
_WRITING = timedelta(seconds=20)
_ARRIVING = timedelta(seconds=1)


@dataclass(slots=True, kw_only=True)
class Teller:
    """Writes the lines of one record in minutes after its first gas, up to now."""

    began: datetime
    now: datetime
    by: User
    lines: list[ToldLine] = field(default_factory=list)

    def at(self, minute: float) -> datetime:
        """A minute after the first gas."""
        return self.began + timedelta(minutes=minute)

    def case(self, minute: float, facts: Mapping[str, str], reason: str = "") -> None:
        """Facts, or a new state."""
        at = self.at(minute)
        line = CaseOpened(
            id=str(uuid4()), record="", order=1, author="",
            times=Times(observed=at, written=at, received=at), facts=dict(facts), reason=reason,
        )  # fmt: skip
        self._add(line, self.by)

    def seen(self, minute: float, kind: EntryKind, what: str, typed: str = "", **more: str) -> str:
        """One entry; ``late`` says how many minutes later it was written, ``animal`` of whom."""
        late, animal = float(more.pop("late", "0")), more.pop("animal", "")
        read = typed_reading(what, typed) if kind in VARIABLE_KINDS else None
        line = EntryText(
            id=str(uuid4()), record="", order=1, author="", times=self._times(minute, late),
            kind=kind, what=what, typed=typed, number=read.number if read else "",
            unit=read.unit if read else "", details=more, animal=animal,
        )  # fmt: skip
        self._add(line, self.by)
        return line.id

    def set(self, minute: float, **settings: str) -> None:
        """Variables by key, as typed, each of its own kind."""
        rows = variable_rows()
        for what, typed in settings.items():
            self.seen(minute, EntryKind(rows[what].kind), what, typed)

    def event(self, minute: float, what: str, typed: str = "", **more: str) -> None:
        """Something happened."""
        self.seen(minute, EntryKind.EVENT, what, typed, **more)

    def amend(self, minute: float, of: str, typed: str, reason: str) -> None:
        """A correction of an entry of one variable."""
        one = next(told.line for told in self.lines if told.line.id == of)
        if not isinstance(one, EntryText):
            return
        read = typed_reading(one.what, typed)
        line = Amendment(
            id=str(uuid4()), record="", order=1, author="", times=self._times(minute, 0.0), of=of,
            reason=reason, typed=typed, number=read.number, unit=read.unit,
        )  # fmt: skip
        self._add(line, self.by)

    def signed(self, minute: float, by: User, meaning: Meaning) -> None:
        """A signature."""
        line = SignatureText(
            id=str(uuid4()), record="", order=1, author="", times=self._times(minute, 0.0),
            printed_name=by.full_name, meaning=meaning,
        )  # fmt: skip
        self._add(line, by)

    def _times(self, minute: float, late_min: float) -> Times:
        seen = self.at(minute)
        written = seen + _WRITING + timedelta(minutes=late_min)
        return Times(observed=seen, written=written, received=written + _ARRIVING)

    def _add(self, line: AnyLine, by: User) -> None:
        if line.times.received <= self.now:
            self.lines.append(ToldLine(line=line, by=by))

    def in_order(self) -> list[ToldLine]:
        """The lines as they were received."""
        return sorted(self.lines, key=lambda one: one.line.times.received)


#: So many values of the end of a course come again where a case goes on.
_AGAIN = 6


@dataclass(frozen=True, slots=True, kw_only=True)
class Course:
    """How the numbers of a case go: by variable, one value for each observation."""

    every_min: float
    first_min: float
    values: Mapping[str, tuple[str, ...]]

    def tell(self, teller: Teller, until_min: float, animal: str = "") -> Iterator[tuple[str, str]]:
        """Every observation up to a minute, the last six again and again; variable and id."""
        rows = variable_rows()
        for number in range(int((until_min - self.first_min) // self.every_min) + 1):
            minute = self.first_min + number * self.every_min
            for what, told in self.values.items():
                typed = told[number] if number < len(told) else told[number % _AGAIN - _AGAIN]
                if typed:
                    kind = EntryKind(rows[what].kind)
                    more = {"animal": animal} if animal else {}
                    yield what, teller.seen(minute, kind, what, typed, **more)


def told_record(
    site: Site, machine: Machine, teller: Teller, opening: Opening, facts: Mapping[str, str]
) -> Record:
    """Write a record that a teller told; the first line of one of today holds what is known now."""
    first = teller.in_order()[0].line.times.received
    is_today = teller.now - teller.began < timedelta(hours=12)
    known = {
        "name": opening.name,
        "species": opening.species,
        "machine": str(machine),
        "group": "yes" if opening.is_group else "no",
        **(ready_of(machine, teller.now).facts if is_today else {}),
        **facts,
        "state": "ready",
    }
    at = first - timedelta(minutes=1)
    line = CaseOpened(
        id=str(uuid4()), record="", order=1, author="",
        times=Times(observed=at, written=at, received=at), facts=known,
    )  # fmt: skip
    told = [ToldLine(line=line, by=teller.by), *teller.in_order()]
    record = record_write(site=site, opening=opening, told=told)
    head_sign(record=record)
    papers_keep(record=record)
    return record


def recovered(teller: Teller, minute: float, record_of: tuple[Site, str], animal: str = "") -> None:
    """Every step of the recovery of a species, a minute apart."""
    site, species = record_of
    for number, step in enumerate(rules_of(site).steps(species)):
        more = {"animal": animal} if animal else {}
        teller.event(minute + number, RECOVERY_STEP, step.text, step=step.key, met="yes", **more)


def grouped(names: tuple[str, ...]) -> dict[str, str]:
    """The fact that names the animals of a group."""
    return {ANIMALS: animals_text(names)}


def planned_named(site: Site, name: str, state: str) -> PlannedCase | None:
    """The last case of a name in a state; None where there is none."""
    rows = PlannedCase.objects.filter(site=site, name=name, state=state)
    return rows.select_related("machine__room", "site").order_by("-starts_at").first()
