"""What is known of backups, drills and restores, and how the installation is."""

import os
import shutil
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

from django.apps import apps
from django.conf import settings
from django.db import DatabaseError, connection
from django.db.models import QuerySet

from ullage import __version__
from ullage.core.errors import UllageError
from ullage.web.accounts.selectors import User
from ullage.web.shared.attachments import Attachment
from ullage.web.shared.durable import settings_read_back, what_is_not_durable
from ullage.web.shared.signing_key import public_key_hex, signing_key_is_private, signing_key_path
from ullage.web.sites.selectors import Site
from ullage.web.upkeep.models import BackupRule, UpkeepKind, UpkeepRun

__all__ = [
    "BackupFile",
    "BackupRule",
    "Rule",
    "UpkeepKind",
    "UpkeepRun",
    "backup_due",
    "backups_folder",
    "backups_there",
    "file_tables",
    "health",
    "is_on_the_same_disk",
    "rule_now",
    "runs_of",
    "runs_waiting",
    "upkeep_warning",
]

#: A backup older than this is spoken of: a day and what a night may take.
OLD = timedelta(hours=36)
#: A drill is spoken of when none was fine for so long.
DRILL_OLD = timedelta(days=35)
#: After a backup failed the next is tried so much later.
AGAIN = timedelta(hours=1)
#: What was asked for and has not ended for so long has been lost with its process.
LOST = timedelta(hours=2)
_HOUR, _KEEP_DAYS = 3, 14


@dataclass(frozen=True, slots=True)
class Rule:
    """When backups are made, and for how many days each is kept."""

    hour: int = _HOUR
    time_zone: str = "UTC"
    keep_days: int = _KEEP_DAYS
    is_ours: bool = True
    by: User | None = None
    at: datetime | None = None

    def last_moment(self, now: datetime) -> datetime:
        """The last time at which a backup was to be made."""
        local = now.astimezone(ZoneInfo(self.time_zone))
        moment = local.replace(hour=self.hour, minute=0, second=0, microsecond=0)
        return (moment if moment <= local else moment - timedelta(days=1)).astimezone(UTC)


@dataclass(frozen=True, slots=True)
class BackupFile:
    """A backup in the folder, by its name and size."""

    path: Path
    at: datetime
    bytes: int

    @property
    def name(self) -> str:
        """How the file is called."""
        return self.path.name


def rule_now() -> Rule:
    """The rule of backups as it is; without one of a lead, at night by the clock of a site."""
    newest = BackupRule.objects.select_related("by").first()
    if newest is not None:
        return Rule(newest.hour, newest.time_zone, newest.keep_days, False, newest.by, newest.at)
    zone = Site.objects.order_by("pk").values_list("time_zone", flat=True).first()
    return Rule(time_zone=zone or "UTC")


def backups_folder() -> Path:
    """Where backups are kept: ULLAGE_BACKUPS, best on another disk, or beside the data."""
    return Path(os.environ.get("ULLAGE_BACKUPS") or settings.STATE / "backups")


def backups_there(folder: Path | None = None) -> list[BackupFile]:
    """The backups in the folder, the newest first."""
    found = []
    for path in (folder or backups_folder()).glob("ullage-*.backup.zip"):
        try:
            written = datetime.strptime(f"{path.name[7:23]}+0000", "%Y%m%dT%H%M%SZ%z")
            found.append(BackupFile(path, written, path.stat().st_size))
        except (ValueError, OSError):
            continue
    return sorted(found, key=lambda one: one.name, reverse=True)


def is_on_the_same_disk() -> bool:
    """Whether the backups go down with the disk that holds the data, as far as can be seen."""
    folder = backups_folder()
    near = next((one for one in (folder, *folder.parents) if one.exists()), folder)
    return near.stat().st_dev == Path(settings.STATE).stat().st_dev


def file_tables() -> list[str]:
    """The tables that hold files."""
    return [one._meta.db_table for one in apps.get_models() if issubclass(one, Attachment)]


def runs_of(kind: UpkeepKind) -> QuerySet[UpkeepRun]:
    """What was done of a kind, the newest first."""
    return UpkeepRun.objects.filter(kind=kind).select_related("by")


