"""Every entry as it stands, beside what it was: late, corrected, withdrawn; nothing is dropped."""

from collections.abc import Iterable
from dataclasses import dataclass

from ullage.answers.record.doubts import is_late
from ullage.answers.record.things import Amendment, AnyLine, CaseOpened, EntryText, entries_now
from ullage.reference import sourced

__all__ = ["Change", "RecordStanding", "Standing", "record_standing"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """One correction: what the entry said before it, and after.

    ``was`` is None where the correction names no entry that stands, ``now`` where it was withdrawn.
    """

    by: Amendment
    was: EntryText | None
    now: EntryText | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Standing:
    """An entry as it stands now, and how it came to stand so."""

    entry: EntryText
    changes: tuple[Change, ...] = ()
    is_late: bool = False
    is_withdrawn: bool = False

    @property
    def is_amended(self) -> bool:
        """Whether anything of it was corrected."""
        return bool(self.changes)


@dataclass(frozen=True, slots=True, kw_only=True)
class RecordStanding:
    """A record as it stands.

    ``entries`` by the time at which things were seen, the withdrawn ones among them; ``changes``
    in the order in which they were made; ``facts`` of the case as they stand, and ``opened``, the
    lines that said so.
    """

    facts: dict[str, str]
    opened: tuple[CaseOpened, ...]
    entries: tuple[Standing, ...]
    changes: tuple[Change, ...]

    @property
    def valid(self) -> tuple[Standing, ...]:
        """The entries that were not withdrawn."""
        return tuple(one for one in self.entries if not one.is_withdrawn)


def record_standing(
    lines: Iterable[AnyLine], late_after_min: float | None = None
) -> RecordStanding:
    """What the lines of one record come to.

    Parameters
    ----------
    lines : of one record, in their order.
    late_after_min : [min] set by the site; None takes what is proposed.

    Returns
    -------
    The same entries as `entries_now`, each with its corrections; the withdrawn ones besides.

    >>> record_standing([]).entries
    ()
    """
    most = sourced("record", "late_after_min").value if late_after_min is None else late_after_min
    facts: dict[str, str] = {}
    opened: list[CaseOpened] = []
    standing: dict[str, Standing] = {}
    gone: list[Standing] = []
    changes: list[Change] = []
    for one in lines:
        if isinstance(one, CaseOpened):
            opened.append(one)
            facts |= one.facts
        elif isinstance(one, EntryText):
            key = one.id if one.id not in standing else f"{one.id} {one.order}"
            standing[key] = Standing(entry=one, is_late=is_late(one, most))
        elif isinstance(one, Amendment):
            changed = _changed(standing.pop(one.of, None), one, most)
            changes.append(changed.changes[-1] if isinstance(changed, Standing) else changed)
            if isinstance(changed, Standing):
                if changed.is_withdrawn:
                    gone.append(changed)
                else:
                    standing[one.of] = changed
    found = sorted([*standing.values(), *gone], key=_seen)
    return RecordStanding(
        facts=facts, opened=tuple(opened), entries=tuple(found), changes=tuple(changes)
    )


def _seen(one: Standing) -> tuple[object, int]:
    return one.entry.times.observed, one.entry.order


def _changed(before: Standing | None, by: Amendment, most_min: float) -> Standing | Change:
    """An entry after one more correction; the correction alone where there is no such entry."""
    if before is None:
        return Change(by=by, was=None, now=None)
    was = before.entry
    now = None if by.withdrawn else _amended(was, by)
    return Standing(
        entry=now or was,
        changes=(*before.changes, Change(by=by, was=was, now=now)),
        is_late=is_late(now or was, most_min),
        is_withdrawn=now is None,
    )


def _amended(was: EntryText, by: Amendment) -> EntryText:
    (now,) = entries_now((was, by))
    return now
