"""Every chain in a database or in a copy of one, worked out again row by row.

It is asked by plain SQL, so that a copy can be read beside the database of the site, whatever
state either is in.
"""

import json
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from datetime import UTC, datetime
from hashlib import sha256
from itertools import groupby
from typing import Any
from uuid import UUID

from ullage.answers.record.chained import START, Head, link
from ullage.answers.record.fixed import utc_text
from ullage.answers.record.signed import HeadSignature, signature_holds

__all__ = ["Ask", "Looked", "look_through", "sums_missing"]

type Row = tuple[Any, ...]
#: A question in SQL, and its rows.
type Ask = Callable[[str], Iterable[Row]]

#: So many faults are told one by one.
_MOST_TOLD = 20

_LINES = """
SELECT r.code, l."order", l.text, l.sum, l.code, l.kind, l.observed_at, l.received_at, u.username
FROM cases_line l LEFT JOIN cases_record r ON r.id = l.record_id
LEFT JOIN accounts_user u ON u.id = l.author_id ORDER BY l.record_id, l."order"
"""
_RECORDS = 'SELECT code, "count", head FROM cases_record ORDER BY id'
_REGISTER = """
SELECT s.code, g."order", g.text, g.sum FROM cases_registerline g
LEFT JOIN sites_site s ON s.id = g.site_id ORDER BY g.site_id, g."order"
"""
_SIGNED = """
SELECT r.code, h."count", h.sum, h.at, h.key, h.signature FROM cases_signedhead h
JOIN cases_record r ON r.id = h.record_id ORDER BY h.id
"""
_AUDIT = """
SELECT s.code, a.number, a.text, a.digest FROM audit_auditline a
LEFT JOIN sites_site s ON s.id = a.site_id ORDER BY a.site_id, a.number
"""
_CHAINS = {
    "record": ("cases_line", _LINES),
    "register": ("cases_registerline", _REGISTER),
    "audit": ("audit_auditline", _AUDIT),
}


@dataclass(slots=True)
class Looked:
    """What was found: the head of each chain, and what does not hold."""

    heads: list[Head] = field(default_factory=list)
    faults: list[str] = field(default_factory=list)
    count_of_faults: int = 0

    def fault(self, says: str) -> None:
        """Keep a fault; beyond some they are only counted."""
        self.count_of_faults += 1
        if len(self.faults) < _MOST_TOLD:
            self.faults.append(says)


def look_through(ask: Ask, tables: Iterable[str], files: Iterable[str] = ()) -> Looked:
    """Work out every chain again: of records, of registers, of the audit; and the sums of files.

    Parameters
    ----------
    ask : a question in SQL to the database.
    tables : that it has; chains of tables that it has not are left out.
    files : tables of files with their SHA-256.
    """
    there, looked = set(tables), Looked()
    if "cases_line" in there:
        registered, signed = _registered(ask, looked), list(ask(_SIGNED))
        wanted = {of: set(heads) for of, heads in registered.items()}
        for of, count, *_ in signed:
            wanted.setdefault(_name(of), set()).add(count)
        sums = _records(ask, looked, wanted)
        _against_records(registered, sums, looked)
        _signatures(signed, sums, looked)
        _against_columns(ask, looked)
    if "audit_auditline" in there:
        for _ in _walk(ask(_AUDIT), "audit", looked):
            pass
    for table in sorted(there & set(files)):
        _files(ask, table, looked)
    return looked


def sums_missing(ask: Ask, tables: Iterable[str], heads: Iterable[Head]) -> list[Head]:
    """The heads of an older copy that a database does not hold any more, or holds otherwise."""
    there = set(tables)
    wanted = {(one.kind, one.of): one for one in heads if one.count}
    for kind, (table, question) in _CHAINS.items():
        for row in ask(question) if table in there else ():
            key = (kind, _name(row[0]))
            one = wanted.get(key)
            if one is not None and (row[1], row[3]) == (one.count, one.sum):
                del wanted[key]
    return list(wanted.values())


def _name(code: Any) -> str:
    """A code as the chains name it: SQLite hands out its digits alone."""
    return str(UUID(str(code))) if code is not None else ""


def _walk(rows: Iterable[Row], kind: str, looked: Looked) -> Iterator[tuple[str, Row]]:
    """Each row of each chain of a kind, after its sum was worked out again; heads are kept."""
    for of, lines in groupby(rows, key=lambda row: _name(row[0])):
        last, count = START, 0
        for row in lines:
            _, order, text, stated = row[:4]
            count += 1
            if order != count:
                looked.fault(f"{kind} {of}: line {order} stands where line {count} should.")
            if link(last, text, kind) != stated:
                looked.fault(f"{kind} {of}: line {order} does not agree with its sum.")
            last = stated
            yield of, row
        looked.heads.append(Head(kind=kind, of=of, count=count, sum=last))


