"""A restore drill: the newest backup laid out, opened, verified, and held against the database."""

from collections.abc import Iterator
from pathlib import Path
from tempfile import TemporaryDirectory

from django.utils import timezone

from ullage.answers.record.chained import Head
from ullage.answers.record.signed import fingerprint, public_hex
from ullage.core.errors import RuleBroken
from ullage.web.accounts.selectors import User
from ullage.web.shared.signing_key import public_keys_pem
from ullage.web.upkeep.copies.backup_file import Backup, Manifest, open_backup, unpack
from ullage.web.upkeep.copies.chains import look_through, sums_missing
from ullage.web.upkeep.copies.store import Reading, Store, store_here
from ullage.web.upkeep.models import UpkeepKind, UpkeepRun
from ullage.web.upkeep.selectors import backups_there, file_tables
from ullage.web.upkeep.services.backups import ended, records_words

__all__ = ["copy_faults", "drill_make", "known_keys", "opened_backup"]


def drill_make(
    *, file: Path | None = None, by: User | None = None, run: UpkeepRun | None = None
) -> UpkeepRun:
    """Restore the newest backup beside the database, verify it, and write down what came of it.

    Parameters
    ----------
    file : the backup; None: the newest in the folder.
    by : who asks.
    run : that was written when somebody asked.
    """
    run = run or UpkeepRun.objects.create(kind=UpkeepKind.DRILL, asked_at=timezone.now(), by=by)
    with ended(run), TemporaryDirectory(prefix="ullage-drill-") as place:
        path = file or _newest()
        run.file = str(path)
        store, backup = store_here(), opened_backup(path)
        faults = [*_signer(backup), *_drilled(store, backup, Path(place))]
        run.is_fine = not faults
        run.figures = {
            "made_at": backup.manifest.made_at,
            "chains": len(backup.manifest.heads),
            "lines": sum(one.count for one in backup.manifest.heads),
            "rows": sum(backup.manifest.tables.values()),
            "faults": len(faults),
        }
        run.says = " ".join(faults[:3]) if faults else _fine(backup.manifest)
    return run


def _newest() -> Path:
    there = backups_there()
    if not there:
        raise RuleBroken("There is no backup to try. Make one first.")
    return there[0].path


def _fine(manifest: Manifest) -> str:
    return (
        f"The backup of {manifest.made_at[:16].replace('T', ' ')} UTC was restored, opened and "
        f"verified: {records_words(manifest)}, and the database still holds them."
    )


def opened_backup(path: Path) -> Backup:
    """A backup whose sums and signature hold, of the kind of database that is used here.

    Raises
    ------
    RuleBroken : with what is wrong.
    """
    backup = open_backup(path)
    if backup.faults:
        raise RuleBroken(f"{path.name} cannot be used: {' '.join(backup.faults)}")
    here = store_here().vendor
    if backup.manifest.vendor != here:
        raise RuleBroken(
            f"{path.name} is of a {backup.manifest.vendor} database; this one is {here}."
        )
    return backup


def known_keys() -> set[str]:
    """The public keys that this installation has signed with."""
    return {public_hex(one) for one in public_keys_pem()}


def _signer(backup: Backup) -> Iterator[str]:
    if backup.signature.key not in known_keys():
        yield f"It is signed with key {fingerprint(backup.signature.key)}, which is not ours."


def _drilled(store: Store, backup: Backup, place: Path) -> Iterator[str]:
    copy = unpack(backup, place)
    with store.laid_out(copy) as reading:
        yield from copy_faults(reading, backup.manifest)
    with store.live() as live:
        for one in sums_missing(live.ask, live.tables(), backup.manifest.heads):
            yield f"The database no longer holds {one.kind} {one.of} as it was backed up."


def copy_faults(reading: Reading, manifest: Manifest) -> Iterator[str]:
    """What differs between a copy that was laid out and the manifest that came with it."""
    tables = reading.tables()
    looked = look_through(reading.ask, tables, file_tables())
    yield from looked.faults
    if _named(looked.heads) != _named(manifest.heads):
        yield "The heads of the restored copy are not those of its manifest."
    if dict(tables) != dict(manifest.tables):
        yield "The restored copy has not the rows that its manifest counts."


def _named(heads: tuple[Head, ...] | list[Head]) -> set[tuple[str, str, int, str]]:
    return {(one.kind, one.of, one.count, one.sum) for one in heads}
