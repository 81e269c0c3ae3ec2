"""How each animal of a case came through, and whether the case may be closed."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime, tzinfo

from ullage.answers.answer import Answer, Step, Verdict, WhereFrom
from ullage.answers.record.beginning import Override, override_lacks
from ullage.answers.record.printed import local_time
from ullage.answers.record.recovery import (
    RecoverySaid,
    RecoveryStep,
    recovery_left,
)
from ullage.answers.record.seen import CaseSeen, case_seen
from ullage.answers.record.things import AnyLine, EntryKind

__all__ = [
    "ANIMALS",
    "DEAD",
    "RECOVERY_STEP",
    "AnimalEnd",
    "animal_ends",
    "animals_in",
    "animals_text",
    "may_case_close",
]

#: The fact that names the animals of a group, and what stands between two of them.
ANIMALS = "animals"
_BETWEEN = "; "
#: The word of the event that speaks of one step; its details name step and whether it is met.
RECOVERY_STEP = "recovery step"
#: With one of these an animal asks for no recovery.
DEAD = ("died", "killed")
_BEGAN = "anaesthesia began"


@dataclass(frozen=True, slots=True, kw_only=True)
class AnimalEnd:
    """One animal of a case: what is left of its recovery, or how it died and when."""

    animal: str
    answer: Answer
    died: str = ""
    died_at: datetime | None = None
    said: Mapping[str, RecoverySaid]

    @property
    def is_over(self) -> bool:
        """Whether nothing of it keeps the case open."""
        return bool(self.died) or self.answer.verdict is Verdict.FINE


def animals_text(names: Iterable[str]) -> str:
    """The animals of a group as one fact, each once.

    >>> animals_text(["M1", "M2", "M1"])
    'M1; M2'
    """
    return _BETWEEN.join(dict.fromkeys(one.strip() for one in names if one.strip()))


def animals_in(lines: Iterable[AnyLine]) -> tuple[str, ...]:
    """The animals of a group, in the order in which they came; empty for a case of one.

    Parameters
    ----------
    lines : of one record, in their order.
    """
    seen = case_seen(lines)
    if seen.fact("group") != "yes":
        return ()
    told = [one.strip() for one in seen.fact(ANIMALS).split(_BETWEEN.strip())]
    told += [one.animal.strip() for one in seen.entries]
    return tuple(dict.fromkeys(one for one in told if one))


def animal_ends(
    lines: Iterable[AnyLine], steps: Sequence[RecoveryStep], zone: tzinfo = UTC
) -> tuple[AnimalEnd, ...]:
    """How each animal of a case stands at its end.

    Parameters
    ----------
    lines : of one record, in their order.
    steps : of the recovery of the species at this site.
    zone : of the place, for times of day.

    Returns
    -------
    One for a case of one animal, one for each of a group. Of a group an entry counts for the
    animal that it names; one that names none counts for all.
    """
    kept = tuple(lines)
    return tuple(_end(case_seen(kept, name, zone), steps) for name in animals_in(kept) or ("",))


def _end(seen: CaseSeen, steps: Sequence[RecoveryStep]) -> AnimalEnd:
    said = tuple(_said(seen))
    left = recovery_left(steps, said)
    if seen.animal:
        left = replace(left, question=f"Is the recovery of {seen.animal} over?")
    died = next((one for one in seen.kinds(EntryKind.EVENT) if one.what in DEAD), None)
    last = {one.step: one for one in sorted(said, key=lambda one: one.at)}
    return AnimalEnd(
        animal=seen.animal,
        answer=left,
        died=died.what if died else "",
        died_at=died.times.observed if died else None,
        said=last,
    )


def _said(seen: CaseSeen) -> Iterator[RecoverySaid]:
    for one in seen.kinds(EntryKind.EVENT):
        if one.what == RECOVERY_STEP and one.details.get("step"):
            yield RecoverySaid(
                step=one.details["step"],
                is_met=one.details.get("met") == "yes",
                at=local_time(one.times.observed, seen.zone),
                by=one.author,
            )


def may_case_close(
    lines: Iterable[AnyLine],
    steps: Sequence[RecoveryStep],
    *,
    waiting: int = 0,
    gas_flows: bool = False,
    override: Override | None = None,
) -> Answer:
    """Whether a case may be closed, and what still keeps it open.

    Parameters
    ----------
    lines : of one record, in their order.
    steps : of the recovery of the species at this site.
    waiting : entries that were sent and could not be taken yet.
    gas_flows : its flows are noted as running.
    override : who answers for closing it all the same, and why.

    Returns
    -------
    [1] what keeps it open. Fine: nothing does. Not yet: something does, and nobody answers for it.
    Look again: it is closed with something unmet, which stands in the record.

    >>> may_case_close([], []).verdict.value
    'Fine'
    """
    kept = tuple(lines)
    keeps = list(_keeps(kept, steps, waiting, gas_flows=gas_flows))
    lacks = override_lacks(override)
    answered = Verdict.NOT_YET if lacks else Verdict.LOOK_AGAIN
    verdict = answered if keeps else Verdict.FINE
    return Answer(
        question="May this case be closed?",
        value=float(len(keeps)),
        unit="thing keeps it open" if len(keeps) == 1 else "things keep it open",
        verdict=verdict,
        sentence=_sentence(keeps, override if not lacks else None),
        settles=lacks if verdict is Verdict.NOT_YET else "",
        todo="Settle each, or name who answers for closing without." if keeps and lacks else "",
        reasons=("A case is not closed in silence while something of it is open.",),
        steps=tuple(keeps),
        where_from=(
            WhereFrom(source="entered", how_known="site", text="The entries of the record."),
        ),
        cautions=(
            "The responsible veterinarian decides when a recovery is over.",
            "What nobody recorded is not asked for again after closing: look at the report first.",
        ),
    )


def _keeps(
    lines: tuple[AnyLine, ...], steps: Sequence[RecoveryStep], waiting: int, *, gas_flows: bool
) -> Iterator[Step]:
    began = case_seen(lines).event(_BEGAN) is not None
    for end in animal_ends(lines, steps) if began else ():
        if not end.is_over:
            what = f"recovery of {end.animal}" if end.animal else "recovery"
            yield Step(what=what, result=Verdict.NOT_YET.value, note=end.answer.sentence)
    if gas_flows:
        why = "Its gas is noted as flowing; say when it was turned off."
        yield Step(what="gas", result=Verdict.NOT_YET.value, note=why)
    if waiting:
        what = "1 entry" if waiting == 1 else f"{waiting} entries"
        yield Step(
            what="not taken",
            result=Verdict.NOT_YET.value,
            note=f"{what} wait for a lead to decide.",
        )


def _sentence(keeps: list[Step], override: Override | None) -> str:
    if not keeps:
        return "Nothing keeps this case open."
    named = "; ".join(one.what for one in keeps)
    if override is not None:
        return f"It is closed with something open ({named}); {override.by} answers for it."
    return f"This case is still open: {named}."
