"""Readings, settings, signs, events as observations; pressures of one moment as a panel."""

from collections.abc import Iterable, Iterator, Mapping
from typing import Any

from ullage.answers.record.codes import (
    coded_word,
    device_code,
    loinc_code,
    system_uri,
    units_of,
    without_annotation,
)
from ullage.answers.record.doubts import VARIABLE_KINDS
from ullage.answers.record.fhir.around import Around, device_of
from ullage.answers.record.fhir.parts import coding, lean, note, quantity, said
from ullage.answers.record.fixed import utc_text
from ullage.answers.record.standing import Change, Standing
from ullage.answers.record.things import EntryKind, EntryText
from ullage.answers.words import minutes_text
from ullage.reference.record import record_file, variable_rows

__all__ = ["held_in", "notes_of", "observations", "told"]

_GIVEN = {EntryKind.DRUG, EntryKind.FLUID}
_METHODS = ("cuff", "arterial", "pressure")
_PARTS = ("systolic", "diastolic", "mean")


def observations(around: Around) -> Iterator[dict[str, Any]]:
    """Every entry that is no drug and no fluid, in the order of time."""
    panels, inside = _panels(around)
    for one in around.standing.entries:
        if one.entry.order in panels:
            yield _panel(panels[one.entry.order], around)
        if one.entry.kind not in _GIVEN and one.entry.order not in inside:
            yield _single(one, around)


def held_in(around: Around) -> dict[int, str]:
    """The resource that holds each entry, by its order number: two entries may have one id."""
    panels, _ = _panels(around)
    single = {one.entry.order: around.id_of(*_named(one)) for one in around.standing.entries}
    inside = {
        one.entry.order: around.id_of(*_named_panel(parts))
        for parts in panels.values()
        for one in parts
    }
    return {**single, **inside}


def _panels(around: Around) -> tuple[dict[int, list[Standing]], set[int]]:
    """Pressures of one animal, method and moment; by the order of the first, and all inside."""
    moments: dict[tuple[Any, ...], dict[str, Standing]] = {}
    for one in around.standing.valid:
        method, _, part = one.entry.what.partition("_")
        if method in _METHODS and part in _PARTS and one.entry.number and _digits(one.entry):
            key = (one.entry.animal, method, one.entry.times.observed)
            moments.setdefault(key, {}).setdefault(part, one)
    several = [list(parts.values()) for parts in moments.values() if len(parts) > 1]
    firsts = {min(one.entry.order for one in parts): parts for parts in several}
    return firsts, {one.entry.order for parts in several for one in parts}


def _digits(entry: EntryText) -> dict[str, Any] | None:
    """The number of an entry with its unit; the code of the unit where it is on the whitelist."""
    if not entry.number:
        return None
    allowed = units_of(entry.what)
    code = entry.unit if entry.unit in allowed else ""
    if code and entry.what in record_file("exchange")["vital"]:
        code = without_annotation(code)
    return quantity(entry.number, entry.unit, code)


def _base(one: Standing, around: Around) -> dict[str, Any]:
    entry = one.entry
    return {
        "identifier": [{"value": said(entry.id) or "not recorded"}],
        "partOf": [around.procedure],
        "status": _status([one]),
        "subject": around.subject(entry.animal),
        "encounter": around.encounter,
        "effectiveDateTime": utc_text(entry.times.observed),
        "issued": utc_text(entry.times.received),
        "performer": _people([one]),
    }


def _people(several: Iterable[Standing]) -> list[dict[str, str]]:
    names = dict.fromkeys(said(one.entry.author) for one in several)
    return [{"display": one} for one in names if one]


def _status(several: list[Standing]) -> str:
    if any(one.is_withdrawn for one in several):
        return "entered-in-error"
    if any(one.is_amended for one in several):
        return "amended"
    return "final" if all(one.entry.author_confirmed for one in several) else "preliminary"


def _single(one: Standing, around: Around) -> dict[str, Any]:
    entry = one.entry
    return around.made(
        "Observation",
        _named(one),
        told(one),
        lean(
            {
                **_base(one, around),
                "category": _category(_is_vital(entry)),
                "code": _code(entry),
                **_value(entry),
                "note": notes_of(one),
                "device": device_of(one, around),
            }
        ),
    )


def _named(one: Standing) -> tuple[str, ...]:
    """What the id is made of: the order number keeps two lines with one id apart."""
    return "entry", one.entry.id, str(one.entry.order)


def _is_vital(entry: EntryText) -> bool:
    profile = record_file("exchange")["vital"].get(entry.what)
    return bool(profile and entry.number) and without_annotation(entry.unit) in profile["units"]


def _category(is_vital: bool) -> list[dict[str, Any]]:
    if not is_vital:
        return []
    return [{"coding": [{"system": system_uri("category"), "code": "vital-signs"}]}]


