"""Work done in the background: papers that are kept, many records as one file, verification."""

from django.tasks import task

from ullage.web.cases.selectors import Record
from ullage.web.records.services.papers import papers_keep
from ullage.web.records.services.runs import run_do

__all__ = ["do_run", "keep_papers", "papers_ask"]


@task()
def keep_papers(record_pk: int) -> None:
    """Keep every paper of a record that is due and not there."""
    papers_keep(record=Record.objects.get(pk=record_pk))


@task()
def do_run(run_pk: int) -> None:
    """Do what was asked for, unless it was done."""
    run_do(run_pk=run_pk)


def papers_ask(record: Record) -> None:
    """Have the papers of a record kept in the background."""
    keep_papers.enqueue(record_pk=record.pk)
