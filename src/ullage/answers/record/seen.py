"""What the lines of one case say, read in one way for the report and for the methods section."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, datetime, tzinfo
from functools import cached_property

from ullage.answers.record.doubts import VARIABLE_KINDS
from ullage.answers.record.things import AnyLine, CaseOpened, EntryKind, EntryText, entries_now
from ullage.answers.record.words import in_unit, measure
from ullage.core.errors import UnreadableQuantity

__all__ = ["NOT_RECORDED", "CaseSeen", "case_seen"]

#: What stands wherever nobody entered anything.
NOT_RECORDED = "not recorded"

_PRESSURES = ("cuff_", "arterial_", "pressure_")
_WEIGHTS = ("kg", "g")


@dataclass(frozen=True)
class CaseSeen:
    """The facts of one case and its entries as they stand now, for one animal of it.

    Days and times of day are told on the clock of ``zone``; the entries keep theirs in UTC.
    """

    facts: dict[str, str]
    entries: tuple[EntryText, ...]
    animal: str = ""
    zone: tzinfo = UTC

    def fact(self, key: str) -> str:
        """A fact of the case; empty where nobody entered it."""
        return self.facts.get(key, "").strip()

    def of(self, *keys: str) -> tuple[EntryText, ...]:
        """The entries of some variables, in the order of time; a prefix ends in a star."""
        exact = frozenset(keys)
        starts = tuple(one[:-1] for one in keys if one.endswith("*"))
        return tuple(
            one
            for one in self.entries
            if one.kind in VARIABLE_KINDS
            and (one.what in exact or (starts and one.what.startswith(starts)))
        )

    def kinds(self, *kinds: EntryKind) -> tuple[EntryText, ...]:
        """The entries of some kinds, in the order of time."""
        return tuple(one for one in self.entries if one.kind in kinds)

    def numbers(self, unit: str, *keys: str) -> list[float]:
        """The numbers of some variables in a unit; what is in no unit like it is left out."""
        return _in_unit(self.of(*keys), unit)

    def kept(self, unit: str, *keys: str) -> list[float]:
        """The same, of settings before the end of the anaesthesia: what is turned off is none."""
        ended, phases = self._over()
        under = [one for one in self.of(*keys) if not _is_over(one, ended, phases)[0]]
        return _in_unit(under, unit)

    def _over(self) -> tuple[datetime | None, list[tuple[datetime, str]]]:
        """When the anaesthesia ended, and its phases by when they began."""
        phases = [(one.times.observed, one.typed) for one in self.of("phase")]
        return self.event("anaesthesia ended"), phases

    def event(self, *words: str) -> datetime | None:
        """When one of these events was first seen; None where nobody entered it."""
        return next(
            (one.times.observed for one in self.kinds(EntryKind.EVENT) if one.what in words), None
        )

    def minutes(self, first: str, last: str) -> float | None:
        """[min] between two events; None unless both were entered, in that order."""
        begun, ended = self.event(first), self.event(last)
        if begun is None or ended is None or ended < begun:
            return None
        return (ended - begun).total_seconds() / 60.0

    @property
    def pressures(self) -> tuple[EntryText, ...]:
        """The entries of blood pressure, however it was measured."""
        return self.of(*(f"{one}*" for one in _PRESSURES))

    @cached_property
    def weight_kg(self) -> float | None:
        """[kg] as last weighed, else as the case was opened; None where neither can be read."""
        weighed = self.numbers("kg", "weight")
        if weighed:
            return weighed[-1]
        try:
            read = measure(self.fact("weight"), _WEIGHTS, "Weight")
        except UnreadableQuantity:
            return None
        return in_unit(float(read.number), read.unit, "kg")

    def levels(self, *keys: str, induction: bool = False) -> list[float]:
        """Levels of an agent in percent, in the induction or after it.

        None counts from the end of the anaesthesia on, or in the recovery: a dial that was turned
        off is no level that was kept.
        """
        ended, phases = self._over()
        found = []
        for one in self.of(*keys):
            if one.value is None or one.what.endswith(("_oxygen", "_co2")):
                continue
            over, phase = _is_over(one, ended, phases)
            if not over and (phase == "induction") is induction:
                found.append(one.value)
        return found


def _in_unit(entries: Iterable[EntryText], unit: str) -> list[float]:
    found = (in_unit(one.value, one.unit, unit) for one in entries if one.value is not None)
    return [one for one in found if one is not None]


def _is_over(
    one: EntryText, ended: datetime | None, phases: list[tuple[datetime, str]]
) -> tuple[bool, str]:
    """Whether an entry is of the time after the anaesthesia, and its phase."""
    at = one.times.observed
    phase = next((word for since, word in reversed(phases) if since <= at), "")
    return phase == "recovery" or (ended is not None and at >= ended), phase


def case_seen(lines: Iterable[AnyLine], animal: str = "", zone: tzinfo = UTC) -> CaseSeen:
    """What the lines of a case say.

    Parameters
    ----------
    lines : of one record, in their order.
    animal : one of a group: entries that name another are left out; empty takes all.
    zone : of the place, for days and times of day.
    """
    kept = tuple(lines)
    facts: dict[str, str] = {}
    for one in kept:
        if isinstance(one, CaseOpened):
            facts |= one.facts
    mine = (one for one in entries_now(kept) if not animal or one.animal in {"", animal})
    return CaseSeen(facts=facts, entries=tuple(mine), animal=animal, zone=zone)
