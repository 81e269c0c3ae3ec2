"""Who and what a record is of: animals, group, episode, anaesthetic, place, devices."""

from collections.abc import Iterator
from datetime import datetime
from typing import Any

from ullage.answers.record.codes import system_uri
from ullage.answers.record.fhir.around import Around
from ullage.answers.record.fhir.parts import lean, note, reference, said
from ullage.answers.record.fixed import utc_text
from ullage.answers.record.seen import NOT_RECORDED
from ullage.answers.record.things import EntryKind
from ullage.answers.words import figure
from ullage.reference.record import variable_rows

__all__ = ["about"]

_FLOWS = ("flow_oxygen", "flow_air", "flow_nitrous_oxide")


def about(around: Around) -> Iterator[dict[str, Any]]:
    """The resources that the others refer to."""
    if around.is_group:
        yield from (_patient(around, name) for name in around.animals)
        yield _group(around)
    else:
        yield _patient(around, around.fact("animal"))
    if _place(around) != NOT_RECORDED:
        yield _location(around)
    yield _encounter(around)
    yield _procedure(around)
    yield from _devices(around)


def _patient(around: Around, name: str) -> dict[str, Any]:
    """An animal. The species is text alone: no code for one was read."""
    breed = around.facts.get("strain", "").strip()
    parts = [
        _child("species", around.fact("species")),
        *([_child("breed", breed)] if breed else []),
    ]
    told = [
        f"Animal {name}; {key}: {around.fact(key)}."
        for key in ("species", "strain", "sex", "age", "weight", "source")
    ]
    return around.made(
        "Patient",
        ("animal", name),
        told,
        lean(
            {
                "extension": [{"url": system_uri("animal"), "extension": parts}],
                "identifier": [{"value": said(name) or NOT_RECORDED}],
                "gender": _gender(around.facts.get("sex", "")),
            }
        ),
    )


def _child(url: str, text: str) -> dict[str, Any]:
    return {"url": url, "valueCodeableConcept": {"text": said(text) or NOT_RECORDED}}


def _gender(sex: str) -> str:
    """Female or male where the record begins with the word; nothing is guessed."""
    first = sex.strip().lower().partition(" ")[0].strip(",;")
    return first if first in {"female", "male"} else ""


def _group(around: Around) -> dict[str, Any]:
    name = around.fact("animal")
    members = [{"entity": around.subject(one)} for one in around.animals]
    return around.made(
        "Group",
        ("group",),
        [f"Group {name}: {len(members)} animals that entries name."],
        {
            "identifier": [{"value": said(name) or NOT_RECORDED}],
            "type": "animal",
            "membership": "enumerated",
            "name": said(name) or NOT_RECORDED,
            "quantity": len(members),
            "member": members,
        },
    )


def _place(around: Around) -> str:
    return around.facts.get("place", "").strip() or around.given.place.strip() or NOT_RECORDED


def _location(around: Around) -> dict[str, Any]:
    pressure = around.given.air_pressure_kpa
    words = [one for one in (around.given.site.strip(), around.given.place.strip()) if one]
    if pressure is not None:
        words.append(f"Pressure of the air set for this place: {figure(pressure)} kPa.")
    return around.made(
        "Location",
        ("place",),
        [_place(around), *words],
        lean({"name": said(_place(around)), "description": said("; ".join(words))}),
    )


def _first(around: Around, word: str) -> datetime | None:
    return next(
        (
            one.entry.times.observed
            for one in around.standing.valid
            if one.entry.kind is EntryKind.EVENT and one.entry.what == word
        ),
        None,
    )


def _period(around: Around) -> tuple[str, dict[str, str]]:
    """How far the anaesthesia is, and from when to when, by its events alone."""
    began, ended = _first(around, "anaesthesia began"), _first(around, "anaesthesia ended")
    if began and ended and ended < began:
        ended = None
    status = "completed" if ended else "in-progress" if began else "unknown"
    return status, lean(
        {
            "start": utc_text(began) if began else "",
            "end": utc_text(ended) if ended else "",
        }
    )


def _encounter(around: Around) -> dict[str, Any]:
    status, period = _period(around)
    named = _place(around) != NOT_RECORDED
    place = {"location": reference(around.id_of("place"), _place(around))}
    return around.made(
        "Encounter",
        ("encounter",),
        [f"Record {around.record}; protocol: {around.fact('protocol')}."],
        lean(
            {
                "identifier": [{"value": said(around.record) or NOT_RECORDED}],
                "status": status,
                "subject": around.subject(),
                "actualPeriod": period,
                "location": [place] if named else [],
            }
        ),
    )


def _procedure(around: Around) -> dict[str, Any]:
    status, period = _period(around)
    people = said(around.facts.get("people", ""))
    protocol = said(around.facts.get("protocol", ""))
    what = said(around.facts.get("procedure", ""))
    return around.made(
        "Procedure",
        ("procedure",),
        [f"{key}: {text}." for key, text in around.facts.items()],
        lean(
            {
                "basedOn": [{"display": f"Protocol {protocol}"}] if protocol else [],
                "status": status,
                "code": {"text": "Anaesthesia"},
                "subject": around.subject(),
                "encounter": around.encounter,
                "occurrencePeriod": period,
                "performer": [{"actor": {"display": people}}] if people else [],
                "reason": [{"concept": {"text": what}}] if what else [],
                "note": list(_opened(around)),
            }
        ),
    )


def _opened(around: Around) -> Iterator[dict[str, Any]]:
    """The facts of the case as each line said them, by whom, when and why."""
    for one in around.standing.opened:
        listed = "; ".join(f"{key}: {text}" for key, text in one.facts.items()) or NOT_RECORDED
        why = f" Reason: {one.reason.strip()}" if one.reason.strip() else ""
        yield note(f"{listed}.{why}", one.author, one.times.received)


def _devices(around: Around) -> Iterator[dict[str, Any]]:
    machine, vaporizer = around.machine, around.vaporizer
    named = (one.entry.details.get("device", "").strip() for one in around.standing.entries)
    for name in dict.fromkeys(one for one in named if one):
        yield _device(around, ("device", name), name, "as an entry names it")
    if machine:
        yield _device(around, ("machine",), machine, "anaesthesia machine")
        yield from (_metric(around, key, "machine") for key in _FLOWS)
    if vaporizer:
        yield _device(around, ("vaporizer",), vaporizer, "vaporizer")
        yield _metric(around, "dial", "vaporizer")


def _device(around: Around, of: tuple[str, ...], name: str, what: str) -> dict[str, Any]:
    return around.made(
        "Device",
        of,
        [f"{name}, {what}"],
        {
            "name": [{"value": said(name) or NOT_RECORDED, "type": "user-friendly-name"}],
            "type": [{"text": what}],
        },
    )


def _metric(around: Around, key: str, of: str) -> dict[str, Any]:
    name = variable_rows()[key].name
    return around.made(
        "DeviceMetric",
        ("metric", key),
        [f"{name}: a setting"],
        {
            "type": {"text": name},
            "device": reference(around.id_of(of)),
            "category": "setting",
        },
    )
