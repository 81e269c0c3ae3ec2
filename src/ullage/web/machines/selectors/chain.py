"""A machine, its source and what people found there, turned into a chain that can be judged."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import datetime
from enum import StrEnum
from functools import lru_cache
from types import NoneType
from typing import Any, get_args, get_type_hints
from uuid import UUID

from django.http import Http404
from django.utils import timezone

from ullage.answers import Answer, cylinder_contents
from ullage.answers.chain_questions import QUESTIONS
from ullage.answers.chain_things import Chain, Contents, PlannedFlow, Stored
from ullage.answers.held import shown_l
from ullage.answers.plan import SourceKind
from ullage.answers.things import Cylinder, Gas, Place, Reading
from ullage.core.errors import UllageError
from ullage.web.accounts.selectors import User
from ullage.web.machines.models import Machine
from ullage.web.machines.selectors.machines import chain_records_of, sources_of

__all__ = [
    "ASKED",
    "Asked",
    "Look",
    "asked_of",
    "chain_of",
    "in_use_on",
    "looks_of",
    "source_of",
]

#: Part of the chain -> what a person is asked there. The rest is known from rows.
ASKED: Mapping[str, tuple[str, ...]] = {
    "identity": ("label_gas", "colour", "connection", "adapted", "analyser_fraction"),
    "secured": ("held", "upright", "chain_above_middle"),
    "contents": ("second_source",),
    "seal": ("takes_seal", "count", "new", "kind", "damaged", "greased"),
    "oil_free": ("clean",),
    "regulator": ("kind", "still_gauge_kpa", "flowing_gauge_kpa", "creeps"),
    "hose": ("fitted", "ends_gas", "colour", "rated", "laboratory_tubing", "damaged"),
    "flowmeter": ("gas", "float_free"),
    "reserve": ("present", "gauge_kpa", "full_gauge_kpa", "wrench", "valve_closed"),
    "bag": ("present", "fits"),
    "ventilator": ("lowest_gauge_kpa", "highest_gauge_kpa", "peak_flow_l_min", "supply_flow_l_min"),
    "magnet": ("cylinder_material", "regulator_marked"),
    "storage": ("enclosed",),
}
#: What belongs to the cylinder on the source: a look before it was fitted says nothing of it.
_OF_THE_CYLINDER = frozenset({"identity", "secured", "contents", "seal", "oil_free"})
#: What is asked of today alone.
_OF_TODAY = frozenset({("reserve", "gauge_kpa"), ("bag", "fits")})


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """One question to a person: the field, its words, and the type of what may be answered."""

    part: str
    field: str
    question: str
    kind: type[Any]


@dataclass(frozen=True, slots=True, kw_only=True)
class Look:
    """What somebody found at one field, when, and who."""

    value: Any
    at: datetime
    by: User


def _part_type(part: str) -> type[Any]:
    found: type[Any] = get_type_hints(Chain)[part]
    return found


def asked_of(part: str) -> tuple[Asked, ...]:
    """The questions at one part of the chain, in their order."""
    owner = _part_type(part)
    hints = get_type_hints(owner)
    return tuple(
        Asked(
            part=part,
            field=field,
            question=QUESTIONS[owner][field],
            kind=next(one for one in get_args(hints[field]) if one is not NoneType),
        )
        for field in ASKED.get(part, ())
    )


def source_of(machine: Machine, code: UUID) -> Any:
    """One of the sources that feed a machine; any other is as if it did not exist (404)."""
    found = next((one for one in sources_of(machine) if one.code == code), None)
    if found is None:
        raise Http404
    return found


def looks_of(machine: Machine, source: Any) -> dict[str, dict[str, Look]]:
    """The latest word on each field of a chain, as far as it still speaks of what is there."""
    fitted = _fitted(source)
    since = fitted.connected_at if fitted is not None else None
    today = timezone.localdate()
    found: dict[str, dict[str, Look]] = {}
    for record in reversed(chain_records_of(machine, source.code)):
        for part, fields in record.found.items():
            if part in _OF_THE_CYLINDER and since is not None and record.at < since:
                continue
            for field, value in fields.items():
                if (part, field) in _OF_TODAY and timezone.localdate(record.at) != today:
                    continue
                look = Look(value=value, at=record.at, by=record.by)
                found.setdefault(part, {})[field] = look
    return found


def chain_of(machine: Machine, source: Any, outlook: Any = None) -> Chain:
    """The chain from a source to the flowmeter of a machine, as far as anybody knows it.

    ``outlook`` is what today's plan comes to for this source (`left`, `left_at_end` and `needed`
    are read from it); without one, the outlook that is kept for today is taken.
    """
    from ullage.web.supply.selectors import place_of

    looks = looks_of(machine, source)
    parts = {part: _part(part, looks.get(part, {})) for part in ASKED}
    chain = Chain(
        gas=Gas(source.gas),
        source=SourceKind(source.kind),
        place=place_of(machine.site, machine.room),
        colour_scheme=machine.site.gas_colours,
        country=machine.site.country,
        name=source.name,
        **parts,
    )
    return _with_rows(chain, machine, source, outlook or _kept_outlook(machine, source))


def _kept_outlook(machine: Machine, source: Any) -> Any:
    from ullage.web.days.selectors import source_outlook, today_at

    return source_outlook(machine.site, today_at(machine.site), source.pk)


def _part(part: str, looks: Mapping[str, Look]) -> Any:
    """One part from plain values; words become what the part takes."""
    owner = _part_type(part)
    kinds = {asked.field: asked.kind for asked in asked_of(part)}
    return owner(
        **{
            field: kinds[field](look.value) if issubclass(kinds[field], StrEnum) else look.value
            for field, look in looks.items()
            if field in kinds
        }
    )


def _with_rows(chain: Chain, machine: Machine, source: Any, outlook: Any) -> Chain:
    """Fill in what is known from rows: machine, room, cylinder, plan, store."""
    room, fitted = machine.room, _fitted(source)
    where = source.room or room
    driven = machine.ventilator in {"oxygen", "air"}
    contents = _contents(chain, machine, source)
    held = _held(contents, chain.place)
    return replace(
        chain,
        contents=replace(contents, needed_l=_needed_l(source, outlook, held, chain.place)),
        regulator=replace(chain.regulator, kind=chain.regulator.kind or _regulator(machine)),
        flowmeter=replace(
            chain.flowmeter,
            lowest_l_min=machine.flowmeter_min_l_min,
            highest_l_min=machine.flowmeter_max_l_min,
            flows=_flows(machine, source.gas),
        ),
        ventilator=replace(
            chain.ventilator, fitted=machine.ventilator != "none", gas_driven=driven
        ),
        magnet=replace(
            chain.magnet,
            room_marked=room.is_magnet if room else None,
            cylinder_material=chain.magnet.cylinder_material or _material(fitted),
        ),
        room_air=replace(
            chain.room_air,
            volume_m3=where.volume_m3 if where else None,
            changes_per_h=where.air_changes_per_h if where else None,
            escaping_l=_inside_l(held.high or held.value, chain.place) if held else None,
        ),
        storage=replace(
            chain.storage, stored=_stored(chain, machine), code=machine.site.storage_code or None
        ),
    )


def _regulator(machine: Machine) -> Any:
    from ullage.answers.chain_things import RegulatorKind

    return RegulatorKind(machine.regulator) if machine.regulator else None


def _material(fitted: Any) -> Any:
    from ullage.answers.chain_things import CylinderMaterial

    if fitted is None or not fitted.material:
        return None
    known = {one.value for one in CylinderMaterial}
    return CylinderMaterial(fitted.material if fitted.material in known else "other")


def in_use_on(source: Any) -> list[Any]:
    """The cylinders in use on a source, in the order in which they are drawn on."""
    in_use = [one for one in source.cylinders.all() if one.state == "in_use"]
    return sorted(in_use, key=lambda one: (one.bank, one.place_in_source))


def _fitted(source: Any) -> Any:
    """The cylinder in use on a source; where several share the work, the first of them."""
    return next(iter(in_use_on(source)), None)


def _contents(chain: Chain, machine: Machine, source: Any) -> Contents:
    """The cylinder and its last reading; of several that share the work, the fullest."""
    from ullage.web.sites.selectors import policy_of
    from ullage.web.supply.selectors import cylinder_thing, latest_of

    known = replace(chain.contents, policy=policy_of(machine.site))
    in_use = in_use_on(source)
    read = latest_of(in_use)
    in_use.sort(key=lambda one: _gauge(read.get(one.pk)), reverse=True)
    if not in_use:
        return known
    row = read.get(in_use[0].pk)
    return replace(
        known,
        cylinder=cylinder_thing(in_use[0]),
        reading=None
        if row is None
        else Reading(
            at_min=0.0,
            gauge_kpa=row.gauge_kpa,
            weight_kg=row.weight_kg,
            temperature_k=row.temperature_k,
        ),
    )


def _gauge(row: Any) -> float:
    return -1.0 if row is None or row.gauge_kpa is None else float(row.gauge_kpa)


def _held(contents: Contents, place: Place) -> Answer | None:
    """What the cylinder holds by its last reading; None where that says nothing."""
    if contents.cylinder is None or contents.reading is None:
        return None
    return _read_as(contents.cylinder, contents.reading, place)


@lru_cache(maxsize=256)
def _read_as(cylinder: Cylinder, reading: Reading, place: Place) -> Answer | None:
    """Kept for as long as nobody reads anew: the band costs many draws."""
    try:
        held = cylinder_contents(cylinder, reading, place)
    except UllageError:
        return None
    return held if held.value is not None or held.high is not None else None


def _inside_l(shown: float | None, place: Place) -> float | None:
    """[L] as they are counted inside, from litres as the place counts them."""
    return None if shown is None else shown / shown_l(1.0, place)


def _needed_l(source: Any, outlook: Any, held: Answer | None, place: Place) -> float | None:
    """What today's plan asks of this cylinder; what others on the same source hold comes first."""
    left_l, end_l, needed_l = (_value(outlook, name) for name in ("left", "left_at_end", "needed"))
    if left_l is None or end_l is None:
        return 0.0 if source.reserve_of_id is not None else None
    # Emptied by the plan: what it asks lies somewhere above what is left.
    asked_l = left_l - end_l if end_l > 0 or needed_l is None else needed_l
    elsewhere_l = left_l - held.value if held is not None and held.value is not None else 0.0
    return _inside_l(max(asked_l - max(elsewhere_l, 0.0), 0.0), place)


