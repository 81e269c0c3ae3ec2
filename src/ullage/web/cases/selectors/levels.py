"""Levels of a running case: what is expected and what was read; kept until something changes."""

from collections import OrderedDict
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from functools import cached_property
from math import floor
from threading import Lock

from ullage.answers import Answer, CaseNow, Changes, case_now
from ullage.answers.record.course import CaseGiven, RunningRead, moved_times, running_read
from ullage.answers.record.seen import CaseSeen
from ullage.answers.running_ahead import (
    MovedAt,
    crosses_min,
    levels_to,
    mac_now,
    moved_at,
    multiple_now,
)
from ullage.answers.running_things import Expected, ReadingFound
from ullage.core.errors import UllageError
from ullage.web.cases.selectors.running import RunningPage

__all__ = ["CaseLevels", "Moved", "levels_of"]

#: Without a plan, or beyond it, levels are drawn so far ahead [min].
_AHEAD_MIN = 30.0
_MOST = 64


@dataclass(frozen=True, slots=True, kw_only=True)
class Moved:
    """One movement on the clock, and when the expected range comes down to its level."""

    at: datetime
    level: MovedAt
    is_below: bool
    crosses_at: datetime | None


@dataclass(frozen=True, kw_only=True)
class CaseLevels:
    """The levels of a case at one minute; ``says`` is why there are none."""

    read: RunningRead
    found: CaseNow | None
    says: str
    off_min: float | None
    end_min: float
    moves: tuple[float, ...]

    @cached_property
    def ahead(self) -> tuple[Expected, ...]:
        """Levels from now to the end, as it is set until the agent is off."""
        if self.found is None:
            return ()
        off = self.end_min if self.off_min is None else self.off_min
        return levels_to(self.found, off, self.end_min)

    @cached_property
    def curve(self) -> tuple[Expected, ...]:
        """Levels from the beginning to the end."""
        if self.found is None:
            return ()
        past = (one for one in self.found.levels if one.at_min <= self.found.at_min)
        return (*past, *self.ahead)

    @cached_property
    def mac(self) -> Answer | None:
        """One MAC of the animal today."""
        return mac_now(self.found) if self.found else None

    def multiple(self, name: str) -> Answer | None:
        """A level now as a multiple of MAC."""
        return multiple_now(self.found, name) if self.found else None

    @property
    def last_read(self) -> ReadingFound | None:
        """The end-tidal value that was read last."""
        found = (
            [one for one in self.found.readings if one.kind == "end-tidal"] if self.found else []
        )
        return max(found, key=lambda one: one.at_min, default=None)

    @property
    def began(self) -> datetime:
        """Minute 0 of the case."""
        return self.read.began or datetime.min.replace(tzinfo=UTC)

    def at(self, minute: float) -> datetime:
        """The time of a minute of the case."""
        return self.began + timedelta(minutes=minute)

    @cached_property
    def moved(self) -> tuple[Moved, ...]:
        """Where the animal moved, the last first."""
        if self.found is None:
            return ()
        return tuple(reversed([self._moved(one) for one in moved_at(self.found, self.moves)]))

    def _moved(self, level: MovedAt) -> Moved:
        now = self.found.at_min if self.found else 0.0
        crosses = crosses_min(self.ahead, level.level, now)
        low = self.found.answers["end_tidal"].low if self.found else None
        return Moved(
            at=self.at(level.at_min),
            level=level,
            is_below=low is not None and low < level.level,
            crosses_at=None if crosses is None else self.at(crosses),
        )

    @property
    def changes(self) -> tuple[Changes, ...]:
        """What another flow or dial would do."""
        return self.found.changes if self.found else ()


type _Key = tuple[int, str, str, float, object]

_kept: OrderedDict[_Key, CaseLevels] = OrderedDict()
_lock = Lock()


def levels_of(page: RunningPage) -> CaseLevels:
    """The levels of a case, to the minute; worked out once for the same lines and minute."""
    given = page.given
    read = _read(page, given)
    minute = float(floor(read.at_min(page.now)))
    off, end = _ends(page, read)
    key: _Key = (page.record.pk, page.lines.head, page.animal, minute, (given, off, end))
    with _lock:
        if key in _kept:
            _kept.move_to_end(key)
            return _kept[key]
    found = _levels(read, minute, page.seen, (off, end))
    with _lock:
        _kept[key] = found
        while len(_kept) > _MOST:
            _kept.popitem(last=False)
    return found


def _moves(read: RunningRead, seen: CaseSeen) -> tuple[float, ...]:
    """Minutes of the case at which it moved."""
    if read.began is None:
        return ()
    return tuple(read.at_min(at) for at in moved_times(seen) if at >= read.began)


def _read(page: RunningPage, given: CaseGiven) -> RunningRead:
    try:
        return running_read(page.seen, page.now, given)
    except UllageError as why:
        return RunningRead(left_out=(str(why),))


def _ends(page: RunningPage, read: RunningRead) -> tuple[float | None, float]:
    """When the agent is off and when the drawing ends, in minutes of the case."""
    now = read.at_min(page.now)
    if page.plan is None or page.in_recovery:
        return None, floor(now) + _AHEAD_MIN
    off, end = (read.at_min(at) for at in (page.plan.off_at, page.plan.ends_at))
    if end <= now + 1.0:
        return None, floor(now) + _AHEAD_MIN
    return max(off, 0.0), end


def _levels(
    read: RunningRead, minute: float, seen: CaseSeen, ends: tuple[float | None, float]
) -> CaseLevels:
    found, says = None, ""
    if read.case is None:
        says = " ".join(_missing(read))
    else:
        try:
            found = case_now(read.case, minute)
        except UllageError as why:
            says = str(why)
    return CaseLevels(
        read=read,
        found=found,
        says=says,
        off_min=ends[0],
        end_min=ends[1],
        moves=_moves(read, seen),
    )


def _missing(read: RunningRead) -> Iterator[str]:
    if read.missing:
        yield f"Levels are told as soon as these are entered: {', '.join(read.missing)}."
    yield from read.left_out
