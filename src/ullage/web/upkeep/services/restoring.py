"""A restore: everything is verified before anything is replaced, and the old database is kept."""

from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path
from tempfile import TemporaryDirectory

from django.conf import settings
from django.contrib.sessions.models import Session
from django.core.management import call_command
from django.db import connections
from django.utils import timezone

from ullage import __version__
from ullage.answers.record.signed import fingerprint
from ullage.core.errors import RuleBroken
from ullage.web.audit.services import Kind, audit_line
from ullage.web.cases.services import epoch_renew
from ullage.web.shared.held import SERVING, held
from ullage.web.upkeep.copies.backup_file import Backup, Manifest, unpack
from ullage.web.upkeep.copies.store import store_here
from ullage.web.upkeep.models import UpkeepKind, UpkeepRun
from ullage.web.upkeep.services.drills import copy_faults, known_keys, opened_backup

__all__ = ["Restored", "restore"]


@dataclass(frozen=True, slots=True)
class Restored:
    """What a restore did: from what, who signed that, and where the old database is kept."""

    manifest: Manifest
    signer: str
    is_known: bool
    kept: str


def restore(path: Path, keys: Iterable[str] = (), *, accepts_unknown: bool = False) -> Restored:
    """Make a backup the database of this installation.

    Parameters
    ----------
    path : of the backup.
    keys : public keys in hexadecimal that are trusted beside those known here.
    accepts_unknown : take a backup of an installation that is not known here.

    Returns
    -------
    What was done; the database before it is kept beside.

    Raises
    ------
    RuleBroken : a server is running, or something does not hold; then nothing was replaced.
    """
    state = Path(settings.STATE)
    state.mkdir(parents=True, exist_ok=True)
    with held(state / SERVING, alone=True) as is_alone:
        if not is_alone:
            raise RuleBroken("The site is open on this database. Stop it first (Ctrl+C).")
        backup = opened_backup(path)
        is_known = _signer_known(backup, {*keys}, accepts_unknown)
        _not_newer(backup.manifest)
        with TemporaryDirectory(dir=state, prefix=".restoring-") as place:
            kept = _replaced(backup, Path(place))
    _made_current(path.name, backup.manifest)
    return Restored(backup.manifest, fingerprint(backup.signature.key), is_known, kept)


def _signer_known(backup: Backup, keys: set[str], accepts_unknown: bool) -> bool:
    known = known_keys() | keys
    if backup.signature.key in known:
        return True
    if known and not accepts_unknown:
        raise RuleBroken(
            f"{backup.path.name} is signed with key {fingerprint(backup.signature.key)}, which is "
            "not known here. Compare it with a print of a record; then name the public key with "
            "--key, or say --accept-unknown-key."
        )
    return False


def _not_newer(manifest: Manifest) -> None:
    def numbers(version: str) -> list[int]:
        return [int(one) if one.isdigit() else 0 for one in version.split(".")]

    if numbers(manifest.version) > numbers(__version__):
        raise RuleBroken(
            f"The backup is of version {manifest.version}; this is {__version__}. Install that one."
        )


def _replaced(backup: Backup, place: Path) -> str:
    store = store_here()
    copy = unpack(backup, place)
    with store.laid_out(copy) as reading:
        faults = list(copy_faults(reading, backup.manifest))
    if faults:
        raise RuleBroken(f"Nothing was replaced; the backup does not hold: {' '.join(faults[:3])}")
    connections.close_all()
    _close_pool()
    return store.put_in_place(copy, f"{timezone.now():%Y%m%dT%H%M%SZ}")


def _close_pool() -> None:
    """PostgreSQL renames no database that somebody holds on to, such as our own pool."""
    for one in connections.all(initialized_only=True):
        if hasattr(one, "close_pool"):
            one.close_pool()


def _made_current(name: str, manifest: Manifest) -> None:
    """Bring the restored database up to date, and let it say that it was restored."""
    call_command("migrate", interactive=False, verbosity=0)
    # Who was signed in when the backup was made is not signed in now.
    Session.objects.all().delete()
    epoch_renew(reason=f"Restored from {name}.")
    now = timezone.now()
    said = f"Restored from {name}, made at {manifest.made_at}"
    UpkeepRun.objects.create(
        kind=UpkeepKind.RESTORE, asked_at=now, ended_at=now, is_fine=True, file=name, says=said
    )
    audit_line(Kind.BACKUP, said, site=None)
