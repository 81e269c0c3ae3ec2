"""What brings the level down most, ranked for one case or one day.

Every help is reckoned by taking away what it takes away, at the most that may escape; what others
measured stands beside it as evidence and is never mixed in.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from math import exp

from ullage.answers.answer import Answer, Step, WhereFrom
from ullage.answers.exposure_air import AirOfDay, air_of_day
from ullage.answers.exposure_things import Escape, EscapeKind, WorkRoom
from ullage.answers.words import figure
from ullage.reference import Stated, sourced, stated

__all__ = ["Help", "helps_ranked", "what_helps_most"]

_K = EscapeKind

#: Kinds that happen at the bench, under the eyes of a hood.
_AT_BENCH = frozenset({_K.LEAK, _K.MASK, _K.CHAMBER, _K.FILLING, _K.UNSCAVENGED})

#: Less than this share is not worth a line.
_LEAST_SHARE = 0.005


@dataclass(frozen=True, slots=True, kw_only=True)
class Help:
    """One thing to do: what it takes from the mean at the work, and what others measured."""

    name: str
    todo: str
    share: float
    eight_hours_ppm: float
    evidence: tuple[WhereFrom, ...]
    evidence_text: str = ""


@dataclass(frozen=True, slots=True)
class _Way:
    """A help before it is reckoned: words, what is left of each escape, evidence."""

    name: str
    todo: str
    left: Callable[[Escape], float]
    evidence: tuple[str, ...] = ()
    more_air: float = 1.0


def _without(*kinds: EscapeKind, left: float = 0.0) -> Callable[[Escape], float]:
    return lambda one: left if one.kind in kinds else 1.0


def _ways() -> tuple[_Way, ...]:
    return (*_at_the_source(), *_elsewhere())


def _at_the_source() -> tuple[_Way, ...]:
    """What keeps agent out of the room in the first place."""
    purge = exp(-sourced("breathing", "chamber.purge_volumes").value)
    return (
        _Way(
            "scavenge",
            "Lead the flow that leaves the machine into scavenging.",
            _without(_K.UNSCAVENGED),
            ("measured.theatre_scavenged", "measured.unscavenged"),
        ),
        _Way(
            "purge the chamber",
            "Blow the chamber out with gas without agent before it is opened.",
            _without(_K.CHAMBER, left=purge),
            ("measured.purge",),
        ),
        _Way(
            "seal the mask",
            "Use a mask that seals, or one that is extracted.",
            _without(_K.MASK),
            ("measured.mask_ports", "measured.mask_extracted"),
        ),
        _Way(
            "halve the flow",
            "Halve the fresh gas flow where the system allows it.",
            _without(_K.UNSCAVENGED, _K.MASK, left=0.5),
        ),
        _Way("find the leak", "Find the leak of the machine and close it.", _without(_K.LEAK)),
    )


def _elsewhere() -> tuple[_Way, ...]:
    """What takes it away again, or moves it to another place."""
    return (
        _Way(
            "work under a hood",
            "Work under local exhaust that leads out of the building.",
            _without(*_AT_BENCH),
            ("measured.hood", "measured.local_exhaust"),
        ),
        _Way(
            "more fresh air",
            "Double the fresh air of the room.",
            lambda _: 1.0,
            ("measured.ventilation", "air.more_air_alone"),
            2.0,
        ),
        _Way(
            "recover elsewhere",
            "Let animals wake where the air is led away.",
            _without(_K.RECOVERY),
            ("measured.recovery",),
        ),
        _Way(
            "fill in a hood",
            "Fill in a hood or with a keyed filler.",
            _without(_K.FILLING),
            ("rule.filling",),
        ),
    )


def helps_ranked(
    room: WorkRoom, escapes: Sequence[Escape], agent: str, day: tuple[float, float] | None = None
) -> tuple[Help, ...]:
    """What helps, the most helpful first; what helps nothing here is left out.

    Parameters
    ----------
    room : with its volume and air changes known.
    escapes : what escapes into it.
    agent : whose level is asked for.
    day : [min] when somebody comes and goes; None takes that of `air_of_day`.

    Raises
    ------
    InvalidQuantity : a room of which something is not known.
    """
    air = air_of_day(room, escapes, agent, day)
    whole = _mean(air, air.escapes)
    if whole <= 0.0:
        return ()
    found = [_help(air, one, whole) for one in _ways()]
    kept = [one for one in found if one.share >= _LEAST_SHARE]
    return tuple(sorted(kept, key=lambda one: -one.share))


def _help(air: AirOfDay, way: _Way, whole: float) -> Help:
    left = [one.times(way.left(one)) for one in air.escapes]
    level = _mean(air, left, way.more_air)
    rows = [stated("waste", key) for key in way.evidence]
    return Help(
        name=way.name,
        todo=way.todo,
        share=1.0 - level / whole,
        eight_hours_ppm=level,
        evidence=tuple(_line(one) for one in rows),
        evidence_text=" ".join(one.text for one in rows),
    )


def _mean(air: AirOfDay, escapes: Sequence[Escape], more_air: float = 1.0) -> float:
    """Mean over eight hours at the work, at the most that may escape [ppm]."""
    return float(air.most(escapes, more_air).near_dose[-1]) / 480.0


def _line(row: Stated) -> WhereFrom:
    return WhereFrom(source=row.source, how_known=row.how_known.value, text=row.text)


def what_helps_most(
    room: WorkRoom, escapes: Sequence[Escape], agent: str, day: tuple[float, float] | None = None
) -> Answer:
    """What brings the level at the work down most here.

    Parameters
    ----------
    room : with its volume and air changes, where they are known.
    escapes : what escapes into it.
    agent : whose level is asked for.
    day : [min] when somebody comes and goes; None takes that of `air_of_day`.

    >>> from ullage.answers.exposure_things import chamber_opened
    >>> lab = WorkRoom(room_m3=45.0, air_changes_per_h=12.0)
    >>> what_helps_most(lab, [chamber_opened("isoflurane", 4.0, 0.03, 500.0)], "isoflurane").todo
    'Work under local exhaust that leads out of the building.'
    """
    if room.question:
        said = "Without the air of the room nothing can be ranked."
        return replace(_bare(agent, said), settles=room.question)
    helps = helps_ranked(room, escapes, agent, day)
    if not helps:
        return replace(
            _bare(agent, f"Nothing of {agent} escapes here by what was told."), value=0.0
        )
    best = helps[0]
    told = _bare(
        agent,
        f"{best.todo.removesuffix('.')}: that takes {figure(100.0 * best.share)} % off the mean of "
        "eight hours at the work.",
    )
    return replace(
        told,
        value=100.0 * best.share,
        steps=tuple(_step(one) for one in helps),
        where_from=tuple(
            dict.fromkeys((_ENGINE, *(line for one in helps for line in one.evidence)))
        ),
        assumptions=(
            "Ranked at the most that may escape, with each thing done fully and alone.",
            "A hood is taken to catch all, as was measured beside rats.",
        ),
        todo=best.todo,
    )


def _bare(agent: str, said: str) -> Answer:
    """The question with one sentence."""
    return Answer(
        question=f"What brings {agent} at the work down most?",
        unit="%",
        sentence=said,
        reasons=("Each thing is reckoned by taking away what it takes away, the rest as it is.",),
        where_from=(_ENGINE,),
    )


def _step(one: Help) -> Step:
    return Step(
        what=one.todo.removesuffix("."),
        result=f"{figure(100.0 * one.share)} % less",
        note=f"leaves {figure(one.eight_hours_ppm)} ppm over eight hours",
    )


_ENGINE = WhereFrom(
    source="waste_base",
    how_known="computed",
    text="The same balance of the room, with one thing changed.",
)
