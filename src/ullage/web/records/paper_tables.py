"""The tables of a printed record: what was given, what happened, every value, every correction."""

from collections.abc import Iterable, Iterator, Sequence
from itertools import groupby
from typing import Any

from ullage.answers.record.charted import ChartEvent
from ullage.answers.record.charted_rows import EVER, SERIES, row_order, row_title
from ullage.answers.record.closing import RECOVERY_STEP
from ullage.answers.record.doubts import VARIABLE_KINDS
from ullage.answers.record.printed import entry_name, entry_words, unit_words
from ullage.answers.record.seen import NOT_RECORDED
from ullage.answers.record.standing import Change, RecordStanding, Standing
from ullage.answers.record.things import AnyLine, EntryKind, EntryText, SignatureText
from ullage.answers.words import minutes_text
from ullage.reference.record import variable_rows
from ullage.web.records.paper_words import Told, marks_of

__all__ = [
    "amended_rows",
    "animal_rows",
    "event_rows",
    "given_rows",
    "other_rows",
    "phase_rows",
    "signed_rows",
    "value_table",
]

type Row = list[str]

#: So many variables stand side by side in the table of values; the others follow one by one.
_MOST_COLUMNS = 12
_SHORT = {
    "heart_rate": "Heart",
    "pulse_rate": "Pulse",
    "respiratory_rate": "Breaths",
    "respiratory_rate_co2": "Breaths (CO₂)",
    "cuff_systolic": "Upper, cuff",
    "cuff_diastolic": "Lower, cuff",
    "cuff_mean": "Mean, cuff",
    "arterial_systolic": "Upper, artery",
    "arterial_diastolic": "Lower, artery",
    "arterial_mean": "Mean, artery",
    "pressure_systolic": "Upper",
    "pressure_diastolic": "Lower",
    "pressure_mean": "Mean",
}


def _animal(entry: EntryText) -> str:
    return f"{entry.animal}: " if entry.animal else ""


def given_rows(standing: RecordStanding, events: Iterable[ChartEvent], told: Told) -> list[Row]:
    """Drugs and fluids by time: number on the chart, when, what as typed, by whom, marks."""
    numbers = {id(one.standing): str(one.number) for one in events}
    return [
        [
            numbers.get(id(one), ""),
            told.time(one.entry.times.observed),
            f"{_animal(one.entry)}{one.entry.what} {entry_words(one.entry)}".strip(),
            told.by(one.entry),
            marks_of(one, told),
        ]
        for one in standing.valid
        if one.entry.kind in {EntryKind.DRUG, EntryKind.FLUID}
    ]


def event_rows(events: Iterable[ChartEvent], told: Told) -> list[Row]:
    """Events and notes with the numbers of the chart: number, when, what, by whom, marks."""
    return [
        [
            str(one.number),
            told.time(one.at),
            _happened(one.standing.entry),
            told.by(one.standing.entry),
            marks_of(one.standing, told),
        ]
        for one in events
        if one.standing.entry.kind is not EntryKind.DRUG
    ]


def _happened(entry: EntryText) -> str:
    if entry.what == RECOVERY_STEP:
        met = "met" if entry.details.get("met") == "yes" else "not met"
        return f"{_animal(entry)}Recovery, {met}: {entry.typed}"
    words = entry_words(entry)
    if entry.kind is EntryKind.TEXT and not entry.what.strip():
        return f"{_animal(entry)}{words}"
    name = entry.what.strip() or entry.kind.words
    parts = [f"{name[:1].upper()}{name[1:]}", words if words != name else ""]
    return f"{_animal(entry)}{': '.join(one for one in parts if one)}"


def phase_rows(standing: RecordStanding, told: Told) -> list[Row]:
    """Phases as they were entered: name, from, to, how long."""
    found = [one.entry for one in standing.valid if one.entry.what == "phase"]
    last = [one.entry.times.observed for one in standing.valid][-1:]
    ends = [*(one.times.observed for one in found[1:]), *last]
    return [
        [
            one.typed,
            told.time(one.times.observed),
            told.time(end),
            minutes_text((end - one.times.observed).total_seconds() / 60.0),
        ]
        for one, end in zip(found, ends, strict=False)
    ]


#: Facts that go on with the case: that it ran, recovered and was closed corrects nothing.
_COURSE = frozenset({"state", "closed_with", "closed_override_by", "closed_override_reason"})


def amended_rows(standing: RecordStanding, told: Told) -> list[Row]:
    """Every correction: entry, what it was, what it is, by whom and when, why."""
    rows = [(one.by.order, _changed(one, told)) for one in standing.changes]
    facts: dict[str, str] = {}
    for number, line in enumerate(standing.opened):
        for key, value in line.facts.items():
            if number and key not in _COURSE and facts.get(key) != value:
                by = f"{told.by(line)}, {told.time(line.times.written)}"
                was = facts.get(key, "") or NOT_RECORDED
                rows.append((line.order, [f"Case: {key}", was, value, by, line.reason]))
            facts[key] = value
    return [row for _, row in sorted(rows, key=lambda one: one[0])]


def _changed(change: Change, told: Told) -> Row:
    by = f"{told.by(change.by)}, {told.time(change.by.times.written)}"
    if change.was is None:
        return ["No entry that stands", "", entry_of(change), by, change.by.reason]
    moved = change.now is not None and change.now.times.observed != change.was.times.observed
    name = f"{_animal(change.was)}{entry_name(change.was)} {told.time(change.was.times.observed)}"
    is_now = "withdrawn" if change.now is None else _said(change.now, told, moved=moved)
    return [name, _said(change.was, told, moved=moved), is_now, by, change.by.reason]


