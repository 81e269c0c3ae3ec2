"""Answers worked out in the background, kept with the time at which the work began."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.db import IntegrityError, transaction

from ullage.web.sites.selectors import Site
from ullage.web.supply.models import StoredAnswer

__all__ = ["Worked", "answers_store"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Worked:
    """What came out about one thing, by the kind of question."""

    subject: str
    payloads: Mapping[str, Any]


def answers_store(*, site: Site, worked: Worked, at: datetime) -> None:
    """Write answers; work that began earlier never replaces work that began later."""
    for kind, payload in worked.payloads.items():
        kept = StoredAnswer.objects.filter(subject=worked.subject, kind=kind)
        if kept.filter(worked_out_at__lte=at).update(payload=payload, worked_out_at=at):
            continue
        if not kept.exists():
            _first(site, worked.subject, kind, payload, at)


def _first(site: Site, subject: str, kind: str, payload: Any, at: datetime) -> None:
    try:
        with transaction.atomic():
            StoredAnswer.objects.create(
                site=site, subject=subject, kind=kind, payload=payload, worked_out_at=at
            )
    except IntegrityError:
        # Another worker was first; the later beginning wins.
        StoredAnswer.objects.filter(subject=subject, kind=kind, worked_out_at__lte=at).update(
            payload=payload, worked_out_at=at
        )
