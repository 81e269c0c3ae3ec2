"""Answers as they were worked out, with their time and whether newer ones are on their way."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from functools import cached_property
from typing import Any

from django.utils import timezone
from django.utils.dateparse import parse_datetime

from ullage.answers import Answer, Verdict
from ullage.web.supply.models import Cylinder, StoredAnswer

__all__ = ["Kept", "Lasts", "kept_answers", "kept_by_cylinder", "subject_of"]


#: Work takes about a second; what takes longer than this is not being done.
_LONG_ENOUGH = timedelta(minutes=2)


@dataclass(frozen=True, slots=True, kw_only=True)
class Lasts:
    """How long it lasts, at a flow that is stated; clock times where that flow runs."""

    answer: Answer
    flow_l_min: float
    words: str
    is_running: bool = False
    until: datetime | None = None
    early: datetime | None = None
    late: datetime | None = None


class Kept:
    """The stored answers of one cylinder; each is read from its row when it is asked for."""

    def __init__(self, rows: Iterable[StoredAnswer] = (), asked_at: datetime | None = None) -> None:
        kept = list(rows)
        self._payloads: dict[str, Any] = {row.kind: row.payload for row in kept}
        self.worked_out_at = max((row.worked_out_at for row in kept), default=None)
        self.is_stale = asked_at is not None and (
            self.worked_out_at is None or self.worked_out_at < asked_at
        )
        self.is_overdue = (
            self.is_stale and asked_at is not None and timezone.now() - asked_at > _LONG_ENOUGH
        )

    def _plain(self, kind: str) -> Mapping[str, Any]:
        return self._payloads.get(kind) or {}

    def _answer(self, kind: str) -> Answer | None:
        found = self._plain(kind)
        return Answer.from_dict(found["answer"]) if found else None

    def verdict_of(self, kind: str) -> Verdict | None:
        """The verdict of one answer, without reading the rest of it."""
        said = self._plain(kind).get("answer", {}).get("verdict")
        return Verdict(said) if said else None

    @cached_property
    def contents(self) -> Answer | None:
        """What is left."""
        return self._answer("contents")

    @cached_property
    def lasts(self) -> Lasts | None:
        """How long it lasts, at a flow that is named."""
        found = self._plain("lasts")
        return _lasts(found) if found else None

    @cached_property
    def leak(self) -> Answer | None:
        """Whether it leaks."""
        return self._answer("leak")

    @cached_property
    def flow_scale(self) -> Answer | None:
        """Whether the flow was what it was set to."""
        return self._answer("flow_scale")

    @cached_property
    def reserve_at(self) -> Answer | None:
        """When what is kept back is reached, by all readings."""
        return self._answer("reserve_at")

    @property
    def full_l(self) -> float | None:
        """[L] What it holds when full."""
        return self._plain("contents").get("full_l")

    @property
    def curve(self) -> Mapping[str, Any]:
        """What the gauge was expected to show, for the chart."""
        return self._plain("curve")

    @property
    def notes(self) -> Mapping[str, Any]:
        """What the last reading changed, what it was held against, what would tell more."""
        return self._plain("notes")


def subject_of(cylinder_pk: int) -> str:
    """How stored answers name a cylinder."""
    return f"cylinder:{cylinder_pk}"


def kept_answers(cylinder: Cylinder) -> Kept:
    """All stored answers of one cylinder; one query."""
    rows = StoredAnswer.objects.filter(subject=subject_of(cylinder.pk))
    return Kept(rows, cylinder.asked_at)


def kept_by_cylinder(cylinders: Iterable[Cylinder], kinds: Iterable[str]) -> dict[int, Kept]:
    """Some kinds of answers for many cylinders; one query."""
    by_subject = {subject_of(one.pk): one for one in cylinders}
    rows = StoredAnswer.objects.filter(subject__in=by_subject, kind__in=list(kinds))
    found: dict[str, list[StoredAnswer]] = {}
    for row in rows:
        found.setdefault(row.subject, []).append(row)
    return {
        one.pk: Kept(found.get(subject, ()), one.asked_at) for subject, one in by_subject.items()
    }


def _lasts(payload: Mapping[str, Any]) -> Lasts:
    def clock(name: str) -> datetime | None:
        return parse_datetime(payload[name]) if payload.get(name) else None

    return Lasts(
        answer=Answer.from_dict(payload["answer"]),
        flow_l_min=payload["flow_l_min"],
        words=payload["words"],
        is_running=payload.get("is_running", False),
        until=clock("until"),
        early=clock("early"),
        late=clock("late"),
    )
