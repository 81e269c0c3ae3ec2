"""Every write of the exposure app; what was there before is kept."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.db import transaction
from django.utils import timezone

from ullage.answers import BadgeRead
from ullage.answers.exposure_badges import badge_level_ppm
from ullage.core.errors import RuleBroken
from ullage.reference.exposure_limits import exposure_limit
from ullage.web.accounts.selectors import User
from ullage.web.exposure.models import (
    BadgeResult,
    BadgeWithdrawal,
    ExposureChange,
    LimitChoice,
    RoomMixing,
    WorkWay,
)
from ullage.web.machines.selectors import Machine
from ullage.web.shared.changes import write_differing
from ullage.web.sites.selectors import Room, Site

__all__ = ["BadgeFacts", "badge_add", "badge_withdraw", "limit_choose", "mixing_set", "way_set"]


@dataclass(frozen=True, slots=True, kw_only=True)
class BadgeFacts:
    """What somebody typed from the paper of a laboratory."""

    room: Room | None
    agent: str
    who: str
    worn_from: datetime
    worn_to: datetime
    level: float
    unit: str = "ppm"
    celsius: float = 25.0
    task: str = ""
    task_min: float | None = None
    lab: str = ""
    note: str = ""


def _keep(
    row: WorkWay | RoomMixing | LimitChoice,
    facts: Mapping[str, Any],
    told: ExposureChange,
) -> bool:
    """Write what is different, with the change beside it; False where nothing is."""
    told.before, told.after = write_differing(row, facts)
    if told.after:
        told.save()
    return bool(told.after)


@transaction.atomic
def way_set(*, machine: Machine, by: User, facts: Mapping[str, Any]) -> bool:
    """Say how work is done at a machine."""
    row = WorkWay.objects.select_for_update().filter(machine=machine).first()
    told = ExposureChange(site=machine.site, subject="way", about=machine.name, by=by)
    return _keep(row or WorkWay(machine=machine), facts, told)


@transaction.atomic
def mixing_set(*, room: Room, by: User, mixing_factor: float | None) -> bool:
    """Say how a room mixes, or that nobody knows."""
    row = RoomMixing.objects.select_for_update().filter(room=room).first()
    told = ExposureChange(site=room.site, subject="mixing", about=room.name, by=by)
    return _keep(row or RoomMixing(room=room), {"mixing_factor": mixing_factor}, told)


@transaction.atomic
def limit_choose(*, site: Site, by: User, agent: str, limit: str) -> bool:
    """Choose the limit that the site follows for an agent; an empty key chooses none."""
    if limit and agent not in exposure_limit(limit).agents:
        raise RuleBroken(f"{exposure_limit(limit).body} is no limit of {agent}: choose another.")
    row = LimitChoice.objects.select_for_update().filter(site=site, agent=agent).first()
    told = ExposureChange(site=site, subject="limit", about=agent, by=by)
    return _keep(row or LimitChoice(site=site, agent=agent), {"limit": limit}, told)


@transaction.atomic
def badge_add(*, site: Site, by: User, facts: BadgeFacts) -> BadgeResult:
    """Keep what a laboratory reported."""
    if facts.worn_to > timezone.now():
        raise RuleBroken("The badge was worn until a time that has not come yet: mend the times.")
    if facts.room is not None and facts.room.site_id != site.pk:
        raise RuleBroken("That room is at another site; choose one of this site.")
    level_ppm = badge_level_ppm(facts.level, facts.unit, facts.agent, facts.celsius)
    worn_min = (facts.worn_to - facts.worn_from).total_seconds() / 60.0
    BadgeRead(agent=facts.agent, level_ppm=level_ppm, worn_min=worn_min, task_min=facts.task_min)
    return BadgeResult.objects.create(
        site=site,
        by=by,
        level_ppm=level_ppm,
        **{name: getattr(facts, name) for name in facts.__slots__},
    )


@transaction.atomic
def badge_withdraw(*, badge: BadgeResult, by: User, reason: str) -> BadgeWithdrawal:
    """Say that a badge does not count; it stays readable."""
    if BadgeWithdrawal.objects.filter(badge=badge).exists():
        raise RuleBroken("This badge was withdrawn already.")
    return BadgeWithdrawal.objects.create(badge=badge, by=by, reason=reason)
