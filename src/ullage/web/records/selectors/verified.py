"""A record, or all of a site, looked through where it is kept: chain, signatures, register, files.

Nothing is signed here: what was changed must not be vouched for by looking at it.
"""

from collections.abc import Callable, Iterator
from hashlib import sha256

from django.db.models import Max

from ullage.answers import Answer, verify_record, verify_register
from ullage.answers.record.chained import START
from ullage.answers.record.fixed import utc_text
from ullage.answers.record.spotted import Spotted
from ullage.answers.record.things import AnyLine
from ullage.answers.record.verified import Beside
from ullage.answers.record.written import line_of_text
from ullage.core.errors import PlanUnreadable
from ullage.web.cases.selectors import Line, Record, RecordFile, RegisterLine, author_text
from ullage.web.records.models import SignedPaper
from ullage.web.records.selectors.chains import chain_bytes, register_bytes
from ullage.web.shared.signing_key import public_keys_pem
from ullage.web.sites.selectors import Site

__all__ = ["heads_of", "keys_known", "record_verified", "register_verified"]


def keys_known() -> tuple[str, ...]:
    """The public keys of this installation; what they are kept for is to vouch."""
    return public_keys_pem()


def record_verified(record: Record, register: bytes | None = None) -> Answer:
    """One record as it is kept, against its sums, signatures, files and the register.

    Others go on writing while it is read: the register is read first, then how far the record
    goes, then the lines up to there.
    """
    register = register or register_bytes(record.site)
    count, head = _goes_to(record)
    around = tuple(_around(record, count, head))
    beside = Beside(register=register, found=around, is_growing=True)
    return verify_record(chain_bytes(record, count), keys_known(), beside)


def register_verified(site: Site, step: Callable[[int], None] = lambda done: None) -> Answer:
    """The register of a site, and every record of it; ``step`` is told how many are done."""
    known = list(Record.objects.filter(site=site).order_by("pk").values_list("pk", flat=True))
    register = register_bytes(site)
    wrong: list[Spotted] = []

    def records() -> Iterator[bytes]:
        for done, pk in enumerate(known, start=1):
            record = Record.objects.select_related("site").get(pk=pk)
            answer = record_verified(record, register)
            if answer.verdict == "Stop":
                first = answer.steps[0]
                says = f"{first.what}: {first.result}. {first.note}"
                wrong.append(Spotted(where=str(record), what="does not hold", says=says))
            step(done)
            yield chain_bytes(record)

    beside = Beside(found=wrong, is_growing=True)
    return verify_register(register, keys_known(), records(), beside)


def _goes_to(record: Record) -> tuple[int, str]:
    """How far a record says that it goes, now."""
    rows = Record.objects.filter(pk=record.pk).values_list("count", "head")
    return rows.get()


def _around(record: Record, count: int, head: str) -> Iterator[Spotted]:
    """What stands beside the chain and must say the same: columns, count and head, files."""
    last, order = START, 0
    rows = record.lines.filter(order__lte=count).select_related("author").order_by("order")
    for row in rows:
        last, order = row.sum, row.order
        wrong = _column(row)
        if wrong:
            says = f"{wrong} beside the line is not what its text says."
            where = f"Line {order}"
            yield Spotted(where=where, what="changed", says=says, place=order)
    if (order, last) != (count, head):
        says = f"It says that it goes to line {count}, and goes to {order}."
        yield Spotted(where="The record", what="changed", says=says)
    longest = record.lines.aggregate(most=Max("order"))["most"] or 0
    if longest > _goes_to(record)[0]:
        says = f"There is a line {longest}, and the record knows nothing of it."
        yield Spotted(where=f"Line {longest}", what="added", says=says)
    yield from _files(record)


def _column(row: Line) -> str:
    """The first column that differs from the text of its line; empty where all agree."""
    try:
        line: AnyLine = line_of_text(row.text)
    except PlanUnreadable:
        return ""  # the verification of the chain says so itself
    pairs = {
        "The id": (str(row.code), line.id),
        "The time seen": (utc_text(row.observed_at), utc_text(line.times.observed)),
        "The time of receipt": (utc_text(row.received_at), utc_text(line.times.received)),
        "The author": (_account(author_text(row.author)), _account(line.author)),
    }
    return next((name for name, (column, said) in pairs.items() if column != said), "")


def _account(author: str) -> str:
    """The name of the account: it stays while a person may be called otherwise later."""
    return author.rpartition("(")[2]


def _files(record: Record) -> Iterator[Spotted]:
    """Files and papers against their own sums; bytes are read one file at a time."""
    sums = dict(record.lines.values_list("order", "sum"))
    for model in (RecordFile, SignedPaper):
        for row in model.objects.filter(record=record).iterator(chunk_size=1):
            where = f"The file {row.name}"
            if sha256(bytes(row.content)).hexdigest() != row.sha256:
                yield Spotted(where=where, what="changed", says="Its SHA-256 is another.")
            if isinstance(row, SignedPaper) and sums.get(row.count) != row.sum:
                says = f"Line {row.count} is not the one that stood there when it was printed."
                yield Spotted(where=where, what="does not agree", says=says)


def heads_of(site: Site) -> list[RegisterLine]:
    """The last line of the register for each record of a site, the newest first."""
    rows = RegisterLine.objects.filter(site=site).select_related("record").order_by("-order")
    found: dict[int, RegisterLine] = {}
    for row in rows:
        found.setdefault(row.record_id, row)
    return list(found.values())