def runs_waiting(now: datetime) -> QuerySet[UpkeepRun]:
    """What was asked for and has not ended."""
    return UpkeepRun.objects.filter(ended_at=None, asked_at__gt=now - LOST)


def backup_due(now: datetime) -> bool:
    """Whether a backup is to be made now by the rule; a failed one is tried again after a while."""
    done = runs_of(UpkeepKind.BACKUP).exclude(ended_at=None)
    last = done.filter(is_fine=True).first()
    if last is not None and last.asked_at >= rule_now().last_moment(now):
        return False
    newest = done.first()
    return newest is None or newest.is_fine is True or newest.asked_at <= now - AGAIN


def upkeep_warning(now: datetime) -> str:
    """What a lead must know of backups and drills; nothing where all is fine."""
    newest = runs_of(UpkeepKind.BACKUP).exclude(ended_at=None).first()
    if newest is not None and not newest.is_fine:
        return f"The last backup did not end well: {newest.says}"
    if newest is None:
        began = User.objects.order_by("date_joined").values_list("date_joined", flat=True).first()
        if began is None or now - began < OLD:
            return ""
        return "There is no backup yet, and this installation is more than a day old."
    if now - newest.asked_at > OLD:
        return f"The last backup is {_age(now - newest.asked_at)} old."
    drill = runs_of(UpkeepKind.DRILL).exclude(ended_at=None).first()
    if drill is not None and not drill.is_fine:
        return f"The last restore drill did not end well: {drill.says}"
    return ""


def _age(span: timedelta) -> str:
    hours = int(span.total_seconds() // 3600)
    return f"{hours} h" if hours < 48 else f"{hours // 24} days"


def health(now: datetime) -> Iterator[tuple[str, str]]:
    """How the installation is, line by line, in words."""
    yield "Version", __version__
    yield from _database()
    yield from _copies(now)
    yield from _disk()
    yield from _key()
    yield "Clock of this computer", f"{now.astimezone(UTC):%Y-%m-%d %H:%M:%S} UTC"
    yield "Its offset", "not known: no other clock is asked"


def _database() -> Iterator[tuple[str, str]]:
    facts = connection.settings_dict
    where = facts["NAME"] if connection.vendor == "sqlite" else f"{facts['NAME']} on a server"
    try:
        yield "Database", f"{connection.vendor}, {where}"
        for name, value in settings_read_back(connection).items():
            yield f"  {name}, read back", value
        yield "  Keeps what it acknowledged", what_is_not_durable(connection) or "yes"
    except (DatabaseError, UllageError) as why:
        yield "  It answers", f"no: {why}"


def _copies(now: datetime) -> Iterator[tuple[str, str]]:
    for kind in (UpkeepKind.BACKUP, UpkeepKind.DRILL, UpkeepKind.RESTORE):
        newest = runs_of(kind).exclude(ended_at=None).first()
        named = f"Last {kind.label.lower()}"
        if newest is None:
            yield named, "none"
            continue
        came = "fine" if newest.is_fine else f"NOT FINE: {newest.says}"
        yield named, f"{_age(now - newest.asked_at)} ago, {came}"
    there = backups_there()
    yield "Backups kept", f"{len(there)} in {backups_folder()}"
    if is_on_the_same_disk():
        yield "  Take care", "they lie on the disk of the data: bring a copy elsewhere"


def _disk() -> Iterator[tuple[str, str]]:
    for named, path in (("the data", Path(settings.STATE)), ("the backups", backups_folder())):
        if path.is_dir():
            room = shutil.disk_usage(path)
            free, total = room.free / 1e9, room.total / 1e9
            yield f"Free beside {named}", f"{free:.1f} GB of {total:.1f} GB"


def _key() -> Iterator[tuple[str, str]]:
    from ullage.answers.record.signed import fingerprint

    try:
        named = fingerprint(public_key_hex())
    except UllageError as why:
        yield "Signing key", f"NOT FINE: {why}"
        return
    yield "Signing key", f"{named}, {signing_key_path()}"
    if not signing_key_is_private():
        yield "  Take care", "others on this computer can read it"
