"""By which rule backups are made, and what people ask for."""

from datetime import timedelta

from django.utils import timezone

from ullage.core.errors import RuleBroken
from ullage.web.accounts.selectors import User
from ullage.web.audit.services import Kind, audit_line
from ullage.web.sites.selectors import Site
from ullage.web.upkeep.models import BackupRule, UpkeepKind, UpkeepRun
from ullage.web.upkeep.selectors import runs_waiting

__all__ = ["rule_set", "run_asked"]

#: Whoever presses a button again and again gets one backup in a minute.
_PAUSE = timedelta(minutes=1)


def rule_set(*, hour: int, keep_days: int, site: Site, by: User) -> BackupRule:
    """Set when backups are made, by the clock of a site, and for how many days each is kept."""
    said = f"Backups at {hour}:00 ({site.time_zone}), kept for {keep_days} days"
    audit_line(Kind.BACKUP, said, site=site, person=by)
    return BackupRule.objects.create(
        hour=hour, time_zone=site.time_zone, keep_days=keep_days, by=by, at=timezone.now()
    )


def run_asked(*, kind: UpkeepKind, site: Site, by: User) -> UpkeepRun:
    """Write down that somebody asks for a backup or a drill; the background work makes it.

    Raises
    ------
    RuleBroken : one is being made, or was asked for just now.
    """
    now = timezone.now()
    if runs_waiting(now).filter(kind=kind).exists():
        raise RuleBroken(f"A {kind.label.lower()} is being made already.")
    newest = UpkeepRun.objects.filter(kind=kind).first()
    if newest is not None and now - newest.asked_at < _PAUSE:
        raise RuleBroken(f"A {kind.label.lower()} was made less than a minute ago.")
    audit_line(Kind.BACKUP, f"{kind.label} asked for", site=site, person=by)
    return UpkeepRun.objects.create(kind=kind, asked_at=now, by=by)