def _registered(ask: Ask, looked: Looked) -> dict[str, dict[int, str]]:
    """What the registers say: record -> count -> sum."""
    said: dict[str, dict[int, str]] = {}
    for of, (_, order, text, _) in _walk(ask(_REGISTER), "register", looked):
        content = _content(text)
        record, count, found = (content.get(name) for name in ("record", "count", "sum"))
        if not (isinstance(record, str) and isinstance(count, int) and isinstance(found, str)):
            looked.fault(f"register {of}: line {order} is no line of a register.")
            continue
        if said.setdefault(record, {}).setdefault(count, found) != found:
            looked.fault(f"record {record}: two heads are registered of {count} lines.")
    return said


def _content(text: str) -> Mapping[str, Any]:
    try:
        found = json.loads(text)
    except ValueError:
        found = None
    return found if isinstance(found, dict) else {}


def _records(ask: Ask, looked: Looked, wanted: Mapping[str, set[int]]) -> dict[str, dict[int, str]]:
    """Walk the lines of all records; the sums at the counts that are registered or signed."""
    sums: dict[str, dict[int, str]] = {}
    for of, row in _walk(ask(_LINES), "record", looked):
        _, order, text, stated = row[:4]
        content = _content(text)
        if content.get("order") != order or content.get("record") != of:
            looked.fault(f"record {of}: line {order} says that it is another line.")
        wrong = _columns_differ(content, row[4:])
        if wrong:
            looked.fault(f"record {of}: {wrong} of line {order} is not what its text says.")
        if order in wanted.get(of, ()):
            sums.setdefault(of, {})[order] = stated
    return sums


def _columns_differ(content: Mapping[str, Any], columns: Row) -> str:
    """What stands beside the text of a line, to find it by, must say what the text says."""
    code, kind, observed, received, username = columns
    times = content.get("times")
    times = times if isinstance(times, dict) else {}
    pairs = {
        "the id": (_name(code), content.get("id")),
        "the kind": (kind, content.get("line")),
        "the time seen": (_time(observed), times.get("observed")),
        "the time of receipt": (_time(received), times.get("received")),
    }
    for name, (column, said) in pairs.items():
        if column != said:
            return name
    author = str(content.get("author"))
    return "" if username is not None and author.endswith(f"({username})") else "the author"


def _time(found: Any) -> str:
    if isinstance(found, str):
        try:
            found = datetime.fromisoformat(found)
        except ValueError:
            return "no time"
    if not isinstance(found, datetime):
        return "no time"
    # SQLite keeps times in UTC and does not say so.
    return utc_text(found if found.tzinfo else found.replace(tzinfo=UTC))


def _against_records(
    registered: Mapping[str, Mapping[int, str]],
    sums: Mapping[str, Mapping[int, str]],
    looked: Looked,
) -> None:
    """Every head that a register keeps must be in the record as it is."""
    for record, heads in registered.items():
        for count, said in heads.items():
            found = START if count == 0 else sums.get(record, {}).get(count)
            if found is None:
                looked.fault(f"record {record}: it was registered with {count} lines.")
            elif found != said:
                looked.fault(f"record {record}: its first {count} lines are not those registered.")


def _signatures(
    signed: Iterable[Row], sums: Mapping[str, Mapping[int, str]], looked: Looked
) -> None:
    """Every signed head must be a head that the record had."""
    for of, count, stated, at, key, signature in signed:
        record = _name(of)
        found = START if count == 0 else sums.get(record, {}).get(count)
        head = Head(kind="record", of=record, count=count, sum=stated)
        one = HeadSignature(count=count, sum=stated, at=at, key=key, signature=signature)
        if found != stated or not signature_holds(head, one):
            looked.fault(f"record {record}: the signature of {count} lines does not hold.")


def _against_columns(ask: Ask, looked: Looked) -> None:
    """Each record says itself how far it goes, and no chain is without its record."""
    walked = {one.of: one for one in looked.heads if one.kind == "record"}
    for code, count, head in ask(_RECORDS):
        of = _name(code)
        found = walked.pop(of, Head(kind="record", of=of, count=0, sum=START))
        if (found.count, found.sum) != (count, head):
            looked.fault(f"record {of}: it says {count} lines and holds {found.count}.")
    for of in walked:
        looked.fault(f"record {of or 'without a name'}: there are lines of it and no record.")


def _files(ask: Ask, table: str, looked: Looked) -> None:
    for code, data, said in ask(f'SELECT code, content, sha256 FROM "{table}"'):  # noqa: S608  # a table of ours
        if sha256(bytes(data)).hexdigest() != said:
            looked.fault(f"file {_name(code)} in {table} is not what was handed in.")
