"""The answer: a number to act on, and all that is needed to trust or doubt it."""

from collections.abc import Mapping
from dataclasses import asdict, dataclass, fields
from enum import StrEnum
from typing import Any, Self

from ullage.answers.words import number, span
from ullage.core.checks import within

__all__ = ["CAUTION_LINE", "Answer", "Step", "Verdict", "View", "WhereFrom"]

#: Stands in every footer, on every printed page and at the end of every report.
CAUTION_LINE = (
    "Decision support for trained people; local codes and the responsible veterinarian decide."
)


class Verdict(StrEnum):
    """What an answer comes to, in fixed words."""

    FINE = "Fine"
    LOOK_AGAIN = "Look again"
    STOP = "Stop"
    NOT_YET = "Not yet"


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """One line of the working: what was done, what came out, its range, a note."""

    what: str
    result: str
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class WhereFrom:
    """Where a value comes from: a source key, how it is known, and words."""

    source: str
    how_known: str
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class View:
    """One side where sources disagree; exactly one of several is chosen."""

    label: str
    result: str
    source: str
    how_known: str
    chosen: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """A question answered: value, unit, band, sentence, working, sources, doubts, verdict.

    An answer without a number has ``value`` None; it then holds a range, or the question
    that would settle it (``settles``), or both.
    """

    question: str
    unit: str
    sentence: str
    reasons: tuple[str, ...]
    where_from: tuple[WhereFrom, ...]
    value: float | None = None
    low: float | None = None
    high: float | None = None
    covers: str = ""
    settles: str = ""
    steps: tuple[Step, ...] = ()
    assumptions: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    views: tuple[View, ...] = ()
    verdict: Verdict | None = None
    todo: str = ""
    draws: int = 0
    seed: int | None = None

    def __post_init__(self) -> None:
        if self.value is not None and self.low is not None and self.high is not None:
            within("value", self.value, self.low, self.high)

    @property
    def sources(self) -> tuple[str, ...]:
        """The keys of the sources, each once, in order."""
        return tuple(dict.fromkeys(one.source for one in self.where_from))

    @property
    def text(self) -> str:
        """The number and its band, in the words that every face prints."""
        if self.value is None:
            return self.range_text or self.settles
        band = f" ({self.range_text})" if self.range_text else ""
        return f"{self.number_text}{band}"

    @property
    def number_text(self) -> str:
        """The number with its unit; minutes read as hours and minutes."""
        return "" if self.value is None else number(self.value, self.unit)

    @property
    def range_text(self) -> str:
        """The band, ``305 to 362``; empty when there is none."""
        if self.low is None or self.high is None:
            return ""
        return span(self.low, self.high, self.unit)

    def as_dict(self) -> dict[str, Any]:
        """Every field by name, fit for JSON; verdicts and tuples become words and lists."""
        return {**asdict(self), "verdict": self.verdict.value if self.verdict else None}

    @classmethod
    def from_dict(cls, stored: Mapping[str, Any]) -> Self:
        """The answer that `as_dict` wrote."""
        kept = {one.name: stored[one.name] for one in fields(cls) if one.name in stored}
        kept["where_from"] = tuple(WhereFrom(**one) for one in kept.get("where_from", ()))
        kept["steps"] = tuple(Step(**one) for one in kept.get("steps", ()))
        kept["views"] = tuple(View(**one) for one in kept.get("views", ()))
        for name in ("reasons", "assumptions", "cautions"):
            kept[name] = tuple(kept.get(name, ()))
        kept["verdict"] = Verdict(kept["verdict"]) if kept.get("verdict") else None
        return cls(**kept)
