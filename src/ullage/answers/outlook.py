"""What a day plan comes to: for each source the answers that belong together.

Worked out by `ullage.answers.day_supply(plan, draws=4096, seed=...) -> DaySupply`.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from ullage.answers.answer import Answer, Verdict
from ullage.answers.plan import SourceKind
from ullage.core.gas import Gas

__all__ = ["CaseChance", "DaySupply", "SourceOutlook"]


@dataclass(frozen=True, slots=True, kw_only=True)
class CaseChance:
    """The chance that a source reaches what is kept back before a case ends."""

    case: str
    machine: str
    answer: Answer


@dataclass(frozen=True, slots=True, kw_only=True)
class SourceOutlook:
    """The answers about one source by today's plan.

    ``lasts_until`` is the main answer: it carries the verdict and what to do. Answers in the
    unit ``min after midnight`` read as clock times. ``change_overs`` name the early end of the
    band; ``reading_times_min`` are the times at which to read the gauge today.
    """

    name: str
    kind: SourceKind
    gas: Gas
    feeds: tuple[str, ...]
    reserve_of: str = ""
    lasts_until: Answer
    lasts: Answer | None = None
    left: Answer | None = None
    needed: Answer | None = None
    left_at_end: Answer | None = None
    change_overs: tuple[Answer, ...] = ()
    next_reading: Answer | None = None
    reading_times_min: tuple[float, ...] = ()
    chances: tuple[CaseChance, ...] = ()
    if_it_fails: Answer | None = None
    may_begin: Answer | None = None
    by_linear_rule: Answer | None = None

    @property
    def answers(self) -> tuple[Answer, ...]:
        """Every answer, the main one first."""
        several = (
            self.lasts_until,
            self.lasts,
            *self.change_overs,
            self.may_begin,
            self.left,
            self.needed,
            self.left_at_end,
            self.next_reading,
            self.if_it_fails,
            *(chance.answer for chance in self.chances),
            self.by_linear_rule,
        )
        return tuple(one for one in several if one is not None)

    @property
    def verdict(self) -> Verdict:
        """The gravest verdict among the answers."""
        return _gravest(one.verdict for one in self.answers)


@dataclass(frozen=True, slots=True, kw_only=True)
class DaySupply:
    """The answers of a day: one outlook for each source, and demands that nothing feeds."""

    sources: tuple[SourceOutlook, ...]
    unfed: tuple[Answer, ...] = ()
    draws: int
    seed: int

    def source(self, name: str) -> SourceOutlook:
        """The outlook of one source."""
        return next(one for one in self.sources if one.name == name)

    @property
    def verdict(self) -> Verdict:
        """The gravest verdict of the day."""
        unfed = (one.verdict for one in self.unfed)
        return _gravest((*unfed, *(one.verdict for one in self.sources)))

    def as_dict(self) -> dict[str, Any]:
        """Every answer by name, fit for JSON."""
        return {
            "draws": self.draws,
            "seed": self.seed,
            "verdict": self.verdict.value,
            "unfed": [one.as_dict() for one in self.unfed],
            "sources": [_outlook_dict(one) for one in self.sources],
        }


def _gravest(said: Iterable[Verdict | None]) -> Verdict:
    found = set(said)
    order = (Verdict.STOP, Verdict.LOOK_AGAIN, Verdict.NOT_YET)
    return next((verdict for verdict in order if verdict in found), Verdict.FINE)


def _outlook_dict(outlook: SourceOutlook) -> dict[str, Any]:
    names = (
        "lasts_until", "lasts", "left", "needed", "left_at_end", "next_reading", "if_it_fails",
        "may_begin", "by_linear_rule",
    )  # fmt: skip
    found: dict[str, Any] = {name: getattr(outlook, name) for name in names}
    return {
        "name": outlook.name,
        "kind": outlook.kind.value,
        "gas": outlook.gas.value,
        "feeds": list(outlook.feeds),
        "reserve_of": outlook.reserve_of,
        "verdict": outlook.verdict.value,
        **{name: one.as_dict() if one else None for name, one in found.items()},
        "change_overs": [one.as_dict() for one in outlook.change_overs],
        "reading_times_min": list(outlook.reading_times_min),
        "chances": [
            {"case": one.case, "machine": one.machine, "answer": one.answer.as_dict()}
            for one in outlook.chances
        ],
    }
