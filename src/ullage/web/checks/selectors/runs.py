"""Checks with their entries, turned into what a page shows."""

from dataclasses import dataclass
from datetime import datetime
from typing import Any
from uuid import UUID

from ullage.answers import Answer, Verdict
from ullage.answers.checks import CheckEntry, CheckList, CheckStep
from ullage.answers.checks.kept import list_from_dict
from ullage.web.accounts.selectors import User
from ullage.web.checks.models import Check, CheckFile, Entry, ListVersion
from ullage.web.machines.selectors import Machine
from ullage.web.sites.selectors import Site, own_or_404

__all__ = [
    "Earlier",
    "StepLine",
    "check_for",
    "check_lines",
    "checks_of",
    "earlier_of",
    "entries_of",
    "file_for",
    "list_of",
    "next_step",
    "open_checks",
    "says_no_animal",
]

#: As many versions of lists as are kept in memory, by the hash of their words.
_MOST_BUILT = 256

_WITH = ("site", "machine", "machine__site", "machine__room", "version", "begun_by", "ended_by")


@dataclass(frozen=True, slots=True, kw_only=True)
class StepLine:
    """One step of a check with what was entered at it, the last entry first."""

    step: CheckStep
    number: int
    entries: tuple[Entry, ...]
    no_animal: Entry | None = None

    @property
    def last(self) -> Entry | None:
        """The entry that counts."""
        return self.entries[0] if self.entries else None

    @property
    def answer(self) -> Answer | None:
        """What the step came to."""
        return _answer(self.last) if self.last else None

    @property
    def shows(self) -> bool:
        """Whether what it came to is worth a look before the next step."""
        return self.last is not None and (self.step.measures or self.verdict != Verdict.FINE)

    @property
    def comes_first(self) -> bool:
        """Whether what it came to is read before the next step: it did not pass."""
        return self.last is not None and self.verdict != Verdict.FINE

    @property
    def waits_s(self) -> tuple[float, ...]:
        """Waits that want a timer; a time that is measured has its own watch."""
        has_watch = any(one.shown_unit == "s" for one in self.step.fields)
        return () if has_watch else self.step.waits_s

    @property
    def word(self) -> str:
        """Its result in a word."""
        if self.last is None:
            return "Not yet"
        words = {Verdict.FINE: "Passed", Verdict.STOP: "Failed"}
        return words.get(Verdict(self.last.verdict), self.last.verdict)

    @property
    def verdict(self) -> Verdict:
        """Its verdict; not yet where nothing was entered."""
        return Verdict(self.last.verdict) if self.last else Verdict.NOT_YET


def _answer(entry: Entry) -> Answer | None:
    return Answer.from_dict(entry.answer) if entry.answer else None


def check_for(user: User, code: UUID) -> Check:
    """One check at any site of the person; 404 for strangers."""
    return own_or_404(Check.objects.select_related(*_WITH), user, code)


def file_for(user: User, code: UUID) -> CheckFile:
    """One file of a check at any site of the person; 404 for strangers."""
    files = CheckFile.objects.select_related("in_check__site")
    return own_or_404(files, user, code, "in_check__site")


def checks_of(machine: Machine, count: int = 20) -> list[Check]:
    """The last checks of a machine, the newest first."""
    return list(machine.checks.select_related("version", "begun_by", "ended_by")[:count])


def open_checks(site: Site) -> list[Check]:
    """Checks that were begun and left, the oldest first."""
    found = Check.objects.filter(site=site, ended_at=None).select_related(*_WITH)
    return list(found.order_by("begun_at"))


_BUILT: dict[str, CheckList] = {}


def _built(version: ListVersion) -> CheckList:
    if version.digest not in _BUILT:
        if len(_BUILT) >= _MOST_BUILT:
            _BUILT.clear()
        _BUILT[version.digest] = list_from_dict(version.data)
    return _BUILT[version.digest]


def list_of(check: Check) -> CheckList:
    """The list as it was when the check was made; a version never changes, so it is built once."""
    return _built(check.version)


def entries_of(check: Check) -> list[CheckEntry]:
    """The entries of steps as the answers take them, in their order."""
    rows = check.entries.filter(word="step")
    return [
        CheckEntry(step=one.step, answer=found)
        for one in rows
        if (found := _answer(one)) is not None
    ]


def says_no_animal(check: Check, step: str) -> bool:
    """Say whether, since the last entry at this step, somebody said that no animal is connected."""
    last = check.entries.filter(step=step).order_by("-at", "-pk").first()
    return last is not None and last.word == "no animal"


def check_lines(check: Check) -> list[StepLine]:
    """Every step of a check in its order, with its entries; one query."""
    found: dict[str, list[Entry]] = {}
    for entry in check.entries.select_related("by"):
        found.setdefault(entry.step, []).insert(0, entry)
    return [
        StepLine(
            step=step,
            number=number,
            entries=tuple(one for one in found.get(step.key, ()) if one.word == "step"),
            no_animal=_standing(found.get(step.key, [])),
        )
        for number, step in enumerate(list_of(check).steps, 1)
    ]


@dataclass(frozen=True, slots=True, kw_only=True)
class Earlier:
    """What a step measured on an earlier day."""

    text: str
    at: datetime


def earlier_of(check: Check, key: str, count: int = 3) -> list[Earlier]:
    """What a step last measured on this machine, the oldest first."""
    rows = Entry.objects.filter(
        in_check__machine=check.machine_id, step=key, word="step", at__lt=check.begun_at
    ).order_by("-at")[:count]
    answers = [(_answer(one), one.at) for one in reversed(rows)]
    return [Earlier(text=one.text, at=at) for one, at in answers if one and one.value is not None]


def _standing(newest_first: list[Entry]) -> Entry | None:
    """The word that no animal is connected, as long as nothing was entered after it."""
    first = newest_first[0] if newest_first else None
    return first if first is not None and first.word == "no animal" else None


def next_step(lines: list[StepLine], asked: str = "") -> StepLine | None:
    """The step that is asked for, else the first without an entry, else none."""
    chosen: Any = next((one for one in lines if one.step.key == asked), None)
    return chosen or next((one for one in lines if one.last is None), None)