def _code(entry: EntryText, general: str = "") -> dict[str, Any]:
    """What was observed: verified codes, and its name."""
    row = variable_rows().get(entry.what) if entry.kind in VARIABLE_KINDS else None
    if row is None:
        word = coded_word(entry)
        codes = [coding(word.scheme, word.code, word.meaning)] if word else []
        name = entry.what if entry.kind is not EntryKind.TEXT else ""
        return lean({"coding": codes, "text": said(name) or entry.kind.words})
    vital = record_file("exchange")["vital"].get(entry.what, {}).get("code", "")
    listed = dict.fromkeys(one for one in (loinc_code(entry.what), general or vital) if one)
    device, name = device_code(entry.what)
    codes = [coding("loinc", one) for one in listed]
    codes += [coding("mdc", device, name)] if device else []
    return lean({"coding": codes, "text": row.name})


def _value(entry: EntryText) -> dict[str, Any]:
    """A number, a word of a list, the time of an event that is one, or the text."""
    number, word = _digits(entry), coded_word(entry)
    if number:
        return {"valueQuantity": number}
    if word and entry.kind is EntryKind.EVENT:
        return {"valueDateTime": utc_text(entry.times.observed)}
    if word:
        codes = [coding(word.scheme, word.code, word.meaning)]
        return {"valueCodeableConcept": {"coding": codes, "text": said(entry.typed)}}
    text = said(entry.typed) or (said(entry.what) if entry.kind is EntryKind.EVENT else "")
    text = text or said(f"{entry.number} {entry.unit}")
    return {"valueString": text} if text else {"dataAbsentReason": {"text": "not recorded"}}


def _panel(parts: list[Standing], around: Around) -> dict[str, Any]:
    """Systolic, diastolic and mean of one moment and method, each a component."""
    first = parts[0]
    panel = record_file("exchange")["panel"]
    is_vital = {"systolic", "diastolic"} <= {_part(one) for one in parts} and all(
        one.entry.unit == "mm[Hg]" for one in parts
    )
    return around.made(
        "Observation",
        _named_panel(parts),
        [line for one in parts for line in told(one)],
        lean(
            {
                **_base(first, around),
                "identifier": [{"value": said(one.entry.id) or "not recorded"} for one in parts],
                "status": _status(parts),
                "issued": utc_text(max(one.entry.times.received for one in parts)),
                "performer": _people(parts),
                "category": _category(is_vital),
                "code": {
                    "coding": [coding("loinc", panel["code"]["code"])],
                    "text": "Blood pressure",
                },
                "note": [line for one in parts for line in notes_of(one, _name(one.entry))],
                "device": device_of(first, around),
                "component": [
                    {
                        "code": _code(one.entry, panel[_part(one)]["code"]),
                        "valueQuantity": _digits(one.entry),
                    }
                    for one in parts
                ],
            }
        ),
    )


def _named_panel(parts: list[Standing]) -> tuple[str, ...]:
    return "panel", *(word for one in parts for word in (one.entry.id, str(one.entry.order)))


def _part(one: Standing) -> str:
    return one.entry.what.partition("_")[2]


def _name(entry: EntryText) -> str:
    row = variable_rows().get(entry.what) if entry.kind in VARIABLE_KINDS else None
    return row.name if row else entry.what.strip() or entry.kind.words


def told(one: Standing) -> list[str]:
    """An entry in words: what, as typed, when, by whom, what happened to it."""
    entry = one.entry
    times, author = entry.times, entry.author.strip() or "not recorded"
    when = f"Seen {utc_text(times.observed)}, written {utc_text(times.written)}, by {author}."
    shown = "" if entry.kind in _GIVEN and not entry.typed.strip() else f": {_shown(entry)}"
    first = f"{_name(entry)}{shown}. {when}"
    return [first, *(found["text"] for found in notes_of(one))]


def _shown(entry: EntryText) -> str:
    return entry.typed.strip() or f"{entry.number} {entry.unit}".strip() or "no value"


def notes_of(one: Standing, of: str = "") -> list[dict[str, Any]]:
    """Remarks of an entry: late, author to confirm, details, every correction with its reason."""
    entry, begins = one.entry, f"{of}: " if of else ""
    found = []
    if one.is_late:
        late = minutes_text(entry.times.late_by_min)
        found.append(note(f"{begins}Late entry: written {late} after it was seen."))
    if not entry.author_confirmed:
        found.append(note(f"{begins}Author to confirm."))
    if entry.details:
        found.append(note(f"{begins}As typed: {_listed(entry.details)}.", entry.author))
    return [*found, *(_correction(change, begins) for change in one.changes)]


def _listed(details: Mapping[str, str]) -> str:
    return "; ".join(f"{name}: {text}" for name, text in details.items())


def _correction(change: Change, begins: str) -> dict[str, Any]:
    was, now, by = change.was, change.now, change.by
    before = f"was {_whole(was)}" if was else "names no entry"
    after = f"now {_whole(now)}" if now else "withdrawn"
    reason = by.reason.strip() or "not recorded"
    text = f"{begins}Amended: {before}; {after}. Reason: {reason}"
    return note(text, by.author, by.times.received)


def _whole(entry: EntryText) -> str:
    details = f" ({_listed(entry.details)})" if entry.details else ""
    return f"{_shown(entry)}, seen {utc_text(entry.times.observed)}{details}"
