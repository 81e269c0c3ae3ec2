"""What a record holds of all that is asked of one, and what nobody recorded."""

from collections.abc import Callable, Iterable, Iterator, Mapping
from datetime import UTC, tzinfo

from ullage.answers.answer import Answer, Step, Verdict, WhereFrom
from ullage.answers.record.printed import clock_text, local_time
from ullage.answers.record.seen import NOT_RECORDED, CaseSeen, case_seen
from ullage.answers.record.things import AnyLine, EntryKind, EntryText
from ullage.reference import Row, Stated, stated
from ullage.reference.values import raw_table

__all__ = ["record_complete"]

#: What one item comes to: what is shown of it, and what is missing in part.
type _Found = tuple[str, str]


def record_complete(lines: Iterable[AnyLine], animal: str = "", zone: tzinfo = UTC) -> Answer:
    """What is recorded of all that more than one source asks for, item by item.

    Parameters
    ----------
    lines : of one record, in their order.
    animal : one of a group; its own weight and waking are asked for then.
    zone : of the place, for days and times of day.

    Returns
    -------
    [1] items recorded. Look again: at least one is not, or only in part. Nothing is filled in.

    >>> record_complete([]).steps[0].result
    'not recorded'
    """
    case = case_seen(lines, animal, zone)
    rows = {key: stated("record", f"item.{key}") for key in raw_table("record")["item"]}
    found = {key: _item(key, case) for key in rows}
    missing = [key for key, (shown, lacks) in found.items() if not shown or lacks]
    of = f" of {animal}" if animal else ""
    return Answer(
        question=f"Is the record{of} complete?",
        value=float(len(rows) - len(missing)),
        unit=f"of {len(rows)} items recorded",
        verdict=Verdict.LOOK_AGAIN if missing else Verdict.FINE,
        sentence=_sentence(rows, missing),
        todo="Enter what was seen; leave what nobody saw as not recorded." if missing else "",
        reasons=("Each item is asked for by more than one source, or by a law.",),
        steps=tuple(
            Step(what=rows[key].text, result=shown or NOT_RECORDED, note=lacks)
            for key, (shown, lacks) in found.items()
        ),
        where_from=tuple(dict.fromkeys(_where(row) for row in rows.values())),
        cautions=(
            "What was not recorded in time is a late entry with its own time, never an old one.",
        ),
    )


def _where(row: Row) -> WhereFrom:
    text = f"{row.where[:1].upper()}{row.where[1:]}."
    return WhereFrom(source=row.source, how_known=row.how_known.value, text=text)


def _sentence(rows: Mapping[str, Stated], missing: list[str]) -> str:
    if not missing:
        return f"Everything is recorded: {len(rows)} items."
    named = "; ".join(rows[key].text.lower() for key in missing[:_MOST_NAMED])
    more = f"; and {len(missing) - _MOST_NAMED} more" if len(missing) > _MOST_NAMED else ""
    return f"Not recorded, or only in part: {named}{more}."


_MOST_NAMED = 4


def _item(key: str, case: CaseSeen) -> _Found:
    if key in _FROM_ENTRIES:
        return _FROM_ENTRIES[key](case)
    return case.fact(key), ""


def _weight(case: CaseSeen) -> _Found:
    weighed = case.of("weight")
    if case.animal:
        weighed = tuple(one for one in weighed if one.animal == case.animal)
        return (weighed[-1].typed, "") if weighed else ("", "")
    return (weighed[-1].typed if weighed else case.fact("weight")), ""


def _date(case: CaseSeen) -> _Found:
    if not case.entries:
        return "", ""
    day = local_time(case.entries[0].times.observed, case.zone)
    return f"{day.day} {day:%B %Y}", ""


def _count(entries: tuple[EntryText, ...]) -> str:
    if not entries:
        return ""
    return "1 entry" if len(entries) == 1 else f"{len(entries)} entries"


def _given(case: CaseSeen) -> tuple[EntryText, ...]:
    return case.kinds(EntryKind.DRUG)


def _none_given(case: CaseSeen) -> bool:
    return not _given(case) and case.event("no other drug") is not None


def _drugs(case: CaseSeen) -> _Found:
    if _none_given(case):
        return "none given", ""
    lacking = _lacking(case, "dose", "route")
    return ", ".join(dict.fromkeys(one.what for one in _given(case))), lacking


