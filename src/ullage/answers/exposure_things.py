"""A room with its air, and what escapes into it in the course of a day.

Times are minutes after midnight. Litres of vapour are counted at the air of the room. Three
numbers stand for what escapes: least, most likely, most; where nobody can say how much, the
middle one is None and the answer is a band.
"""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from enum import StrEnum
from math import inf

from ullage.answers.answer import WhereFrom
from ullage.answers.things import Place
from ullage.core.agents import vapour_in_carrier_l_min
from ullage.core.checks import not_negative, positive, within
from ullage.core.gas import F70
from ullage.core.units import STANDARD_ATMOSPHERE_KPA

__all__ = [
    "Escape",
    "EscapeKind",
    "Scavenging",
    "WorkRoom",
    "chamber_opened",
    "flow_escapes",
    "last_end_min",
    "liquid_spilled",
    "room_litres_of",
]

#: The smallest room that is asked about: a near box does not fit into less.
_LEAST_ROOM_M3, _MOST_ROOM_M3 = 2.0, 1e6
_MOST_CHANGES = 200.0


class EscapeKind(StrEnum):
    """Ways in which agent gets into the air of a room."""

    LEAK = "leak"
    MASK = "mask"
    CHAMBER = "chamber"
    UNSCAVENGED = "unscavenged"
    RECOVERY = "recovery"
    FILLING = "filling"

    @property
    def words(self) -> str:
        """How it is said to people."""
        return {
            "leak": "leak of the machine",
            "mask": "gas that passes the mask",
            "chamber": "chamber that is opened",
            "unscavenged": "flow that is not scavenged",
            "recovery": "animals that breathe agent out",
            "filling": "filling of the vaporizer",
        }[self.value]


class Scavenging(StrEnum):
    """What takes waste gas away from a machine."""

    NONE = "none"
    PASSIVE = "passive"
    ACTIVE = "active"
    CHARCOAL = "charcoal"

    def holds(self, gas: str) -> bool:
        """True where it keeps a gas out of the room; charcoal does not hold nitrous oxide.

        >>> Scavenging.CHARCOAL.holds("isoflurane"), Scavenging.CHARCOAL.holds("nitrous oxide")
        (True, False)
        """
        if self is Scavenging.NONE:
            return False
        return self is not Scavenging.CHARCOAL or gas != "nitrous oxide"


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkRoom:
    """The room: None where nobody has said; without a mixing factor 1 to 10 is taken."""

    name: str = "the room"
    room_m3: float | None = None
    air_changes_per_h: float | None = None
    mixing_factor: float | None = None

    def __post_init__(self) -> None:
        if self.room_m3 is not None:
            within("room_m3", self.room_m3, _LEAST_ROOM_M3, _MOST_ROOM_M3)
        if self.air_changes_per_h is not None:
            within("air_changes_per_h", self.air_changes_per_h, 0.0, _MOST_CHANGES)
        if self.mixing_factor is not None:
            within("mixing_factor", self.mixing_factor, 1.0, 10.0)

    @property
    def question(self) -> str:
        """What must be asked before a level can be worked out; empty when all is known.

        >>> WorkRoom(name="Lab", room_m3=45.0).question
        'How many air changes an hour does Lab have?'
        """
        if self.room_m3 is None:
            return f"How large is {self.name}?"
        if self.air_changes_per_h is None:
            return f"How many air changes an hour does {self.name} have?"
        return ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Escape:
    """What escapes in one way: when, how much, and on whose word.

    ``minutes`` 0 is all at once. ``pieces`` (start, minutes, share) say how it is spread over the
    time where it is not even. ``near`` is the air at the work, otherwise the whole room.
    """

    kind: EscapeKind
    name: str
    agent: str
    start_min: float
    minutes: float
    low_l: float
    middle_l: float | None
    high_l: float
    near: bool = True
    where_from: tuple[WhereFrom, ...] = ()
    note: str = ""
    pieces: tuple[tuple[float, float, float], ...] = ()

    def __post_init__(self) -> None:
        not_negative("minutes", self.minutes)
        within("low_l", not_negative("low_l", self.low_l), 0.0, self.high_l)
        within("high_l", self.high_l, 0.0, 1e9)
        if self.middle_l is not None:
            within("middle_l", self.middle_l, self.low_l, self.high_l)

    @property
    def end_min(self) -> float:
        """[min] when it ends."""
        return self.start_min + self.minutes

    @property
    def spread(self) -> tuple[tuple[float, float, float], ...]:
        """Start, minutes and share of each stretch in which it escapes evenly."""
        return self.pieces or ((self.start_min, self.minutes, 1.0),)

    def times(self, factor: float, low_factor: float | None = None) -> "Escape":
        """As much of it as a factor says; with a second one for the least."""
        low = factor if low_factor is None else low_factor
        return replace(
            self,
            low_l=self.low_l * low,
            middle_l=None if low != factor or self.middle_l is None else self.middle_l * factor,
            high_l=self.high_l * factor,
        )


