"""Addresses of records: read, printed, handed out, verified; and work in the background."""

from hashlib import sha256
from types import SimpleNamespace
from typing import Any

from django.core.files.uploadedfile import SimpleUploadedFile
from django.utils import timezone

from tests.web.addresses.door import Bad, Door, Typed
from ullage.web.accounts.models import User
from ullage.web.cases.models import Record
from ullage.web.machines.models import Machine
from ullage.web.records.models import Run, RunKind, SignedPaper

__all__ = ["RECORDS_DOORS", "RECORDS_FILES", "archive_things"]

#: Addresses that hand out a file.
RECORDS_FILES = {
    "records:register_file",
    "records:key",
    "records:run_file",
    "records:pdf",
    "records:kept",
    "records:export",
}
_PDF = b"%PDF-1.7 %%EOF"


def archive_things(closed: Record, machine: Machine, by: User) -> dict[str, object]:
    """A paper of a closed record, and an archive that was made."""
    SignedPaper.objects.create(
        record=closed,
        count=closed.count,
        sum=closed.head,
        name="record.pdf",
        kind="PDF",
        sha256=sha256(_PDF).hexdigest(),
        size_bytes=len(_PDF),
        content=_PDF,
        by=by,
    )
    now = timezone.now()
    return {
        "archive": Run.objects.create(
            site=machine.site,
            by=by,
            kind=RunKind.PAPERS,
            asked_at=now,
            ended_at=now,
            wanted=[closed.pk],
            done=1,
            total=1,
            is_fine=True,
            says="1 record in 0.1 MB.",
            name="records.zip",
            content=b"PK",
        )
    }


def _chosen(made: SimpleNamespace) -> Typed:
    return {"record": [str(made.closed.code), str(made.recovering.code)], "given_as": "csv"}


def _paper(made: SimpleNamespace) -> dict[str, Any]:
    return {"count": made.closed.count}


def _a_file(made: SimpleNamespace) -> Typed:
    return {"file": SimpleUploadedFile("record.json", b"{}")}


RECORDS_DOORS = (
    Door(
        name="records:several",
        what="operate",
        get=None,
        post=200,
        typed=_chosen,
        bad=Bad({"given_as": "csv"}, "Choose at least one record.", dropped=("csv",)),
    ),
    Door(name="records:register", what="oversee", post=302),
    Door(name="records:register_file", what="oversee"),
    Door(name="records:key"),
    Door(
        name="records:check",
        what="oversee",
        post=200,
        typed=_a_file,
        bad=Bad({}, "Choose a file first."),
    ),
    Door(name="records:run", what="operate", thing="archive"),
    Door(name="records:run_file", what="operate", thing="archive"),
    Door(name="records:record", thing="closed"),
    Door(name="records:pdf", thing="closed", asked="?size=letter"),
    Door(name="records:kept", thing="closed", about=_paper),
    Door(
        name="records:export",
        what="operate",
        thing="closed",
        about=lambda made: {"form": "chain"},
    ),
    Door(name="records:methods", thing="closed"),
    Door(name="records:drugs", thing="closed"),
    Door(name="records:verify", thing="closed"),
)
