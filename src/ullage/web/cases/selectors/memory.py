"""The lines of open records, kept in memory and only added to, since nothing in them changes."""

from collections import OrderedDict
from dataclasses import dataclass
from threading import Lock

from ullage.answers.record.seen import CaseSeen, case_seen
from ullage.answers.record.things import AnyLine
from ullage.answers.record.written import line_of_text
from ullage.web.cases.models import Record

__all__ = ["CaseLines", "case_lines", "count_of"]

#: As many records are kept as a house may run at once, and some that were just closed.
_MOST = 48


@dataclass(frozen=True)
class CaseLines:
    """The lines of one record up to a head of its chain."""

    count: int
    head: str
    lines: tuple[AnyLine, ...]

    def seen(self, animal: str = "") -> CaseSeen:
        """What they say, for one animal of a group."""
        return case_seen(self.lines, animal)


_kept: OrderedDict[int, CaseLines] = OrderedDict()
_lock = Lock()


def case_lines(record: Record) -> CaseLines:
    """All lines of a record; only those that came since the last time are read and parsed.

    What is kept is used only where the chain still holds its last line with the same sum.
    """
    with _lock:
        known = _kept.get(record.pk)
    found = _read(record, known) if known is not None else None
    if found is None:
        found = _added(CaseLines(count=0, head="", lines=()), _rows(record, 1))
    with _lock:
        _kept[record.pk] = found
        _kept.move_to_end(record.pk)
        while len(_kept) > _MOST:
            _kept.popitem(last=False)
    return found


def _rows(record: Record, first: int) -> list[tuple[int, str, str]]:
    rows = record.lines.filter(order__gte=first).order_by("order")
    return list(rows.values_list("order", "text", "sum"))


def _read(record: Record, known: CaseLines) -> CaseLines | None:
    """What is known with what came since; None where the chain is another."""
    rows = _rows(record, max(known.count, 1))
    if known.count == 0:
        return _added(known, rows)
    if not rows or (rows[0][0], rows[0][2]) != (known.count, known.head):
        return None
    return _added(known, rows[1:])


def _added(known: CaseLines, rows: list[tuple[int, str, str]]) -> CaseLines:
    if not rows:
        return known
    lines = (*known.lines, *(line_of_text(text) for _, text, _ in rows))
    return CaseLines(count=rows[-1][0], head=rows[-1][2], lines=lines)


def count_of(pk: int) -> int:
    """How many lines a record has now; one small query."""
    return Record.objects.values_list("count", flat=True).get(pk=pk)
