"""Recovery: what is done and what must be met before a case may be closed, by species."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime

from ullage.answers.answer import Answer, Step, Verdict, WhereFrom
from ullage.answers.lines import line_of
from ullage.answers.record.printed import clock_text
from ullage.core.checks import within
from ullage.core.errors import PlanUnreadable, UnknownReference
from ullage.reference import Stated, sourced, stated
from ullage.reference.record import rules_of

__all__ = ["RecoverySaid", "RecoveryStep", "recovery_left", "recovery_steps"]


@dataclass(frozen=True, slots=True, kw_only=True)
class RecoveryStep:
    """One step: what is to be seen. ``is_criterion``: it ends the recovery, others are care."""

    key: str
    text: str
    where_from: WhereFrom
    is_criterion: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class RecoverySaid:
    """What somebody said of a step, and when it was seen; the last word of a step counts."""

    step: str
    is_met: bool
    at: datetime
    by: str = ""

    def __post_init__(self) -> None:
        if self.at.tzinfo is None:
            raise PlanUnreadable("A time of the record needs its zone; it is kept in UTC.")


def recovery_steps(
    species: str,
    own: Iterable[RecoveryStep] = (),
    without: Iterable[str] = (),
    temperature_c: float | None = None,
) -> tuple[RecoveryStep, ...]:
    """The steps of recovery for a species, in their order.

    Parameters
    ----------
    species : of the animal.
    own : further steps of the site.
    without : keys of shipped steps that the site has taken out.
    temperature_c : [°C] least temperature that the site asks for; None: none is asked for.

    Raises
    ------
    UnknownReference : a step is taken out that does not exist for this species.

    >>> [one.key for one in recovery_steps("sheep")][:5]
    ['person', 'chest_down', 'head_up', 'mouth_checked', 'tube_late']
    """
    name, out = species.strip().lower(), frozenset(without)
    shipped = [_shipped(one["key"], one.get("criterion", False)) for one in rules_of("step", name)]
    unknown = sorted(out - {one.key for one in shipped})
    if unknown:
        raise UnknownReference(f"{unknown[0]!r} is no step of recovery for a {name}.")
    warm = () if temperature_c is None else (_warm(temperature_c),)
    return (*(one for one in shipped if one.key not in out), *warm, *own)


def _shipped(key: str, is_criterion: bool) -> RecoveryStep:
    row = stated("record", f"recovery.{key}")
    return RecoveryStep(key=key, text=row.text, where_from=_where(row), is_criterion=is_criterion)


def _where(row: Stated) -> WhereFrom:
    text = f"{row.where[:1].upper()}{row.where[1:]}."
    return WhereFrom(source=row.source, how_known=row.how_known.value, text=text)


def _warm(temperature_c: float) -> RecoveryStep:
    within("temperature_c", temperature_c, 20.0, 45.0)
    return RecoveryStep(
        key="temperature",
        text=f"Its temperature is {temperature_c:g} °C or more.",
        where_from=WhereFrom(
            source="site_rule", how_known="site", text="Limit of the site for its recoveries."
        ),
        is_criterion=True,
    )


def recovery_left(steps: Sequence[RecoveryStep], said: Iterable[RecoverySaid]) -> Answer:
    """What is still unmet before a case may be closed.

    Parameters
    ----------
    steps : as `recovery_steps` gave them.
    said : what was entered, in any order; of two words on a step the later one counts, so that an
        animal that gets worse opens its recovery again.

    Returns
    -------
    [1] steps unmet. Not yet: the case stays open. Fine: it may be closed.

    >>> recovery_left(recovery_steps("cat"), []).verdict.value
    'Not yet'
    """
    words = sorted(said, key=lambda one: one.at)
    last = {one.step: one for one in words}
    ever = {one.step for one in words if one.is_met}
    unmet = [one for one in steps if not _is_met(last.get(one.key))]
    worse = [one for one in unmet if one.key in ever]
    return Answer(
        question="May this case be closed?",
        value=float(len(unmet)),
        unit=f"of {len(steps)} steps of recovery unmet",
        verdict=Verdict.NOT_YET if unmet or not steps else Verdict.FINE,
        sentence=_sentence(steps, unmet, worse),
        reasons=(
            "Most deaths come after anaesthesia; the first hours matter most (from memory).",
            "A case is not closed while a step of its recovery is unmet.",
        ),
        todo=_todo(unmet, worse),
        settles=f"Is it so: {_low(unmet[0].text)}?" if unmet else "",
        steps=tuple(_line(one, last.get(one.key), one in worse) for one in steps),
        assumptions=tuple(_about_warmth(steps)),
        where_from=_rests_on(steps),
        cautions=("The responsible veterinarian decides when a recovery is over.",),
    )


_NOBODY = WhereFrom(source="site_rule", how_known="site", text="The site has taken every step out.")


def _is_met(said: RecoverySaid | None) -> bool:
    return said is not None and said.is_met


def _low(text: str) -> str:
    return f"{text[:1].lower()}{text[1:].removesuffix('.')}"


def _sentence(
    steps: Sequence[RecoveryStep], unmet: list[RecoveryStep], worse: list[RecoveryStep]
) -> str:
    if not steps:
        return "Nothing says when this recovery is over."
    if worse:
        return f"Recovery is open again: {_low(worse[0].text)} no longer holds."
    if unmet:
        return f"Recovery is open: {len(unmet)} of {len(steps)} steps are unmet."
    return "Recovery is over: every step is met."


def _todo(unmet: list[RecoveryStep], worse: list[RecoveryStep]) -> str:
    if worse:
        return "Go to the animal, tell the responsible veterinarian, and watch it again."
    return "Stay with the animal until each step is met." if unmet else ""


def _line(step: RecoveryStep, said: RecoverySaid | None, is_worse: bool) -> Step:
    if said is None:
        return Step(what=step.text, result="not recorded")
    by = f" by {said.by}" if said.by else ""
    result = "met" if said.is_met else "no longer met" if is_worse else "not met"
    return Step(
        what=step.text,
        result=result,
        note=f"Seen at {clock_text(said.at, said.at.tzinfo or UTC)}{by}.",
    )


def _about_warmth(steps: Sequence[RecoveryStep]) -> Iterator[str]:
    """The limit of temperature in use for dogs and cats, where the site asks for no number."""
    keys = {one.key for one in steps}
    if "warm" in keys and "temperature" not in keys:
        row = sourced("record", "recovery.temperature_low_c")
        yield (
            f"No number is asked for; {row.value:g} °C or more is in use for dogs and cats, "
            "from memory, and no document read states it."
        )


def _rests_on(steps: Sequence[RecoveryStep]) -> tuple[WhereFrom, ...]:
    found = [one.where_from for one in steps]
    if any(_about_warmth(steps)):
        found.append(line_of(sourced("record", "recovery.temperature_low_c"), "limit in use"))
    return tuple(dict.fromkeys(found)) or (_NOBODY,)
