"""The day of one machine as a lane: cases, change-over band and now, as shares of a clock.

Everything is a percentage of the width, so that the page draws it with attributes of SVG.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime

__all__ = [
    "Band",
    "Block",
    "Clock",
    "Hour",
    "Lane",
    "block_at",
    "clock_for",
    "clock_words",
    "lane",
    "wall_min",
]

#: The hours a board shows when no case asks for more.
_FIRST_H, _LAST_H = 7, 18
#: Narrower than this a name would be cut off after two letters.
_SMALLEST_WIDTH = 1.5


@dataclass(frozen=True, slots=True, kw_only=True)
class Hour:
    """One hour line with its words; odd ones are left out on a small screen."""

    x: float
    words: str
    is_odd: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Clock:
    """The hours that all lanes of a page share."""

    first_h: int
    last_h: int
    now_min: float | None = None

    def x(self, minute: float) -> float:
        """Percent from the left edge, never outside."""
        span = 60.0 * (self.last_h - self.first_h)
        share = 100.0 * (minute - 60.0 * self.first_h) / span
        return round(min(100.0, max(0.0, share)), 2)

    @property
    def now_x(self) -> float | None:
        """Where now is; None when now is not on this clock."""
        if self.now_min is None or not 60 * self.first_h <= self.now_min <= 60 * self.last_h:
            return None
        return self.x(self.now_min)

    @property
    def now_words(self) -> str:
        """The time of now, ``09:31``."""
        return "" if self.now_min is None else clock_words(self.now_min)

    @property
    def hours(self) -> list[Hour]:
        """Every hour, but for those that the words of now would cover."""
        now = self.now_x
        clear = 85.0 / (self.last_h - self.first_h)
        return [
            Hour(x=self.x(60 * one), words=f"{one % 24:02d}", is_odd=(one - self.first_h) % 2 == 1)
            for one in range(self.first_h, self.last_h)
            if now is None or abs(self.x(60 * one) - now) > clear
        ]

    @property
    def lines(self) -> list[float]:
        """Where the hour lines stand."""
        return [self.x(60 * one) for one in range(self.first_h + 1, self.last_h)]


@dataclass(frozen=True, slots=True, kw_only=True)
class Block:
    """One case on its lane; ``look`` is plan, run, done or halt."""

    name: str
    small: str
    look: str
    x: float
    width: float
    done_width: float = 0.0
    url: str = ""
    words: str = ""

    @property
    def done_percent(self) -> float:
        """How much of the block has run, as a percentage of the block itself."""
        return round(100.0 * self.done_width / self.width, 2) if self.width else 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Band:
    """When a change-over falls: earliest to latest, and the likeliest minute."""

    x: float
    width: float
    at: float

    @property
    def end(self) -> float:
        """The right edge."""
        return round(self.x + self.width, 2)


@dataclass(frozen=True, slots=True, kw_only=True)
class Lane:
    """Everything that one machine's day draws, and the same in words."""

    blocks: tuple[Block, ...]
    band: Band | None
    note: str
    note_x: float
    note_ends: bool
    clock: Clock
    words: str

    @property
    def is_free(self) -> bool:
        """True when nothing is planned."""
        return not self.blocks


def wall_min(moment: datetime, day: date) -> float:
    """Minutes on the wall clock since midnight of a day; before it they are negative."""
    days = (moment.date() - day).days
    return 1440.0 * days + 60.0 * moment.hour + moment.minute + moment.second / 60.0


def clock_words(minute: float) -> str:
    """A minute of the day as it is said, ``14:07``; past midnight it starts again."""
    whole = round(minute) % 1440
    return f"{whole // 60:02d}:{whole % 60:02d}"


def clock_for(spans: Iterable[tuple[float, float]], now_min: float | None = None) -> Clock:
    """The hours that hold every span of minutes, and a working day at least."""
    known = [*spans, (60.0 * _FIRST_H, 60.0 * _LAST_H)]
    if now_min is not None:
        known.append((now_min, now_min))
    first = int(min(start for start, _ in known) // 60)
    last = int(-(-max(end for _, end in known) // 60))
    return Clock(first_h=max(0, first), last_h=min(48, last), now_min=now_min)


def block_at(clock: Clock, span: tuple[float, float], ran_to: float | None) -> tuple[float, ...]:
    """Left edge, width and width already run of a case on the clock."""
    left, right = clock.x(span[0]), clock.x(span[1])
    width = max(_SMALLEST_WIDTH, right - left)
    done = 0.0 if ran_to is None else min(width, max(0.0, clock.x(ran_to) - left))
    return left, round(width, 2), round(done, 2)


def lane(
    clock: Clock,
    blocks: Sequence[Block],
    *,
    change: tuple[float, float, float] | None = None,
    note: str = "",
    words: str = "",
) -> Lane:
    """Put cases and the change-over band (earliest, likeliest, latest minute) on one clock."""
    band = None
    if change is not None and change[0] <= 60 * clock.last_h:
        low, at, high = (clock.x(one) for one in change)
        band = Band(x=low, width=round(max(0.6, high - low), 2), at=at)
    ends = band is None or band.x > 50.0
    return Lane(
        blocks=tuple(blocks),
        band=band,
        note=note,
        note_x=100.0 if band is None else band.x if ends else band.end,
        note_ends=ends,
        clock=clock,
        words=words,
    )
