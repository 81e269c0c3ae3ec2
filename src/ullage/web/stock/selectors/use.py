"""How fast things are used: from the ledger, from changes of cylinders, from planned cases."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from typing import Any

from ullage.answers.stock import UseSeen, case_load_l, takes_absorbent
from ullage.reference import sourced
from ullage.web.days.selectors import CaseState, PlannedCase
from ullage.web.sites.selectors import Site
from ullage.web.stock.models import FittedKind, ItemKind, MoveKind, StockItem, StockMove
from ullage.web.supply.selectors import Cylinder, CylinderEvent, Source, full_l_of

__all__ = ["Seen", "flows_of", "seen_at", "use_of"]

#: A record reaches back so far, and speaks for itself after so many weeks.
_WEEKS = 26
_ENOUGH_WEEKS = 4
_AHEAD_DAYS = 7
_WEEK = timedelta(days=7)
#: More than this asked for in a week is no plan of a shelf.
_MOST = 5000.0
_SHARED = ("cylinder", "sequence", "manifold")


@dataclass(frozen=True, slots=True, kw_only=True)
class Seen:
    """All that the uses of one site rest on; as many queries for one thing as for all."""

    site: Site
    now: datetime
    used: Mapping[int, list[tuple[datetime, int]]]
    connected: list[tuple[datetime, str, str]]
    first_at: datetime | None
    cases: list[PlannedCase]
    fed: Mapping[int, set[tuple[str, str]]]
    full_l: Mapping[tuple[str, str], float]
    filling_kg: Mapping[int, float] = field(default_factory=dict)


def seen_at(site: Site, items: Iterable[StockItem], now: datetime) -> Seen:
    """Read what was used since half a year, and what is planned for a week."""
    since = now - _WEEKS * _WEEK
    used: dict[int, list[tuple[datetime, int]]] = {}
    moves = StockMove.objects.filter(
        item__in=list(items), kind=MoveKind.USED, at__gte=since, undone_by=None
    )
    for pk, at, full in moves.order_by("at").values_list("item_id", "at", "full"):
        used.setdefault(pk, []).append((at, -full))
    changes = CylinderEvent.objects.filter(
        cylinder__site=site, kind="connected", at__gte=since, at__lte=now
    )
    connected = list(changes.order_by("at").values_list("at", "cylinder__gas", "cylinder__size"))
    first = CylinderEvent.objects.filter(cylinder__site=site).order_by("at").first()
    fed, full_l = _fed(site)
    return Seen(
        site=site,
        now=now,
        used=used,
        connected=connected,
        first_at=first.at if first else None,
        cases=_planned_cases(site, now),
        fed=fed,
        full_l=full_l,
        filling_kg=_fillings(site),
    )


def _planned_cases(site: Site, now: datetime) -> list[PlannedCase]:
    ahead = now + timedelta(days=_AHEAD_DAYS)
    found = PlannedCase.objects.filter(
        site=site, state=CaseState.PLANNED, starts_at__gte=now, starts_at__lt=ahead
    )
    return list(found.select_related("machine"))


def _fed(site: Site) -> tuple[dict[int, set[tuple[str, str]]], dict[tuple[str, str], float]]:
    """By machine, the cylinders (gas, size) that feed it; and what a full one holds."""
    sources = Source.objects.filter(
        site=site, kind__in=_SHARED, reserve_of=None, retired_at=None
    ).prefetch_related("machines", "cylinders")
    fed: dict[int, set[tuple[str, str]]] = {}
    for source in sources:
        sizes = {(one.gas, one.size) for one in source.cylinders.all() if one.state == "in_use"}
        for machine in source.machines.all():
            fed.setdefault(machine.pk, set()).update(sizes)
    full_l: dict[tuple[str, str], float] = {}
    for one in Cylinder.objects.filter(site=site).exclude(state="returned"):
        litres = full_l_of(one, site)
        if litres:
            full_l.setdefault((one.gas, one.size), litres)
    return fed, full_l


def _fillings(site: Site) -> dict[int, float]:
    """[kg] that a filling holds, by machine."""
    rows = site.fitted.filter(kind=FittedKind.ABSORBENT, taken_out_at=None)
    found = rows.values_list("machine_id", "mass_kg")
    return {pk: kg for pk, kg in found if pk is not None and kg is not None}


def use_of(item: StockItem, seen: Seen) -> UseSeen:
    """What is known of the use of one thing."""
    counts = _counts(item, seen)
    usual = item.usual_per_week
    if usual is not None and len(counts) < _ENOUGH_WEEKS:
        counts = ()
    return UseSeen(
        counts=counts,
        usual_per_week=usual,
        planned_pieces=_planned(item, seen),
        planned_days=float(_AHEAD_DAYS),
    )


def _counts(item: StockItem, seen: Seen) -> tuple[int, ...]:
    """Pieces taken in each whole week up to now, the oldest first."""
    taken = taken_at(item, seen)
    begun = seen.first_at if item.kind in {ItemKind.CYLINDER, ItemKind.SEAL} else None
    begun = min([at for at in (begun, *(at for at, _ in taken), item.added_at) if at is not None])
    weeks = min(_WEEKS, int((seen.now - begun) / _WEEK))
    found = [0] * weeks
    for at, count in taken:
        back = int((seen.now - at) / _WEEK)
        if back < weeks:
            found[weeks - 1 - back] += count
    return tuple(found)


def taken_at(item: StockItem, seen: Seen) -> list[tuple[datetime, int]]:
    """When how many were taken: cylinders as they were connected, a seal with each of them."""
    if item.kind == ItemKind.CYLINDER:
        return [
            (at, 1)
            for at, gas, size in seen.connected
            if gas == item.gas and item.size in {"", size}
        ]
    if item.kind == ItemKind.SEAL:
        return [(at, 1) for at, *_ in seen.connected] + list(seen.used.get(item.pk, ()))
    return list(seen.used.get(item.pk, ()))


def _planned(item: StockItem, seen: Seen) -> float | None:
    """Pieces that the cases of the next days ask for; None where a plan says nothing of it."""
    if item.kind == ItemKind.CYLINDER:
        found = sum(_cylinders(case, item, seen) for case in seen.cases)
    elif item.kind == ItemKind.ABSORBENT:
        found = sum(_fillings_used(case, seen) for case in seen.cases)
    else:
        return None
    return min(found, _MOST) or None


def _cylinders(case: PlannedCase, item: StockItem, seen: Seen) -> float:
    for gas, size in seen.fed.get(case.machine_id, ()):
        if gas == item.gas and item.size in {"", size} and (gas, size) in seen.full_l:
            name = f"{gas.replace(' ', '_')}_l_min"
            litres = sum((one.get(name) or 0.0) * one["minutes"] for one in case.phases)
            return float(litres / seen.full_l[gas, size])
    return 0.0


def _fillings_used(case: PlannedCase, seen: Seen) -> float:
    kg = seen.filling_kg.get(case.machine_id)
    if kg is None or not takes_absorbent(case.system or case.machine.system):
        return 0.0
    load_l = case_load_l(case.species, case.weight_kg, flows_of(case.phases))
    cautious = sourced("breathing", "absorbent.cautious_l_kg").value
    return (load_l or 0.0) / (kg * cautious)


def flows_of(phases: Iterable[Mapping[str, Any]]) -> list[tuple[float, float]]:
    """Minutes and whole fresh gas flow of each phase."""
    gases = ("oxygen_l_min", "air_l_min", "nitrous_oxide_l_min")
    return [(one["minutes"], sum(one.get(gas) or 0.0 for gas in gases)) for one in phases]
