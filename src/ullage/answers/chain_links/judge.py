"""How findings about one part of the chain become its answer: the gravest one counts."""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from ullage.answers.answer import Answer, Step, Verdict, View, WhereFrom
from ullage.answers.chain_questions import question_of
from ullage.answers.chain_things import Chain
from ullage.answers.things import Place
from ullage.answers.words import figure
from ullage.core.units import convert

__all__ = [
    "NOBODY",
    "Extras",
    "Finding",
    "Link",
    "always",
    "common",
    "fine",
    "from_memory",
    "judge",
    "look_again",
    "open_question",
    "pressure_text",
    "stop",
]

#: From grave to harmless. What nobody has answered hides no concern, and is itself no comfort.
GRAVITY = (Verdict.STOP, Verdict.LOOK_AGAIN, Verdict.NOT_YET, Verdict.FINE)

READ = WhereFrom(
    source="reading", how_known="seen", text="What a person found and entered for this part."
)
NOBODY = "Nobody has answered what settles this part."


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """One thing found about a part: how grave, in words, what to do, and on whose word."""

    verdict: Verdict
    says: str
    todo: str = ""
    asks: str = ""
    rests_on: tuple[WhereFrom, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Extras:
    """What an answer about a part may carry besides its findings.

    ``when_fine`` is the sentence when every finding is fine.
    """

    when_fine: str = ""

    cautions: tuple[str, ...] = ()
    assumptions: tuple[str, ...] = ()
    views: tuple[View, ...] = ()
    steps: tuple[Step, ...] = ()
    rests_on: tuple[WhereFrom, ...] = ()
    value: float | None = None
    low: float | None = None
    high: float | None = None
    unit: str = ""
    covers: str = ""


def always(_chain: Chain) -> bool:
    """Every chain has this part."""
    return True


@dataclass(frozen=True, slots=True, kw_only=True)
class Link:
    """One part of the chain: its name, its title, its answer, and which chains have it."""

    name: str
    title: str
    answer: Callable[[Chain], Answer]
    applies: Callable[[Chain], bool] = always


def fine(says: str, *rests_on: WhereFrom) -> Finding:
    """A finding that stands in nobody's way."""
    return Finding(verdict=Verdict.FINE, says=says, rests_on=rests_on)


def look_again(says: str, todo: str, *rests_on: WhereFrom) -> Finding:
    """A finding that needs a second look before going on."""
    return Finding(verdict=Verdict.LOOK_AGAIN, says=says, todo=todo, rests_on=rests_on)


def stop(says: str, todo: str, *rests_on: WhereFrom) -> Finding:
    """A finding with which nobody may begin."""
    return Finding(verdict=Verdict.STOP, says=says, todo=todo, rests_on=rests_on)


def open_question(thing: Any, name: str) -> Finding:
    """A field that nobody has answered, with the question that settles it."""
    return Finding(verdict=Verdict.NOT_YET, says=NOBODY, asks=question_of(thing, name))


def judge(
    question: str,
    findings: Iterable[Finding],
    extras: Extras = Extras(),
    gravity: Sequence[Verdict] = GRAVITY,
) -> Answer:
    """The answer about one part of the chain or one step: the gravest finding is its verdict."""
    found = sorted(findings, key=lambda one: gravity.index(one.verdict))
    verdict = found[0].verdict
    told = tuple(one for one in found if one.verdict is not Verdict.NOT_YET)
    rests_on = [wf for one in told for wf in one.rests_on]
    rests_on += list(extras.rests_on)
    return Answer(
        question=question,
        sentence=extras.when_fine
        if verdict is Verdict.FINE and extras.when_fine
        else found[0].says,
        reasons=tuple(dict.fromkeys(one.says for one in found)),
        todo=" ".join(dict.fromkeys(one.todo for one in found if one.todo)),
        settles=" ".join(dict.fromkeys(one.asks for one in found if one.asks)),
        verdict=verdict,
        where_from=tuple(dict.fromkeys(([READ] if told else []) + rests_on)) or (READ,),
        cautions=extras.cautions,
        assumptions=extras.assumptions,
        views=extras.views,
        steps=extras.steps,
        value=extras.value,
        low=extras.low,
        high=extras.high,
        unit=extras.unit,
        covers=extras.covers,
    )


def common(text: str) -> WhereFrom:
    """A rule that the trade follows and no source of ours prints."""
    return WhereFrom(source="common_practice", how_known="common", text=f"{text} Common practice.")


def from_memory(text: str) -> WhereFrom:
    """A statement recalled and not read anywhere."""
    return WhereFrom(
        source="trade_memory", how_known="memory", text=f"{text} From memory, not confirmed."
    )


def pressure_text(gauge_kpa: float, place: Place) -> str:
    """A pressure in the unit of the place.

    >>> pressure_text(344.74, Place(pressure_unit="psi"))
    '50 psi'
    """
    unit = place.pressure_unit
    return f"{figure(convert(gauge_kpa, 'kPa', 'pressure', unit))} {unit}"
