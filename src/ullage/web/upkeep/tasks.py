"""What people ask for on the page of backups, made in the background."""

from django.tasks import task

from ullage.web.upkeep.models import UpkeepRun
from ullage.web.upkeep.selectors import UpkeepKind
from ullage.web.upkeep.services import backup_make, drill_make

__all__ = ["run_upkeep"]


@task()
def run_upkeep(run_pk: int) -> None:
    """Make the backup or the drill that was asked for, unless it has been made."""
    run = UpkeepRun.objects.filter(pk=run_pk, ended_at=None).first()
    if run is not None:
        (backup_make if run.kind == UpkeepKind.BACKUP else drill_make)(run=run, by=run.by)
