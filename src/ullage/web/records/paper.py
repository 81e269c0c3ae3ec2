"""A record as the bytes of a PDF, from pure data: the same lines are the same bytes.

The file is PDF/A-3a and PDF/UA-1. The machine-readable record is attached as it was handed in, and
its fingerprint stands on every page.
"""

import json
from collections.abc import Iterable, Iterator, Mapping, Sequence
from concurrent.futures import Future, ThreadPoolExecutor
from dataclasses import dataclass, replace
from datetime import datetime, tzinfo
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

from ullage.answers import Answer
from ullage.answers.record.charted import case_charts, events_numbered
from ullage.answers.record.complete import record_complete
from ullage.answers.record.exported import ChainFile, read_export
from ullage.answers.record.printed import entry_words, local_time
from ullage.answers.record.seen import NOT_RECORDED
from ullage.answers.record.signed import fingerprint
from ullage.answers.record.standing import RecordStanding, record_standing
from ullage.answers.record.things import AnyLine, EntryKind
from ullage.answers.record.written import content_of
from ullage.answers.words import minutes_text
from ullage.core.errors import RuleBroken
from ullage.reference import HowKnown
from ullage.web.cases.drawing import chart_label, chart_svg, on_paper
from ullage.web.records.paper_tables import (
    amended_rows,
    animal_rows,
    event_rows,
    given_rows,
    other_rows,
    phase_rows,
    signed_rows,
    value_table,
)
from ullage.web.records.paper_words import Told, breakable
from ullage.web.shared.print import printed

__all__ = ["PrintedRecord", "RecordPaper", "groups_of", "paper_data", "record_pdf", "record_pdfs"]

_TEMPLATE = Path(__file__).parent / "print" / "record.typ"

#: Facts of the identity block, in their order; further facts follow under their own names.
_FACTS = {
    "animal": "Animal",
    "species": "Species",
    "strain": "Strain",
    "sex": "Sex",
    "age": "Age",
    "weight": "Weight",
    "procedure": "Procedure",
    "protocol": "Protocol",
    "committee": "Committee, licence",
    "people": "People",
    "place": "Place",
    "machine": "Machine",
}
#: Facts that follow, by what they are called on paper; others stand under their own names.
_MORE = {
    "check": "Machine, before it began",
    "supply": "Gas, before it began",
    "started_without": "Started without",
    "override_by": "Who answered for that",
    "override_reason": "Why it could not wait",
    "closed_with": "Closed with this open",
    "closed_override_by": "Who answered for closing",
    "closed_override_reason": "Why it was closed so",
    "severity": "Actual severity",
    "animals": "Animals of the group",
}
#: Facts that stand elsewhere on the page, or in front of the fact that they belong to.
_QUIET = frozenset(
    {"name", "number", "group", "state", "check_at", "supply_at", "check_verdict", "supply_verdict"}
)
#: What is told from the entries, after the facts.
_SAID = {
    "agent": "Agent",
    "carrier": "Carrier gas",
    "system": "Breathing system",
    "airway": "Airway",
    "induction": "Induction",
}
#: The same said by another variable.
_BY_NAME = {"system": "breathing_system"}


@dataclass(frozen=True, slots=True, kw_only=True)
class RecordPaper:
    """What a print needs besides the lines: whose it is, and the answers that belong to it.

    ``used`` are answers about gas, agent and absorbent; ``recovery``, ``interval`` and
    ``retention`` those of the record. ``state`` says in words how far it is, "closed 4 June 2026
    11:02 by Tamsin Kerr". ``animals`` names those of a group. Times that an answer holds in words
    are printed as they are: hand in answers whose times are those of the place.
    """

    number: str
    site: str
    country: str = ""
    time_zone: str = "UTC"
    is_demo: bool = False
    state: str = ""
    used: tuple[Answer, ...] = ()
    recovery: Answer | None = None
    interval: Answer | None = None
    retention: Answer | None = None
    animals: tuple[str, ...] = ()
    late_after_min: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class PrintedRecord:
    """One of several records: how many are done, of how many, and the bytes."""

    done: int
    total: int
    number: str
    pdf: bytes


def record_pdf(
    lines: Sequence[AnyLine], chain_bytes: bytes, about: RecordPaper, *, is_read: bool = False
) -> bytes:
    """The record as a PDF; ``is_read`` says that lines and chain are of one reading.

    Raises RuleBroken where the lines are not those of the chain, PlanUnreadable where the chain
    cannot be read.
    """
    return _printed(*_ready(lines, chain_bytes, about, is_read=is_read))