def _value(outlook: Any, name: str) -> float | None:
    """The number of one answer of an outlook, where there is one."""
    found = getattr(outlook, name, None)
    return None if found is None else found.value


def _flows(machine: Machine, gas: str) -> tuple[PlannedFlow, ...] | None:
    """The flows that today's cases set on this machine; the usual one where none is planned."""
    from ullage.web.days.selectors import cases_of, today_at

    today = [
        case
        for case in cases_of(machine.site, today_at(machine.site))
        if case.machine_id == machine.pk and case.state in {"planned", "running"}
    ]
    planned = {flow: None for case in today for flow in _case_flows(case, machine, gas)}
    if planned:
        return tuple(planned)
    if machine.usual_flow_l_min is None:
        return None
    return (PlannedFlow(flow_l_min=machine.usual_flow_l_min, system=machine.system),)


def _case_flows(case: Any, machine: Machine, gas: str) -> Iterable[PlannedFlow]:
    for phase in case.phases:
        flow_l_min = phase.get(f"{gas.replace(' ', '_')}_l_min") or 0.0
        if flow_l_min > 0:
            yield PlannedFlow(
                flow_l_min=flow_l_min,
                system=case.system or machine.system,
                weight_kg=case.weight_kg,
                species=case.species,
                label=case.name,
            )


def _stored(chain: Chain, machine: Machine) -> tuple[Stored, ...] | None:
    """What stands full or part used in the machine's room and feeds nothing."""
    if machine.room is None:
        return None
    from ullage.web.supply.selectors import store_lots

    found = machine.room.cylinders.filter(state__in=["full", "part_used"], source=None)
    return store_lots(found, machine.site)[0]
