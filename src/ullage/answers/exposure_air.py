"""The air of a room over a day: the likely course, and every corner of what is not known.

Without a mixing factor of the site 1 and 10 are taken, and there is no likely course. Air at the
work drifts fast or stands still. A band holds the least and the most of all corners.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from enum import StrEnum
from functools import cached_property, lru_cache
from itertools import product
from typing import TYPE_CHECKING

from ullage.answers.answer import WhereFrom
from ullage.answers.exposure_things import Escape, WorkRoom, last_end_min
from ullage.answers.lines import line_of
from ullage.core.checks import within
from ullage.core.errors import InvalidQuantity
from ullage.reference import sourced

if TYPE_CHECKING:
    from ullage.core.exposure.room_course import Floats, Puff, RoomAir, RoomCourse, Stream

__all__ = ["AirOfDay", "Ends", "Zone", "air_of_day"]

_EIGHT_HOURS_MIN = 480.0
_SHORTEST_MIN, _LONGEST_MIN = 60.0, 4 * 1440.0

#: Levels are looked at every minute, so that means of 15 and 60 minutes can move along the day.
_STEP_MIN = 1.0


class Zone(StrEnum):
    """Where somebody breathes: at the work, or anywhere in the room."""

    WORK = "work"
    ROOM = "room"

    @property
    def words(self) -> str:
        """How it is said."""
        return "at the work" if self is Zone.WORK else "in the room"


class End(StrEnum):
    """Which end of a band is taken."""

    LOW = "low"
    MIDDLE = "middle"
    HIGH = "high"


@dataclass(frozen=True, slots=True, kw_only=True)
class Ends:
    """A number with its band [ppm]; the middle None where nobody can say."""

    low: float
    middle: float | None
    high: float


@dataclass(frozen=True, slots=True)
class _Corner:
    """One choice of what is not known: amounts, mixing factor, drift of the air at the work."""

    amount: End
    mixing: End
    drift: End


_LIKELY = _Corner(End.MIDDLE, End.MIDDLE, End.MIDDLE)
_MOST = _Corner(End.HIGH, End.HIGH, End.LOW)


@dataclass(frozen=True)
class AirOfDay:
    """One agent in one room on one day: when people are there, and the courses.

    ``start_min`` to ``end_min`` is the working day: from the first escape on, eight hours or
    longer. Nobody is taken to be there before.
    """

    room: WorkRoom
    agent: str
    escapes: tuple[Escape, ...]
    start_min: float
    end_min: float

    @cached_property
    def times_min(self) -> "Floats":
        """[min] every minute of the day, and its end."""
        import numpy as np

        whole = np.arange(self.start_min, self.end_min, _STEP_MIN)
        found: Floats = np.unique(np.append(whole, self.end_min))
        return found

    @cached_property
    def likely(self) -> "RoomCourse | None":
        """The likely course; None where amounts or the mixing of the room are not known."""
        known = all(one.middle_l is not None for one in self.escapes)
        if not known or self.room.mixing_factor is None:
            return None
        return self.course(_LIKELY)

    @cached_property
    def courses(self) -> "tuple[RoomCourse, ...]":
        """Every corner: least and most that escapes, mixing of the room, air at the work.

        No corner is the lowest everywhere: air that drifts fast brings more into the room.
        """
        ends = (End.LOW, End.HIGH)
        mixings = ends if self.room.mixing_factor is None else (End.LOW,)
        corners = [_Corner(*one) for one in product(ends, mixings, ends)]
        found = [self.course(one) for one in corners]
        return (*found, *([self.likely] if self.likely is not None else []))

    def course(
        self,
        corner: "_Corner",
        escapes: Sequence[Escape] | None = None,
        more_air: float = 1.0,
    ) -> "RoomCourse":
        """The course at one corner; with other escapes or more fresh air where given."""
        from ullage.core.exposure.room_course import room_course

        told = self.escapes if escapes is None else escapes
        sources = [one for escape in told for one in _sources(escape, corner.amount)]
        return room_course(_air(self.room, corner, more_air), sources, self.times_min)

    def most(self, escapes: Sequence[Escape] | None = None, more_air: float = 1.0) -> "RoomCourse":
        """The course that brings most to somebody at the work, with other escapes where given."""
        return self.course(_MOST, escapes, more_air)

    def peak(self, zone: Zone) -> Ends:
        """The highest level."""
        place = 0 if zone is Zone.WORK else 1
        return self._ends(lambda one: one.peak_ppm[place])

    def average(self, zone: Zone, start_min: float, end_min: float) -> Ends:
        """Mean from one minute to another, both inside the day."""
        import numpy as np

        if not self.start_min - 1e-9 <= start_min < end_min <= self.end_min + 1e-9:
            raise InvalidQuantity("end_min", end_min, "after the start, and both within the day")

        def mean(course: "RoomCourse") -> float:
            first, last = np.interp([start_min, end_min], course.times_min, _dose(course, zone))
            return float(last - first) / (end_min - start_min)

        return self._ends(mean)

    def eight_hours(self, zone: Zone) -> Ends:
        """Dose of the whole day over eight hours."""
        return self._ends(lambda one: float(_dose(one, zone)[-1]) / _EIGHT_HOURS_MIN)

    def highest_mean(self, zone: Zone, minutes: int) -> Ends:
        """The highest mean of so many minutes in a row."""

        def highest(course: "RoomCourse") -> float:
            dose = _dose(course, zone)[:-1]
            long = min(minutes, dose.size - 1)
            return float((dose[long:] - dose[:-long]).max()) / (long * _STEP_MIN)

        return self._ends(highest)

    def band(self, zone: Zone) -> "tuple[Floats, Floats]":
        """Least and most at each time [ppm]."""
        import numpy as np

        levels = np.array(
            [one.near_ppm if zone is Zone.WORK else one.far_ppm for one in self.courses]
        )
        return levels.min(axis=0), levels.max(axis=0)

    def _ends(self, measure: "Callable[[RoomCourse], float]") -> Ends:
        found = [measure(one) for one in self.courses]
        middle = None if self.likely is None else measure(self.likely)
        return Ends(low=min(found), middle=middle, high=max(found))

    @property
    def where_from(self) -> tuple[WhereFrom, ...]:
        """What the room and the escapes stand on."""
        told = [_ENGINE]
        if self.room.mixing_factor is None:
            told.append(line_of(sourced("waste", "mixing.high"), "mixing of the room"))
        else:
            text = f"Mixing factor of {self.room.name}, entered."
            told.append(WhereFrom(source="entered", how_known="site", text=text))
        told.append(line_of(sourced("waste", "near.air_speed_m_min"), "air at the work"))
        told.append(line_of(sourced("waste", "near.radius_m"), "air at the work"))
        lines = [line for one in self.escapes for line in one.where_from]
        return tuple(dict.fromkeys((*told, *lines)))


_ENGINE = WhereFrom(
    source="waste_base",
    how_known="computed",
    text="Balance of a mixed room, with a box for the air at the work; exact between changes.",
)


def air_of_day(
    room: WorkRoom,
    escapes: Sequence[Escape],
    agent: str,
    day: tuple[float, float] | None = None,
) -> AirOfDay:
    """The air of a room over a working day.

    Parameters
    ----------
    room : with volume and air changes known.
    escapes : of any agent; those of this one count.
    agent : whose level is asked for.
    day : [min] when people come and go; None: from the first escape on for eight hours, or until
        an hour after the last one.

    Raises
    ------
    InvalidQuantity : a room of which something is not known, a day shorter than an hour or longer
        than four days.
    """
    if room.question:
        raise InvalidQuantity("what is known of the room", 0, f"more: {room.question}")
    told = tuple(one for one in escapes if one.agent == agent)
    first = min((one.start_min for one in told), default=0.0)
    last = max(first + _EIGHT_HOURS_MIN, last_end_min(told) + 60.0)
    start, end = day or (first, last)
    within("minutes of the day", end - start, _SHORTEST_MIN, _LONGEST_MIN)
    return _kept(room, agent, told, start, end)


@lru_cache(maxsize=32)
def _kept(
    room: WorkRoom, agent: str, escapes: tuple[Escape, ...], start_min: float, end_min: float
) -> AirOfDay:
    """Several answers are read from one air."""
    return AirOfDay(room, agent, escapes, start_min, end_min)


def _dose(course: "RoomCourse", zone: Zone) -> "Floats":
    return course.near_dose if zone is Zone.WORK else course.far_dose


def _air(room: WorkRoom, corner: _Corner, more_air: float) -> "RoomAir":
    """The room at one corner of what is not known of it."""
    from ullage.core.exposure.room_course import RoomAir, near_box_of

    speed = sourced("waste", "near.air_speed_m_min")
    drift = {End.LOW: speed.low, End.MIDDLE: speed.value, End.HIGH: speed.high}[corner.drift]
    usual = sourced("waste", f"mixing.{'high' if corner.mixing is End.HIGH else 'low'}").value
    return RoomAir(
        room_m3=room.room_m3 or 0.0,
        air_changes_per_h=(room.air_changes_per_h or 0.0) * more_air,
        mixing_factor=room.mixing_factor or usual,
        near=near_box_of(sourced("waste", "near.radius_m").value, drift or speed.value),
    )


def _sources(escape: Escape, end: End) -> "list[Stream | Puff]":
    """What escapes as the core takes it."""
    from ullage.core.exposure.room_course import Puff, Stream

    litres = {End.LOW: escape.low_l, End.MIDDLE: escape.middle_l, End.HIGH: escape.high_l}[end]
    found: list[Stream | Puff] = []
    for start, minutes, share in escape.spread:
        amount = (litres or 0.0) * share
        if minutes:
            flow = amount / minutes
            found.append(
                Stream(
                    start_min=start, end_min=start + minutes, vapour_l_min=flow, near=escape.near
                )
            )
        else:
            found.append(Puff(at_min=start, vapour_l=amount, near=escape.near))
    return found