def entry_of(change: Change) -> str:
    """What a correction of nothing would have said."""
    number = f"{change.by.number} {unit_words(change.by.unit)}".strip()
    return change.by.typed or number or ("withdrawn" if change.by.withdrawn else NOT_RECORDED)


def _said(entry: EntryText, told: Told, *, moved: bool) -> str:
    words = entry_words(entry) or entry_name(entry)
    return f"at {told.time(entry.times.observed)}: {words}" if moved else words


def _columns(read: Sequence[Standing]) -> list[str]:
    """The variables of the table: those of the chart first, then the most frequent."""
    counts: dict[str, int] = {}
    for one in read:
        counts[one.entry.what] = counts.get(one.entry.what, 0) + 1
    of_chart = {way for ways in SERIES.values() for way in ways} | set(EVER)
    chosen = sorted(counts, key=lambda key: (key not in of_chart, -counts[key]))[:_MOST_COLUMNS]
    order = list(variable_rows())
    return sorted(chosen, key=lambda key: (key not in _SHORT, row_order(key), order.index(key)))


def _is_number(one: Standing) -> bool:
    known = variable_rows().get(one.entry.what)
    return (
        bool(one.entry.number)
        and known is not None
        and bool(known.ucum)
        and one.entry.kind in {EntryKind.VITAL, EntryKind.GAS}
        and one.entry.what != "weight"
    )


def value_table(standing: RecordStanding, told: Told) -> dict[str, Any]:
    """Every number that was read, a row for each minute and animal; ``keys`` are its variables.

    A late value stands in brackets, an amended one before a double line. Another unit than that of
    the column stands with its number.
    """
    read = [one for one in standing.valid if _is_number(one)]
    keys = _columns(read)
    place = {key: number for number, key in enumerate(keys)}
    units = {key: variable_rows()[key].ucum[0] for key in keys}
    rows: dict[tuple[str, str], list[list[str]]] = {}
    for one in read:
        column = place.get(one.entry.what)
        if column is not None:
            at = told.time(one.entry.times.observed), one.entry.animal
            cells = rows.setdefault(at, [[] for _ in range(len(keys) + 1)])
            cells[column].append(_cell(one, units[one.entry.what]))
            who = told.by(one.entry)
            if who not in cells[-1]:
                cells[-1].append(who)
    return {
        "keys": keys,
        "heads": [f"{_title(key)} {unit_words(units[key])}".strip() for key in keys],
        "rows": [[*at, _merged([", ".join(cell) for cell in cells])] for at, cells in rows.items()],
        "has_animals": any(animal for _, animal in rows),
    }


def _merged(cells: Sequence[str]) -> list[tuple[str, int]]:
    """Cells with how many columns each takes: empty ones beside each other are one."""
    found: list[tuple[str, int]] = []
    for words, held in groupby(cells, key=lambda one: one or None):
        count = len(list(held))
        found += [("", count)] if words is None else [(words, 1)] * count
    return found


def _title(key: str) -> str:
    title = _SHORT.get(key) or row_title(key, variable_rows()[key])
    return title.removesuffix(", site unknown")


def _cell(one: Standing, unit: str) -> str:
    entry = one.entry
    same = unit_words(entry.unit) == unit_words(unit)
    said = entry.number if same else f"{entry.number} {unit_words(entry.unit)}"
    said = f"[{said}]" if one.is_late else said
    return f"{said} ‗" if one.is_amended else said


def other_rows(standing: RecordStanding, told: Told, keys: Sequence[str]) -> list[Row]:
    """Settings, signs and whatever has no column of its own: when, what, says, by, marks."""
    columns = frozenset(keys)
    return [
        [
            told.time(one.entry.times.observed),
            f"{_animal(one.entry)}{entry_name(one.entry)}",
            entry_words(one.entry),
            told.by(one.entry),
            marks_of(one, told),
        ]
        for one in standing.valid
        if one.entry.kind in VARIABLE_KINDS and not (_is_number(one) and one.entry.what in columns)
    ]


def signed_rows(lines: Iterable[AnyLine], told: Told) -> list[Row]:
    """Signatures: name in print, what it means, when, over how many lines."""
    return [
        [one.printed_name, one.meaning.value, told.moment(one.times.written), str(one.order - 1)]
        for one in lines
        if isinstance(one, SignatureText)
    ]


def animal_rows(standing: RecordStanding, told: Told, animals: Sequence[str]) -> list[Row]:
    """A line for each animal of a group: weight, what it was given, when it woke, by whom."""
    return [list(_one_animal(standing, told, name)) for name in animals]


def _one_animal(standing: RecordStanding, told: Told, name: str) -> Iterator[str]:
    mine = [one.entry for one in standing.valid if one.entry.animal == name]
    weighed = [one for one in mine if one.what == "weight"]
    drugs = [f"{one.what} {entry_words(one)}" for one in mine if one.kind is EntryKind.DRUG]
    yield name
    yield entry_words(weighed[-1]) if weighed else NOT_RECORDED
    yield "; ".join(drugs) or NOT_RECORDED
    yield f"{len(mine)}"
    for words in (("awake",), ("on its chest",), ("died", "killed")):
        event = next((one for one in mine if one.what in words), None)
        missing = "" if "died" in words else NOT_RECORDED
        yield f"{_ending(event, words)}{told.time(event.times.observed)}" if event else missing
    yield ", ".join(dict.fromkeys(told.by(one) for one in mine))


def _ending(event: EntryText, words: Sequence[str]) -> str:
    return f"{event.what} " if len(words) > 1 else ""
