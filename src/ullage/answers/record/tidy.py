"""The entries of a record as one tidy table: a row an entry, always the same columns.

Numbers are there twice, as the digits that the record keeps and as a number to reckon with. Every
correction stands beside what it corrected, and withdrawn entries stay in the table.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from ullage.answers.record.cells import GUARD, table_csv
from ullage.answers.record.codes import coded_word, device_code, loinc_code, notices
from ullage.answers.record.fixed import fixed_text, utc_text
from ullage.answers.record.standing import Change, RecordStanding, Standing, record_standing
from ullage.answers.record.things import AnyLine, EntryText, SignatureText
from ullage.reference.record import variable_rows

__all__ = ["COLUMNS", "Column", "tidy_csv", "tidy_description", "tidy_rows"]

#: Details that have a column of their own; others stand together in the last one.
DETAILS = (
    *("dose", "concentration", "volume", "rate", "route", "lot", "expiry", "wasted", "bottle"),
    *("site", "device"),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Column:
    """A column: its name, what it means, its type (text, number, count, yes or no, time), unit."""

    name: str
    means: str
    type: str = "text"
    unit: str = ""


_TABLE = "list of corrections as JSON, in order: who, when, why, what each said"

#: Every table has these, in this order, whatever the record holds: tables of a study fit together.
COLUMNS: tuple[Column, ...] = (
    Column(name="record", means="name of the record"),
    Column(name="animal", means="animal of a group; empty where the record is of one animal"),
    Column(name="order", means="order number of the line in the record", type="count", unit="1"),
    Column(name="id", means="id of the entry, made where it was written"),
    Column(name="kind", means="kind of entry"),
    Column(name="variable", means="what was observed, set, given or done, by key or by name"),
    Column(name="variable_name", means="the same in words, where it is a variable"),
    Column(name="value_as_typed", means="what was typed, word for word, as it stands now"),
    Column(name="digits", means="digits of the number as the record keeps them, with a point"),
    Column(name="number", means="the same as a number", type="number", unit="in column unit"),
    Column(name="unit", means="unit of the number, a code of UCUM"),
    Column(name="loinc", means="LOINC code of the variable, where verified"),
    Column(name="mdc", means="code of ISO/IEEE 11073-10101 without context, where verified"),
    Column(name="word_scheme", means="list of the code of a word: SCT, DCM or UMLS"),
    Column(name="word_code", means="code of a word, from the lists of DICOM for small animals"),
    Column(name="observed_utc", means="when it was seen", type="time", unit="UTC"),
    Column(name="written_utc", means="when it was written, clock of the device", type="time"),
    Column(name="received_utc", means="when the server had it", type="time", unit="UTC"),
    Column(
        name="clock_offset_s",
        means="by how much the clock of the device ran ahead; empty where not measured",
        type="number",
        unit="s",
    ),
    Column(name="late_min", means="from seeing to writing", type="number", unit="min"),
    Column(name="author", means="who made the entry"),
    Column(name="author_confirmed", means="no: written while the pad was locked", type="yes or no"),
    Column(name="amended", means="whether anything of it was corrected", type="yes or no"),
    Column(name="withdrawn", means="yes: it should not stand; the row stays", type="yes or no"),
    Column(name="original_as_typed", means="what was typed first, where it was corrected"),
    Column(name="original_digits", means="its digits, where it was corrected"),
    Column(name="original_unit", means="its unit, where it was corrected"),
    Column(name="original_observed_utc", means="when it was first said to be seen", type="time"),
    Column(name="original_details", means="its details as JSON, where it was corrected"),
    Column(name="amended_by", means="who made the last correction"),
    Column(name="amended_reason", means="why, in the words of the last correction"),
    Column(name="amended_utc", means="when the server had the last correction", type="time"),
    Column(name="amendments", means=_TABLE),
    *(Column(name=f"detail_{one}", means=f"{one}, as typed") for one in DETAILS),
    Column(name="detail_other", means="every other detail by name, as JSON"),
)


def tidy_rows(lines: Iterable[AnyLine]) -> Iterator[dict[str, Any]]:
    """A row an entry, cells by column; None where there is nothing.

    Parameters
    ----------
    lines : of one record, in their order.

    Returns
    -------
    Rows by the time at which things were seen. Times with their zone, numbers as numbers, yes and
    no as truth; everything else as text.
    """
    return (_row(one) for one in record_standing(lines).entries)


def _row(one: Standing) -> dict[str, Any]:
    entry, times = one.entry, one.entry.times
    known = variable_rows().get(entry.what)
    word = coded_word(entry)
    return {
        "record": entry.record,
        "animal": entry.animal,
        "order": entry.order,
        "id": entry.id,
        "kind": entry.kind.value,
        "variable": entry.what,
        "variable_name": known.name if known else "",
        "value_as_typed": entry.typed,
        "digits": entry.number,
        "number": entry.value,
        "unit": entry.unit,
        "loinc": loinc_code(entry.what),
        "mdc": device_code(entry.what)[0],
        "word_scheme": word.scheme if word else "",
        "word_code": word.code if word else "",
        "observed_utc": times.observed,
        "written_utc": times.written,
        "received_utc": times.received,
        "clock_offset_s": times.offset_s,
        "late_min": times.late_by_min,
        "author": entry.author,
        "author_confirmed": entry.author_confirmed,
        "amended": one.is_amended,
        "withdrawn": one.is_withdrawn,
        **_changed(one),
        **_details(entry),
    }


def _changed(one: Standing) -> dict[str, Any]:
    if not one.changes:
        return {}
    first, last = one.changes[0].was or one.entry, one.changes[-1].by
    return {
        "original_as_typed": first.typed,
        "original_digits": first.number,
        "original_unit": first.unit,
        "original_observed_utc": first.times.observed,
        "original_details": fixed_text(dict(first.details)),
        "amended_by": last.author,
        "amended_reason": last.reason,
        "amended_utc": last.times.received,
        "amendments": _json(_amendment(change) for change in one.changes),
    }


def _json(found: Iterable[Mapping[str, Any]]) -> str:
    return f"[{','.join(fixed_text(one) for one in found)}]"


def _amendment(change: Change) -> dict[str, Any]:
    by = change.by
    return {
        "id": by.id,
        "order": by.order,
        "of": by.of,
        "author": by.author,
        "reason": by.reason,
        "withdrawn": by.withdrawn,
        "typed": by.typed,
        "number": by.number,
        "unit": by.unit,
        "details": dict(by.details),
        "observed": utc_text(by.observed) if by.observed else None,
        "written_utc": utc_text(by.times.written),
        "received_utc": utc_text(by.times.received),
    }


def _details(entry: EntryText) -> dict[str, Any]:
    others = {name: said for name, said in entry.details.items() if name not in DETAILS}
    own = {f"detail_{name}": entry.details[name] for name in DETAILS if name in entry.details}
    return {**own, "detail_other": fixed_text(others)} if others else own


def tidy_csv(records: Sequence[Iterable[AnyLine]]) -> str:
    """The entries of one record or of several as CSV.

    Parameters
    ----------
    records : the lines of each, in their order.

    Returns
    -------
    Text by RFC 4180. A text that a spreadsheet would run as a formula, or that begins with an
    apostrophe, has one apostrophe before it; numbers have none.

    >>> tidy_csv([]).startswith("record,animal,order,id,kind,variable,")
    True
    """
    rows = (_cells(row) for lines in records for row in tidy_rows(lines))
    return table_csv([one.name for one in COLUMNS], rows)


def _cells(row: Mapping[str, Any]) -> dict[str, str]:
    return {name: _cell(said) for name, said in row.items() if said is not None}


def _cell(said: Any) -> str:
    if isinstance(said, bool):
        return "yes" if said else "no"
    if isinstance(said, datetime):
        return utc_text(said)
    return repr(said) if isinstance(said, float) else str(said)


def tidy_description(records: Sequence[Iterable[AnyLine]]) -> dict[str, Any]:
    """What the columns mean, and what of the records stands in no row; fit for JSON.

    Parameters
    ----------
    records : the lines of each, in their order.

    Returns
    -------
    Columns with meaning, type and unit; variables with units and codes and how those are known;
    facts of each case, signatures, and corrections that name no entry.

    >>> tidy_description([])["columns"]["late_min"]["unit"]
    'min'
    """
    kept = [tuple(lines) for lines in records]
    found = [record_standing(lines) for lines in kept]
    used = dict.fromkeys(one.entry.what for standing in found for one in standing.entries)
    return {
        "columns": {
            one.name: {"means": one.means, "type": one.type, "unit": one.unit} for one in COLUMNS
        },
        "guard": (
            f"In CSV a text that begins with = + - @, a tab, a line end or {GUARD} and is no plain "
            f"number has one {GUARD} before it; take it off to read the text."
        ),
        "variables": {key: _variable(key) for key in used if key in variable_rows()},
        "notices": {name: one["text"] for name, one in notices().items()},
        "records": [
            _described(lines, standing) for lines, standing in zip(kept, found, strict=True)
        ],
    }


def _variable(key: str) -> dict[str, Any]:
    row = variable_rows()[key]
    codes = {
        name: {
            "code": code.code if code.is_verified else None,
            "how_known": code.how_known.value,
            "from": code.place,
        }
        for name, code in (("loinc", row.loinc), ("mdc", row.mdc))
        if code
    }
    return {"name": row.name, "kind": row.kind, "units": list(row.ucum), **codes}


def _described(lines: Sequence[AnyLine], standing: RecordStanding) -> dict[str, Any]:
    return {
        "record": lines[0].record if lines else "",
        "entries": len(standing.entries),
        "facts": [
            {
                "facts": dict(one.facts),
                "author": one.author,
                "reason": one.reason,
                "received_utc": utc_text(one.times.received),
            }
            for one in standing.opened
        ],
        "signatures": [
            {
                "printed_name": one.printed_name,
                "meaning": one.meaning.value,
                "author": one.author,
                "received_utc": utc_text(one.times.received),
                "order": one.order,
            }
            for one in lines
            if isinstance(one, SignatureText)
        ],
        "amendments_of_no_entry": [
            _amendment(change) for change in standing.changes if change.was is None
        ],
    }
