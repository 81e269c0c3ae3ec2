"""The answers of a day as they were worked out, with their time."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from typing import Any

from ullage.answers import Answer, Verdict
from ullage.answers.chain_links.judge import GRAVITY
from ullage.web.sites.selectors import Site
from ullage.web.supply.selectors import StoredAnswer

__all__ = [
    "ChainSaid",
    "Chance",
    "DayAnswers",
    "Outlook",
    "Unfed",
    "day_answers",
    "day_subject",
    "said_by",
    "source_kind",
    "source_outlook",
]


@dataclass(frozen=True, slots=True, kw_only=True)
class Chance:
    """The chance that a source reaches what is kept back before a case ends."""

    case: str
    machine: str
    answer: Answer


@dataclass(frozen=True, slots=True, kw_only=True)
class Outlook:
    """What the day comes to for one source."""

    name: str
    kind: str
    gas: str
    feeds: tuple[str, ...]
    verdict: Verdict
    lasts_until: Answer
    lasts: Answer | None = None
    left: Answer | None = None
    needed: Answer | None = None
    left_at_end: Answer | None = None
    next_reading: Answer | None = None
    if_it_fails: Answer | None = None
    may_begin: Answer | None = None
    by_linear_rule: Answer | None = None
    change_overs: tuple[Answer, ...] = ()
    chances: tuple[Chance, ...] = ()
    reading_times_min: tuple[float, ...] = ()
    reserve_of: str = ""
    said_by: Answer | None = None

    @property
    def is_main(self) -> bool:
        """True when it is drawn on as a rule, not only when another source fails."""
        return not self.reserve_of

    @property
    def others(self) -> tuple[Answer, ...]:
        """The answers beside the main one, in the order of the work."""
        several = (
            self.may_begin,
            *self.change_overs,
            self.next_reading,
            self.if_it_fails,
            self.left,
            self.needed,
            self.left_at_end,
            self.lasts,
            self.by_linear_rule,
        )
        return tuple(one for one in several if one is not None)


@dataclass(frozen=True, slots=True, kw_only=True)
class Unfed:
    """A source that no answer can be given for yet, and the question that would settle it."""

    source: str
    machines: tuple[str, ...]
    question: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ChainSaid:
    """What the chain from a source to a machine comes to."""

    machine: str
    source: str
    verdict: Verdict
    said: str
    open_count: int


@dataclass(frozen=True, slots=True, kw_only=True)
class DayAnswers:
    """Everything that was worked out for a day; empty while nothing was."""

    outlooks: tuple[Outlook, ...] = ()
    unfed: tuple[Answer, ...] = ()
    unread: tuple[Unfed, ...] = ()
    chains: tuple[ChainSaid, ...] = ()
    refused: str = ""
    asked_at: datetime | None = None
    worked_out_at: datetime | None = None
    is_stale: bool = False
    verdict: Verdict = Verdict.NOT_YET
    draws: int = 0
    seed: int | None = None
    raw: Mapping[str, Any] = field(default_factory=dict)

    @property
    def todo(self) -> list[Answer]:
        """What asks to be done: one line for each source, the gravest first."""
        main = [*self.unfed, *(said_by(one) for one in self.outlooks)]
        wanted = (Verdict.STOP, Verdict.LOOK_AGAIN)
        found = [one for one in main if one.verdict in wanted]
        return sorted(found, key=lambda one: GRAVITY.index(one.verdict or Verdict.FINE))

    @property
    def pressing(self) -> list[Outlook]:
        """The sources that are not fine, the gravest first."""
        found = [one for one in self.outlooks if one.verdict is not Verdict.FINE]
        return sorted(found, key=lambda one: GRAVITY.index(one.verdict))

    @property
    def settled(self) -> list[Outlook]:
        """The sources that are fine: those in use before those that stand behind them."""
        found = [one for one in self.outlooks if one.verdict is Verdict.FINE]
        return sorted(found, key=lambda one: bool(one.reserve_of))

    @property
    def counts(self) -> tuple[int, int, int]:
        """How many sources are at stop, to look at, fine."""
        said = [one.verdict for one in self.outlooks] + [
            one.verdict for one in self.unfed if one.verdict
        ]
        stop, look = said.count(Verdict.STOP), said.count(Verdict.LOOK_AGAIN)
        return stop, look + len(self.unread), said.count(Verdict.FINE)


def said_by(outlook: Outlook) -> Answer:
    """The answer of a source that carries its verdict."""
    if outlook.said_by is not None:
        return outlook.said_by
    for one in (outlook.lasts_until, *outlook.others, *(each.answer for each in outlook.chances)):
        if one.verdict == outlook.verdict:
            return one
    return outlook.lasts_until


def day_subject(site: Site, day: date) -> str:
    """How stored answers name a day."""
    return f"day:{site.pk}:{day.isoformat()}"


def source_kind(source_pk: int) -> str:
    """How the answers of a day about one source are kept."""
    return f"source:{source_pk}"


def source_outlook(site: Site, day: date, source_pk: int) -> Outlook | None:
    """What a day comes to for one source; None while nothing is known of it. One query."""
    kept = StoredAnswer.objects.filter(
        subject=day_subject(site, day), kind=source_kind(source_pk)
    ).first()
    return _outlook(kept.payload) if kept is not None and kept.payload else None


def day_answers(site: Site, day: date, kind: str = "day") -> DayAnswers:
    """The answers that are kept for a day, whole or as the board needs them; one query."""
    kept = StoredAnswer.objects.filter(subject=day_subject(site, day), kind__in=(kind, "asked"))
    rows = {row.kind: row for row in kept}
    asked = rows.get("asked")
    if kind not in rows:
        when = asked.worked_out_at if asked else None
        return DayAnswers(is_stale=asked is not None, asked_at=when)
    row = rows[kind]
    payload = row.payload
    return DayAnswers(
        outlooks=tuple(_outlook(one) for one in payload["sources"]),
        unfed=tuple(Answer.from_dict(one) for one in payload["unfed"]),
        unread=tuple(
            Unfed(source=one["source"], machines=tuple(one["machines"]), question=one["question"])
            for one in payload.get("unread", ())
        ),
        chains=tuple(_chain(one) for one in payload.get("chains", ())),
        refused=payload.get("refused", ""),
        asked_at=asked.worked_out_at if asked else row.worked_out_at,
        worked_out_at=row.worked_out_at,
        is_stale=asked is not None and asked.worked_out_at > row.worked_out_at,
        verdict=Verdict(payload.get("verdict", Verdict.NOT_YET)),
        draws=payload.get("draws", 0),
        seed=payload.get("seed"),
        raw=payload,
    )


def _chain(told: Mapping[str, Any]) -> ChainSaid:
    """Stop before look again; a part nobody has answered leaves the chain at not yet."""
    parts = told["parts"]
    open_count = sum(one["is_open"] for one in parts)
    for verdict in (Verdict.STOP, Verdict.LOOK_AGAIN):
        said = [one["said"] for one in parts if one["verdict"] == verdict.value]
        if said:
            break
    else:
        verdict, said = (Verdict.NOT_YET if open_count else Verdict.FINE), []
    return ChainSaid(
        machine=told["machine"],
        source=told["source"],
        verdict=verdict,
        said=" ".join(dict.fromkeys(said)),
        open_count=open_count,
    )


def _outlook(told: Mapping[str, Any]) -> Outlook:
    single = (
        "lasts", "left", "needed", "left_at_end", "next_reading", "if_it_fails", "may_begin",
        "by_linear_rule", "said_by",
    )  # fmt: skip
    return Outlook(
        name=told["name"],
        kind=told["kind"],
        gas=told["gas"],
        feeds=tuple(told["feeds"]),
        verdict=Verdict(told["verdict"]),
        lasts_until=Answer.from_dict(told["lasts_until"]),
        change_overs=tuple(Answer.from_dict(one) for one in told["change_overs"]),
        chances=tuple(
            Chance(case=one["case"], machine=one["machine"], answer=Answer.from_dict(one["answer"]))
            for one in told["chances"]
        ),
        reading_times_min=tuple(told["reading_times_min"]),
        reserve_of=told.get("reserve_of", ""),
        **{name: Answer.from_dict(told[name]) for name in single if told.get(name)},
    )