def _lacking(case: CaseSeen, *names: str) -> str:
    """Which drugs lack which of these details, in a sentence."""
    told = [
        f"{one.what} has no {name}"
        for one in _given(case)
        for name in names
        if not one.details.get(name, "").strip()
    ]
    return f"{'; '.join(told[:_MOST_NAMED])}." if told else ""


def _detail(name: str) -> Callable[[CaseSeen], _Found]:
    def found(case: CaseSeen) -> _Found:
        if _none_given(case):
            return "none given", ""
        having = tuple(one for one in _given(case) if one.details.get(name, "").strip())
        return _count(having), _lacking(case, name)

    return found


def _entries_of(*keys: str) -> Callable[[CaseSeen], _Found]:
    return lambda case: (_count(case.of(*keys)), "")


def _agent(case: CaseSeen) -> _Found:
    names = list(dict.fromkeys(one.typed for one in case.of("agent")))
    levels = case.of("dial", "inspired_*", "end_tidal_*")
    levels = tuple(one for one in levels if not one.what.endswith(("_oxygen", "_co2")))
    lacks = "" if names else "The agent is not named."
    return (
        (f"{', '.join(names)}: {_count(levels)}".removeprefix(": "), lacks) if levels else ("", "")
    )


def _carrier(case: CaseSeen) -> _Found:
    names = ", ".join(dict.fromkeys(one.typed for one in case.of("carrier")))
    flows = _count(case.of("flow_*"))
    if not (names or flows):
        return "", ""
    lacks = (
        "" if names and flows else "The flow is not recorded." if names else "The gas is not named."
    )
    return ": ".join(one for one in (names, flows) if one), lacks


def _depth(case: CaseSeen) -> _Found:
    return _count(case.kinds(EntryKind.DEPTH)), ""


def _pressure(case: CaseSeen) -> _Found:
    return _count(case.pressures), ""


def _events(case: CaseSeen) -> _Found:
    words = ("adverse event", "nothing to report")
    told = tuple(one for one in case.kinds(EntryKind.EVENT) if one.what in words)
    return "; ".join(one.typed.strip() or one.what for one in told), ""


def _end(case: CaseSeen) -> _Found:
    at = case.event("procedure ended")
    return (clock_text(at, case.zone) if at else ""), ""


def _awake(case: CaseSeen) -> _Found:
    times = dict(_own_events(case, "awake", "on its chest"))
    dead = dict(_own_events(case, "died", "killed"))
    if dead:
        return next(f"{word}, {at}" for word, at in dead.items()), ""
    shown = ", ".join(f"{word} {at}" for word, at in times.items())
    lacks = [word for word in ("awake", "on its chest") if word not in times]
    return shown, f"Not recorded: {lacks[0]}." if shown and lacks else ""


def _own_events(case: CaseSeen, *words: str) -> Iterator[tuple[str, str]]:
    """Events of the animal that is asked about, each by its first time."""
    for word in words:
        for one in case.kinds(EntryKind.EVENT):
            if one.what == word and one.animal == case.animal:
                yield word, clock_text(one.times.observed, case.zone)
                break


def _authors(case: CaseSeen) -> _Found:
    names = ", ".join(dict.fromkeys(one.author for one in case.entries if one.author_confirmed))
    unsure = _count(tuple(one for one in case.entries if not one.author_confirmed))
    return names, f"Author to confirm: {unsure}." if unsure else ""


_FROM_ENTRIES: Mapping[str, Callable[[CaseSeen], _Found]] = {
    "weight": _weight,
    "date": _date,
    "drugs": _drugs,
    "drug_details": _detail("concentration"),
    "drug_expiry": _detail("expiry"),
    "agent": _agent,
    "carrier": _carrier,
    "depth": _depth,
    "temperature": _entries_of("temperature", "temperature_rectal", "temperature_gullet"),
    "heart_rate": _entries_of("heart_rate", "pulse_rate"),
    "respiratory_rate": _entries_of("respiratory_rate", "respiratory_rate_co2"),
    "blood_pressure": _pressure,
    "events": _events,
    "end": _end,
    "awake": _awake,
    "authors": _authors,
}
