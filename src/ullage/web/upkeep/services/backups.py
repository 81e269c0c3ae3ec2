"""Backups: made whole or not at all, read back, and the oldest let go."""

import os
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime
from pathlib import Path
from tempfile import TemporaryDirectory
from time import monotonic

from django.db import DatabaseError
from django.utils import timezone

from ullage import __version__
from ullage.answers.record.fixed import utc_text
from ullage.core.errors import RuleBroken, UllageError
from ullage.web.accounts.selectors import User
from ullage.web.cases.services import epoch_now
from ullage.web.shared.held import held
from ullage.web.shared.signing_key import signing_key_pem
from ullage.web.upkeep.copies.backup_file import Manifest, pack, sum_of
from ullage.web.upkeep.copies.chains import Looked, look_through
from ullage.web.upkeep.copies.store import Reading, store_here
from ullage.web.upkeep.models import UpkeepKind, UpkeepRun
from ullage.web.upkeep.selectors import (
    backup_due,
    backups_folder,
    backups_there,
    file_tables,
    rule_now,
)

__all__ = ["backup_if_due", "backup_make", "ended", "folder_ready", "records_words"]

_LONGEST_SAYS = 600


def backup_make(
    *, folder: Path | None = None, by: User | None = None, run: UpkeepRun | None = None
) -> UpkeepRun:
    """Make one backup and write down what came of it; a failure is told, never raised.

    Parameters
    ----------
    folder : where to; None: the folder of backups, where old ones are let go.
    by : who asks; None: the rule.
    run : that was written when somebody asked.
    """
    run = run or UpkeepRun.objects.create(kind=UpkeepKind.BACKUP, asked_at=timezone.now(), by=by)
    with ended(run):
        path, manifest, looked = _made(folder_ready(folder or backups_folder()))
        run.file, run.is_fine = str(path), not looked.faults
        run.figures = _figures(path, manifest, looked)
        run.says = _says(manifest, looked)
        # With a chain that does not hold, older backups are what is needed most.
        if run.is_fine and folder is None:
            _let_go(path)
    return run


def backup_if_due(now: datetime) -> UpkeepRun | None:
    """Make a backup if the rule says that one is due; of several processes one alone does."""
    if not backup_due(now):
        return None
    try:
        folder = folder_ready(backups_folder())
    except RuleBroken:
        return backup_make()  # it fails alike, and the failure is written down
    with held(folder / ".making", alone=True) as is_ours:
        return backup_make() if is_ours and backup_due(now) else None


@contextmanager
def ended(run: UpkeepRun) -> Iterator[None]:
    """Write down the end of a run, and why it failed where it did."""
    began = monotonic()
    try:
        yield
    except (UllageError, OSError, DatabaseError) as why:
        reason = why.strerror if isinstance(why, OSError) and why.strerror else str(why)
        run.is_fine, run.says = False, reason[:_LONGEST_SAYS]
    run.figures = {**run.figures, "took_s": round(monotonic() - began, 2)}
    run.says, run.ended_at = run.says[:_LONGEST_SAYS], timezone.now()
    run.save()


def folder_ready(folder: Path) -> Path:
    """The folder of backups, for its owner alone.

    Raises
    ------
    RuleBroken : it cannot be made or written to.
    """
    try:
        if "ULLAGE_BACKUPS" not in os.environ or folder != backups_folder():
            folder.mkdir(parents=True, exist_ok=True, mode=0o700)
        # A disk that is not connected is not replaced by a folder of its name.
        if not folder.is_dir():
            raise RuleBroken(f"The folder {folder} of backups is not there. Connect its disk.")
    except OSError as why:
        raise RuleBroken(f"The folder {folder} cannot be used: {why.strerror}.") from why
    if not os.access(folder, os.W_OK | os.X_OK):
        raise RuleBroken(f"Nothing can be written to {folder}.")
    return folder


def _made(folder: Path) -> tuple[Path, Manifest, Looked]:
    store, named = store_here(), str(epoch_now())
    made_at = timezone.now()
    with (
        TemporaryDirectory(dir=folder, prefix=".making-") as place,
        store.copied(Path(place)) as (copy, reading),
    ):
        manifest, looked = _described(copy, reading, store.vendor, utc_text(made_at), named)
        return pack(copy, manifest, signing_key_pem(), folder), manifest, looked


def _described(
    copy: Path, reading: Reading, vendor: str, made_at: str, named: str
) -> tuple[Manifest, Looked]:
    tables = reading.tables()
    looked = look_through(reading.ask, tables, file_tables())
    with copy.open("rb") as opened:
        digest = sum_of(opened)
    manifest = Manifest(
        made_at=made_at,
        version=__version__,
        vendor=vendor,
        file=copy.name,
        bytes=copy.stat().st_size,
        sha256=digest,
        epoch=named,
        tables=dict(tables),
        heads=tuple(looked.heads),
    )
    return manifest, looked


def _figures(path: Path, manifest: Manifest, looked: Looked) -> dict[str, int]:
    lines = dict.fromkeys(("record", "register", "audit"), 0)
    for one in manifest.heads:
        lines[one.kind] += one.count
    return {
        "bytes": path.stat().st_size,
        "records": sum(one.kind == "record" for one in manifest.heads),
        "record_lines": lines["record"],
        "register_lines": lines["register"],
        "audit_lines": lines["audit"],
        "rows": sum(manifest.tables.values()),
        "faults": looked.count_of_faults,
    }


def _says(manifest: Manifest, looked: Looked) -> str:
    if looked.faults:
        return f"The backup was made, and what it holds does not hold together: {looked.faults[0]}"
    return f"{records_words(manifest)}; every chain holds."


def records_words(manifest: Manifest) -> str:
    """How many records with how many lines."""
    counts = [one.count for one in manifest.heads if one.kind == "record"]
    return f"{_counted(len(counts), 'record')} with {_counted(sum(counts), 'line')}"


def _counted(number: int, what: str) -> str:
    return f"{number} {what}{'' if number == 1 else 's'}"


def _let_go(newest: Path) -> None:
    """Keep every backup of the last days that have one; let older ones go."""
    days: set[str] = set()
    for one in backups_there():
        days.add(f"{one.at:%Y%m%d}")
        if len(days) > rule_now().keep_days and one.path != newest:
            one.path.unlink(missing_ok=True)