def room_litres_of(place: Place) -> float:
    """Litres of room air that a litre of free gas takes up in a room.

    >>> round(room_litres_of(Place()), 3), round(room_litres_of(Place(barometric_kpa=80.5)), 3)
    (0.996, 1.254)
    """
    warmth = place.temperature_k / F70.temperature_k
    return warmth * STANDARD_ATMOSPHERE_KPA / place.barometric_kpa


def flow_escapes(
    what: tuple[EscapeKind, str, str],
    flow_l_min: tuple[float, float | None, float],
    fraction: float,
    when: tuple[float, float],
    place: Place | None = None,
) -> Escape:
    """Gas of the flowmeters, with agent in it, that gets into the room.

    Parameters
    ----------
    what : kind, name and agent.
    flow_l_min : [L/min] of carrier gas that escapes: least, most likely or None, most.
    fraction : [1] of the agent in it.
    when : [min] start and how long.
    place : with its air pressure; None is sea level.

    >>> lab = (EscapeKind.LEAK, "leak", "isoflurane")
    >>> round(flow_escapes(lab, (0.3, 0.3, 0.3), 0.02, (480.0, 60.0)).middle_l, 3)
    0.366
    """
    kind, name, agent = what
    start, minutes = when
    factor = room_litres_of(place or Place()) * positive("minutes", minutes)
    low, middle, high = (
        None if one is None else factor * vapour_in_carrier_l_min(fraction, one)
        for one in flow_l_min
    )
    return Escape(
        kind=kind,
        name=name,
        agent=agent,
        start_min=start,
        minutes=minutes,
        low_l=low or 0.0,
        middle_l=middle,
        high_l=high or 0.0,
    )


def chamber_opened(
    agent: str,
    volume_l: float,
    fraction: float,
    at_min: float,
    swept: Iterable[float] = (1.0, 1.0),
) -> Escape:
    """A chamber full of agent that is opened.

    Parameters
    ----------
    agent : in it.
    volume_l : [L] of the chamber, above 0.
    fraction : [1] of the agent in the chamber before any purge.
    at_min : [min] after midnight.
    swept : [1] what a purge leaves, least and most; 1 and 1 without a purge.

    >>> chamber_opened("isoflurane", 4.0, 0.03, 500.0).middle_l
    0.12
    """
    least, most = sorted(within("swept", one, 0.0, 1.0) for one in swept)
    held = positive("volume_l", volume_l) * within("fraction", fraction, 0.0, 1.0)
    return Escape(
        kind=EscapeKind.CHAMBER,
        name="opening the chamber",
        agent=agent,
        start_min=at_min,
        minutes=0.0,
        low_l=held * least,
        middle_l=held * most if least == most else None,
        high_l=held * most,
    )


def liquid_spilled(agent: str, liquid_ml: float, at_min: float, minutes: float = 10.0) -> Escape:
    """Liquid agent that runs past the filler and turns into vapour.

    Parameters
    ----------
    agent : in the bottle.
    liquid_ml : [mL] of liquid, 0 or more.
    at_min : [min] after midnight.
    minutes : [min] in which it dries up, above 0.

    >>> round(liquid_spilled("isoflurane", 1.0, 500.0).middle_l, 3)
    0.195
    """
    from ullage.answers.agents import liquid_of
    from ullage.answers.lines import line_of

    ratio = liquid_of(agent).vapour_per_liquid
    vapour = not_negative("liquid_ml", liquid_ml) * ratio.value / 1000.0
    return Escape(
        kind=EscapeKind.FILLING,
        name="filling the vaporizer",
        agent=agent,
        start_min=at_min,
        minutes=positive("minutes", minutes),
        low_l=vapour,
        middle_l=vapour,
        high_l=vapour,
        where_from=(line_of(ratio, "vapour from a millilitre"),),
    )


def last_end_min(escapes: Iterable[Escape]) -> float:
    """[min] when the last of them ends; minus infinity for none."""
    ends = (start + minutes for one in escapes for start, minutes, _ in one.spread)
    return max(ends, default=-inf)
