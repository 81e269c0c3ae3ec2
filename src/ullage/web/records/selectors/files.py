"""A file that somebody brought: is it what was written, and is it what stands here?"""

from dataclasses import dataclass
from hashlib import sha256
from io import BytesIO
from uuid import UUID

from ullage.answers import Answer, verify_record, verify_register
from ullage.answers.record.exported import ChainFile, read_export
from ullage.answers.record.verified import is_register
from ullage.core.errors import PlanUnreadable, RuleBroken
from ullage.web.cases.selectors import Record, chain_of
from ullage.web.records.models import SignedPaper
from ullage.web.records.selectors.chains import register_of
from ullage.web.records.selectors.verified import keys_known
from ullage.web.sites.selectors import Site

__all__ = ["MOST_BYTES", "FileSaid", "file_said"]

#: A record of some thousand entries has a few megabytes.
MOST_BYTES = 50_000_000
_PDF = b"%PDF-"


@dataclass(frozen=True, slots=True, kw_only=True)
class FileSaid:
    """What a file comes to: the answer, and sentences about what stands here beside it."""

    answer: Answer | None
    says: tuple[str, ...]
    record: Record | None = None


def file_said(site: Site, content: bytes) -> FileSaid:
    """Verify a file with the keys of this installation, and compare it with what stands here.

    Raises
    ------
    RuleBroken : a PDF without a record in it.
    """
    is_pdf = content.startswith(_PDF)
    kept = _kept_paper(site, content) if is_pdf else ()
    data = _attached(content) if is_pdf else content
    if is_register(data):
        return FileSaid(answer=verify_register(data, keys_known()), says=_register(site, data))
    answer = verify_record(data, keys_known())
    try:
        file = read_export(data)
    except PlanUnreadable:
        return FileSaid(answer=answer, says=kept)
    record = _here(site, file)
    says = (*kept, _beside(record, file) if record else _STRANGE)
    return FileSaid(answer=answer, says=says, record=record)


_NO_PAPER = (
    "These bytes are no paper that was kept here. A print that was made anew need not be; what "
    "counts is the record that is attached to it."
)
_STRANGE = "No record of this site has the name that is in the file."


def _kept_paper(site: Site, content: bytes) -> tuple[str, ...]:
    """Whether it is, byte for byte, a paper that was kept here."""
    digest = sha256(content).hexdigest()
    paper = SignedPaper.objects.filter(record__site=site, sha256=digest).first()
    if paper is None:
        return (_NO_PAPER,)
    return (f"Byte for byte the paper that was kept of {paper.record} at line {paper.count}.",)


def _attached(content: bytes) -> bytes:
    """The machine-readable record inside a PDF."""
    import pikepdf

    try:
        with pikepdf.open(BytesIO(content)) as pdf:
            for name, held in pdf.attachments.items():
                if name.endswith(".json"):
                    return held.get_file().read_bytes()
    except (pikepdf.PdfError, pikepdf.PasswordError, ValueError, KeyError, TypeError) as why:
        raise RuleBroken("This PDF cannot be opened; it is damaged or locked.") from why
    raise RuleBroken("Nothing is attached to this PDF that could be verified.")


def _here(site: Site, file: ChainFile) -> Record | None:
    try:
        code = UUID(file.of)
    except ValueError:
        return None
    return Record.objects.filter(site=site, code=code).select_related("site", "machine").first()


def _beside(record: Record, file: ChainFile) -> str:
    """The lines of a file against those that stand here."""
    here = [(one.text, one.sum) for one in chain_of(record)]
    there = list(zip(file.texts, file.sums, strict=True))
    pairs = enumerate(zip(here, there, strict=False), start=1)
    differs = next((place for place, (ours, theirs) in pairs if ours != theirs), None)
    if differs is not None:
        return f"Line {differs} of the file is not line {differs} of {record} as it stands here."
    if len(there) < len(here):
        return f"The file holds the first {len(there)} of the {len(here)} lines of {record} here."
    if len(there) > len(here):
        return f"The file goes to line {len(there)}; {record} here ends at line {len(here)}."
    return f"Line by line what stands here: {record}, {len(here)} lines."


def _register(site: Site, data: bytes) -> tuple[str, ...]:
    file = read_export(data)
    if file.of != str(site.code):
        return ("It is the register of another site.",)
    here = [one.sum for one in register_of(site)]
    if list(file.sums) == here[: len(file.sums)]:
        return (f"The register here begins with it: {len(file.sums)} of {len(here)} lines.",)
    return ("The register here does NOT begin with it: one of the two was written anew.",)
