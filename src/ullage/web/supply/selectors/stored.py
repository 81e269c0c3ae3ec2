"""Answers as they were worked out, with their time and whether newer ones are on their way."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from django.utils.dateparse import parse_datetime

from ullage.answers import Answer
from ullage.web.supply.models import Cylinder, StoredAnswer

__all__ = ["Kept", "Lasts", "kept_answers", "kept_by_cylinder", "subject_of"]


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


@dataclass(frozen=True, slots=True, kw_only=True)
class Kept:
    """The stored answers of one cylinder; empty while none was worked out."""

    contents: Answer | None = None
    full_l: float | None = None
    kept_l: float | None = None
    lasts: Lasts | None = None
    leak: Answer | None = None
    flow_scale: Answer | None = None
    reserve_at: Answer | None = None
    curve: Mapping[str, Any] = field(default_factory=dict)
    notes: Mapping[str, Any] = field(default_factory=dict)
    worked_out_at: datetime | None = None
    is_stale: bool = False


def subject_of(cylinder_pk: int) -> str:
    """How stored answers name a cylinder."""
    return f"cylinder:{cylinder_pk}"


def kept_answers(cylinder: Cylinder) -> Kept:
    """All stored answers of one cylinder; one query."""
    rows = StoredAnswer.objects.filter(subject=subject_of(cylinder.pk))
    return _kept(cylinder, rows)


def kept_by_cylinder(cylinders: Iterable[Cylinder], kinds: Iterable[str]) -> dict[int, Kept]:
    """Some kinds of answers for many cylinders; one query."""
    by_subject = {subject_of(one.pk): one for one in cylinders}
    rows = StoredAnswer.objects.filter(subject__in=by_subject, kind__in=list(kinds))
    found: dict[str, list[StoredAnswer]] = {}
    for row in rows:
        found.setdefault(row.subject, []).append(row)
    return {one.pk: _kept(one, found.get(subject, ())) for subject, one in by_subject.items()}


def _kept(cylinder: Cylinder, rows: Iterable[StoredAnswer]) -> Kept:
    by_kind = {row.kind: row for row in rows}
    at = max((row.worked_out_at for row in by_kind.values()), default=None)
    asked = cylinder.asked_at
    lasts, contents = by_kind.get("lasts"), by_kind.get("contents")
    beside = contents.payload if contents and contents.payload else {}

    def plain(kind: str) -> Mapping[str, Any]:
        return by_kind[kind].payload if kind in by_kind else {}

    return Kept(
        contents=_answer(contents),
        full_l=beside.get("full_l"),
        kept_l=beside.get("kept_l"),
        lasts=_lasts(lasts.payload) if lasts and lasts.payload else None,
        leak=_answer(by_kind.get("leak")),
        flow_scale=_answer(by_kind.get("flow_scale")),
        reserve_at=_answer(by_kind.get("reserve_at")),
        curve=plain("curve"),
        notes=plain("notes"),
        worked_out_at=at,
        is_stale=asked is not None and (at is None or at < asked),
    )


def _answer(row: StoredAnswer | None) -> Answer | None:
    if row is None or not row.payload:
        return None
    return Answer.from_dict(row.payload["answer"])


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