def _ready(
    lines: Sequence[AnyLine], chain_bytes: bytes, about: RecordPaper, *, is_read: bool = False
) -> tuple[dict[str, Any], str, datetime]:
    """What the printer takes; its time is that at which the last line came in."""
    data = breakable(paper_data(lines, chain_bytes, about, is_read=is_read))
    return data, chain_bytes.decode("utf-8"), max(one.times.received for one in lines)


def _printed(data: dict[str, Any], kept: str, at: datetime) -> bytes:
    return printed(_TEMPLATE, data, kept, at)


def record_pdfs(
    records: Iterable[tuple[Sequence[AnyLine], bytes, RecordPaper]],
    total: int,
    *,
    is_read: bool = False,
) -> Iterator[PrintedRecord]:
    """Several records one after another, so that a page can show how far it is.

    While one is printed the next is read, in the thread that asks for it.
    """
    with ThreadPoolExecutor(max_workers=1) as printer:
        waiting: list[tuple[str, Future[bytes]]] = []
        done = 0
        for lines, chain_bytes, about in records:
            ready = _ready(lines, chain_bytes, about, is_read=is_read)
            waiting.append((about.number, printer.submit(_printed, *ready)))
            if len(waiting) > 1:
                done += 1
                yield _one_of(waiting.pop(0), done, total)
        for one in waiting:
            yield _one_of(one, done + 1, total)


def _one_of(one: tuple[str, Future[bytes]], done: int, total: int) -> PrintedRecord:
    number, pdf = one
    return PrintedRecord(done=done, total=total, number=number, pdf=pdf.result())


def groups_of(sum_: str) -> str:
    """A fingerprint in groups of four, with a dot in the middle.

    >>> groups_of("0123456789abcdef" * 4)[:44]
    '0123 4567 89ab cdef 0123 4567 89ab cdef · 01'
    """
    groups = [sum_[start : start + 4] for start in range(0, len(sum_), 4)]
    half = len(groups) // 2
    return f"{' '.join(groups[:half])} · {' '.join(groups[half:])}"


def paper_data(
    lines: Sequence[AnyLine], chain_bytes: bytes, about: RecordPaper, *, is_read: bool = False
) -> dict[str, Any]:
    """What stands on the pages, as plain data."""
    file = read_export(chain_bytes)
    if not is_read:
        _of_one_record(lines, file)
    standing = record_standing(lines, about.late_after_min)
    told = Told.of(lines, ZoneInfo(about.time_zone))
    animals = about.animals or _animals(standing)
    values = value_table(standing, told)
    events = events_numbered(standing)
    named = _named(standing)
    return {
        **_whose(about),
        "title": f"Record {about.number}: {named}",
        "named": named,
        "date": told.date(),
        "count": file.stated.count,
        "groups": groups_of(file.stated.sum),
        "tally": _tally(standing),
        "facts": _facts(standing),
        "phases": phase_rows(standing, told),
        "animals": animal_rows(standing, told, animals),
        "charts": list(_charts(standing, told.zone, animals, named)),
        "given": given_rows(standing, events, told),
        "used": [_answer(one) for one in about.used],
        "events": event_rows(events, told),
        "amended": amended_rows(standing, told),
        "values": values,
        "others": other_rows(standing, told, values["keys"]),
        "devices": _devices(standing),
        "complete": _answer(record_complete(lines, zone=told.zone)),
        **{name: _answer(getattr(about, name)) for name in ("recovery", "interval", "retention")},
        "signed": signed_rows(lines, told),
        "vouched": _vouched(file),
        "people": [[short, full] for full, short in told.people.items()],
    }


def _whose(about: RecordPaper) -> dict[str, Any]:
    """Whose record it is, how far, and on which paper."""
    return {
        "number": about.number,
        "site": about.site,
        "paper": "us-letter" if about.country == "US" else "a4",
        "note": "Invented demo data." if about.is_demo else "",
        "state": about.state,
        "zone": about.time_zone,
    }


def _of_one_record(lines: Sequence[AnyLine], file: ChainFile) -> None:
    """Refuse to print under a fingerprint what it does not belong to."""
    said = zip(lines, file.texts, strict=False)
    same = len(lines) == len(file.texts) and all(_text(one) == text for one, text in said)
    if not (lines and same and file.kind == "record"):
        raise RuleBroken("The lines and the file beside them are not of one record; read it again.")


def _text(line: AnyLine) -> str:
    """The fixed text of a line; what the chain took was looked at when it was chained."""
    return json.dumps(content_of(line), ensure_ascii=False, sort_keys=True, separators=(",", ":"))


