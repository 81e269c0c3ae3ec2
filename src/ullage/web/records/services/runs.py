"""Work in the background: asked for, done step by step, its file let go after a day."""

import zipfile
from collections.abc import Iterator, Sequence
from datetime import timedelta
from io import BytesIO

from django.db import DatabaseError, transaction
from django.utils import timezone

from ullage.answers.record.things import AnyLine
from ullage.core.errors import RuleBroken, UllageError
from ullage.web.accounts.selectors import User
from ullage.web.cases.selectors import Record
from ullage.web.records.models import Run, RunKind
from ullage.web.records.paper import RecordPaper, record_pdfs
from ullage.web.records.selectors.chains import record_read, register_bytes
from ullage.web.records.selectors.exports import file_name
from ullage.web.records.selectors.papers import about_paper, life_at
from ullage.web.records.selectors.verified import keys_known, register_verified
from ullage.web.sites.selectors import Site

__all__ = ["MOST_RECORDS", "run_ask", "run_do"]

#: So many records go into one file.
MOST_RECORDS = 200
#: The file of a run is let go after this.
_KEPT = timedelta(days=1)
#: Every file of an archive has this time, so that the same records are the same bytes.
_TIME = (1980, 1, 1, 0, 0, 0)
_READ_ME = (
    "Each PDF holds its machine-readable record as an attachment; it stands beside it as JSON.\n"
    "To verify one: ullage verify record-....json --key keys.pem\n"
    "To see whether one is missing: ullage verify register.json --key keys.pem --record ...\n"
    "Take the public key from where your site keeps it, not from this archive.\n"
)


def run_ask(*, site: Site, kind: RunKind, records: Sequence[Record], by: User) -> Run:
    """Write down what is asked for, and have it done in the background.

    Raises
    ------
    RuleBroken : no record, too many, or one of another site.
    """
    from ullage.web.records.tasks import do_run

    if kind == RunKind.PAPERS and not records:
        raise RuleBroken("Choose at least one record.")
    if len(records) > MOST_RECORDS:
        raise RuleBroken(f"Choose at most {MOST_RECORDS} records; {len(records)} are chosen.")
    if any(one.site_id != site.pk for one in records):
        raise RuleBroken("One of these records is of another site.")
    now = timezone.now()
    Run.objects.filter(site=site, asked_at__lt=now - _KEPT).exclude(content=None).update(
        content=None
    )
    run = Run.objects.create(
        site=site,
        by=by,
        kind=kind,
        asked_at=now,
        wanted=[one.pk for one in records],
        total=len(records),
    )
    transaction.on_commit(lambda: do_run.enqueue(run_pk=run.pk))
    return run


def run_do(*, run_pk: int) -> None:
    """Do what was asked for; a failure is told in the run, never raised."""
    run = Run.objects.select_related("site").filter(pk=run_pk, ended_at=None).first()
    if run is None:
        return
    try:
        if run.kind == RunKind.PAPERS:
            _papers(run)
        else:
            _verify(run)
    except (UllageError, DatabaseError, OSError) as why:
        run.is_fine, run.says = False, f"It could not be done: {why}"[:400]
    run.ended_at = timezone.now()
    run.save()


def _step(run: Run, done: int) -> None:
    """Say how far it is, for the page that asks."""
    Run.objects.filter(pk=run.pk).update(done=done)
    run.done = done


def _papers(run: Run) -> None:
    """Every record as PDF and as JSON, and the register, in one archive."""
    rows = Record.objects.filter(pk__in=run.wanted, site=run.site).select_related("site", "machine")
    records = list(rows.order_by("opened_at", "pk"))
    held = BytesIO()
    with zipfile.ZipFile(held, "w", zipfile.ZIP_DEFLATED, compresslevel=1) as archive:
        chains: dict[int, bytes] = {}
        for made, record in zip(
            record_pdfs(_told(records, chains), len(records), is_read=True), records, strict=True
        ):
            _put(archive, file_name(record, "pdf"), made.pdf)
            _put(archive, file_name(record, "json"), chains.pop(record.pk))
            _step(run, made.done)
        _put(archive, "register.json", register_bytes(run.site))
        _put(archive, "keys.pem", "".join(keys_known()).encode())
        _put(archive, "read-me.txt", _READ_ME.encode())
    run.content, run.is_fine = held.getvalue(), True
    run.name = f"records-{records[0].opened_at:%Y-%m-%d}-{len(records)}.zip"
    run.says = (
        f"{len(records)} record{'s' * (len(records) != 1)} in {len(run.content) / 1e6:.1f} MB."
    )


def _told(
    records: Sequence[Record], chains: dict[int, bytes]
) -> Iterator[tuple[tuple[AnyLine, ...], bytes, RecordPaper]]:
    for record in records:
        lines, chains[record.pk] = record_read(record)
        yield lines, chains[record.pk], about_paper(life_at(record, lines))


def _put(archive: zipfile.ZipFile, name: str, content: bytes) -> None:
    entry = zipfile.ZipInfo(name, _TIME)
    entry.compress_type = zipfile.ZIP_STORED if name.endswith(".pdf") else zipfile.ZIP_DEFLATED
    entry.external_attr = 0o644 << 16
    archive.writestr(entry, content)


def _verify(run: Run) -> None:
    """The register and every record of the site."""
    run.total = Record.objects.filter(site=run.site).count()
    Run.objects.filter(pk=run.pk).update(total=run.total)
    answer = register_verified(run.site, lambda done: _step(run, done))
    run.answer, run.says = answer.as_dict(), answer.sentence[:400]
    run.is_fine = answer.verdict != "Stop"
