"""Drugs, fluids and agents as administrations of a medicine."""

from collections.abc import Iterator
from typing import Any

from ullage.answers.record.codes import coded_word
from ullage.answers.record.fhir.around import Around
from ullage.answers.record.fhir.parts import coding, lean, note, quantity, said
from ullage.answers.record.fhir.readings import notes_of, told
from ullage.answers.record.fixed import utc_text
from ullage.answers.record.standing import Standing
from ullage.answers.record.things import EntryKind
from ullage.answers.record.words import MEASURES, measure
from ullage.core.errors import UnreadableQuantity

__all__ = ["administrations"]

#: Units of an amount, as against a dose by weight or a rate.
_AMOUNTS = frozenset({"mg", "ug", "mL", "uL", "L"})


def administrations(around: Around) -> Iterator[dict[str, Any]]:
    """Every drug and fluid, and each agent from when it was set until the next or the end."""
    for one in around.standing.entries:
        if one.entry.kind in {EntryKind.DRUG, EntryKind.FLUID}:
            yield _given(one, around)
    yield from _agents(around)


def _given(one: Standing, around: Around) -> dict[str, Any]:
    entry = one.entry
    people = (
        [{"actor": {"reference": {"display": said(entry.author)}}}] if said(entry.author) else []
    )
    return around.made(
        "MedicationAdministration",
        ("entry", entry.id, str(entry.order)),
        told(one),
        lean(
            {
                **_common(one, around),
                "status": "entered-in-error" if one.is_withdrawn else "completed",
                "medication": {"concept": {"text": said(entry.what) or "not recorded"}},
                "category": [{"text": entry.kind.words}],
                "occurenceDateTime": utc_text(entry.times.observed),
                "performer": people,
                "note": notes_of(one),
                "dosage": _dosage(one),
            }
        ),
    )


def _common(one: Standing, around: Around) -> dict[str, Any]:
    return {
        "identifier": [{"value": said(one.entry.id) or "not recorded"}],
        "partOf": [around.procedure],
        "subject": around.subject(one.entry.animal),
        "encounter": around.encounter,
        "recorded": utc_text(one.entry.times.received),
    }


def _dosage(one: Standing) -> dict[str, Any]:
    """Text as typed; an amount or a rate besides where it can be read as one."""
    details = one.entry.details
    written = {name: details[name].strip() for name in MEASURES if details.get(name, "").strip()}
    if not written and one.entry.typed.strip():
        written = {"as typed": one.entry.typed.strip()}
    dose = _amount(details, "volume") or _amount(details, "dose")
    return lean(
        {
            "text": said("; ".join(f"{name} {text}" for name, text in written.items()))
            or "not recorded",
            "route": {"text": said(details["route"])} if said(details.get("route", "")) else None,
            "dose": dose,
            "rateQuantity": _rate(details),
        }
    )


def _amount(details: Any, name: str) -> dict[str, Any] | None:
    found = _read(details, name)
    return found if found and found["code"] in _AMOUNTS else None


def _rate(details: Any) -> dict[str, Any] | None:
    for name in ("rate", "dose"):
        found = _read(details, name)
        if found and found["code"].endswith(("/h", "/min")):
            return found
    return None


def _read(details: Any, name: str) -> dict[str, Any] | None:
    try:
        found = measure(details.get(name, ""), MEASURES[name], name)
    except UnreadableQuantity:
        return None
    return quantity(found.number, found.unit, found.unit)


def _agents(around: Around) -> Iterator[dict[str, Any]]:
    """An agent goes on until the next is set or the anaesthesia ended; else its end is open."""
    set_to = [one for one in around.standing.valid if _is_agent(one)]
    for place, one in enumerate(set_to):
        yield _agent(one, _ends(one, set_to[place + 1 :], around), around)


def _ends(one: Standing, later: list[Standing], around: Around) -> str:
    """When an agent was followed by another, or the anaesthesia ended; empty where neither is."""
    same = [other for other in later if other.entry.animal == one.entry.animal]
    ended = [
        other
        for other in around.standing.valid
        if other.entry.kind is EntryKind.EVENT and other.entry.what == "anaesthesia ended"
    ]
    at = next((other.entry.times.observed for other in same or ended), None)
    return utc_text(at) if at is not None and at >= one.entry.times.observed else ""


def _agent(one: Standing, ends: str, around: Around) -> dict[str, Any]:
    entry, word = one.entry, coded_word(one.entry)
    codes = [coding(word.scheme, word.code, word.meaning)] if word else []
    levels = "Levels are the observations of the dial and of measured gases."
    return around.made(
        "MedicationAdministration",
        ("agent", entry.id, str(entry.order)),
        [*told(one), levels],
        lean(
            {
                **_common(one, around),
                "status": "completed" if ends else "unknown",
                "medication": {"concept": lean({"coding": codes, "text": said(entry.typed)})},
                "category": [{"text": "inhalant agent"}],
                "occurencePeriod": lean({"start": utc_text(entry.times.observed), "end": ends}),
                "note": [note(levels)],
                "dosage": {"text": "by inhalation; the level is in the observations of the dial"},
            }
        ),
    )


def _is_agent(one: Standing) -> bool:
    entry = one.entry
    return entry.kind is EntryKind.SETTING and entry.what == "agent" and bool(said(entry.typed))