def _animals(standing: RecordStanding) -> tuple[str, ...]:
    """The animals of a group, in the order in which they were first named."""
    return tuple(dict.fromkeys(one.entry.animal for one in standing.entries if one.entry.animal))


def _tally(standing: RecordStanding) -> str:
    """How many entries are there, how many of them late, amended and withdrawn."""
    entries = standing.entries
    counts = {
        "late": sum(one.is_late for one in entries),
        "amended": sum(one.is_amended and not one.is_withdrawn for one in entries),
        "withdrawn": sum(one.is_withdrawn for one in entries),
    }
    return ", ".join([f"{len(entries)} entries", *(f"{n} {word}" for word, n in counts.items())])


def _facts(standing: RecordStanding) -> list[list[str]]:
    """Label and value; what nobody recorded says so."""
    facts = {key: value.strip() for key, value in standing.facts.items()}
    weighed = [one.entry for one in standing.valid if one.entry.what == "weight"]
    if weighed and not weighed[-1].animal:
        facts["weight"] = entry_words(weighed[-1])
    found = [[label, facts.pop(key, "") or NOT_RECORDED] for key, label in _FACTS.items()]
    for key, label in _SAID.items():
        keys = {key, _BY_NAME.get(key, key)}
        words = dict.fromkeys(one.entry.typed for one in standing.valid if one.entry.what in keys)
        found.append([label, ", ".join(words) or NOT_RECORDED])
    found.append(["Under anaesthesia", _duration(standing)])
    return [*found, *_more(facts)]


def _more(facts: Mapping[str, str]) -> Iterator[list[str]]:
    """Facts beside those that every record is asked for; a verdict before what it is of."""
    for key, value in facts.items():
        if value and key not in _QUIET:
            verdict = facts.get(f"{key}_verdict", "")
            words = key.replace("_", " ")
            label = _MORE.get(key, f"{words[:1].upper()}{words[1:]}")
            yield [label, f"{verdict}: {value}" if verdict else value]


def _named(standing: RecordStanding) -> str:
    """The animal or case by its name and by its mark, as far as they were said."""
    name, mark = (standing.facts.get(one, "").strip() for one in ("name", "animal"))
    if name and name in mark:
        return mark
    return ", ".join(one for one in (name, mark) if one) or NOT_RECORDED


def _duration(standing: RecordStanding) -> str:
    events = [one.entry for one in standing.valid if one.entry.kind is EntryKind.EVENT]
    at = {one.what: one.times.observed for one in reversed(events)}
    began, ended = at.get("anaesthesia began"), at.get("anaesthesia ended")
    if began is None or ended is None or ended < began:
        return NOT_RECORDED
    return minutes_text((ended - began).total_seconds() / 60.0)


def _charts(
    standing: RecordStanding, zone: tzinfo, animals: Sequence[str], named: str
) -> Iterator[dict[str, Any]]:
    """Each chart with its words; of a group one for each animal that was watched alone."""
    for animal in animals or ("",):
        for chart in case_charts(standing, animal):
            if animal and not chart.series:
                continue
            of = animal or named
            rows = tuple(row for row in chart.rows if row.marks or not animal)
            svg = chart_svg(replace(chart, rows=rows), zone, of)
            _, _, wide, high = svg.partition('viewBox="')[2].partition('"')[0].split()
            first = local_time(chart.first, zone)
            yield {
                "title": f"Chart of {of}, {first.day} {first:%B %Y}, boxes of 5 minutes",
                "svg": on_paper(svg),
                "alt": chart_label(chart, zone, of),
                "ratio": float(high) / float(wide),
            }


def _devices(standing: RecordStanding) -> list[str]:
    """Details of readings that have no room in the table, each once."""
    found = {
        f"{one.entry.what.replace('_', ' ')}: {name} {text}"
        for one in standing.valid
        if one.entry.kind in {EntryKind.VITAL, EntryKind.GAS} and one.entry.number
        for name, text in one.entry.details.items()
    }
    return sorted(found)


def _answer(answer: Answer | None) -> dict[str, Any] | None:
    """An answer as plain data, with the words that every face prints."""
    if answer is None:
        return None
    known = [
        f"{one.text.rstrip('.')} ({HowKnown(one.how_known).words})" for one in answer.where_from
    ]
    return {
        **json.loads(json.dumps(answer.as_dict())),
        "number_text": answer.number_text,
        "range_text": answer.range_text,
        "known": known,
    }


def _vouched(file: ChainFile) -> list[str]:
    """Signed heads, each with the key that the file names."""
    return [
        f"The first {one.count} lines are signed with key {fingerprint(one.key)} at {one.at}."
        for one in file.signatures
    ]
