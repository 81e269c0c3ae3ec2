"""Cylinders and sources of a site, as the list and the choices need them."""

from collections.abc import Iterable
from dataclasses import dataclass

from django.core.paginator import Page, Paginator
from django.db.models import Case, OuterRef, Prefetch, Q, QuerySet, Subquery, Value, When

from ullage.web.sites.selectors import Site
from ullage.web.supply.models import Cylinder, CylinderState, Reading, Source
from ullage.web.supply.selectors.readings import OPEN_QUESTION, stands
from ullage.web.supply.selectors.stored import Kept, kept_by_cylinder

__all__ = [
    "CylinderRow",
    "SupplyList",
    "cylinders_for_labels",
    "full_ones",
    "labels_list",
    "latest_of",
    "sources_of",
    "supply_list",
]

_PER_PAGE = 40

#: What stands at a site: everything that was not handed back.
_HERE = ~Q(state=CylinderState.RETURNED)


#: What gives gas now stands first, then what can, then the rest.
_RANK = Case(
    *(
        When(state=state, then=Value(rank))
        for rank, state in enumerate(("in_use", "part_used", "full", "quarantine", "empty"))
    ),
    default=Value(9),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class CylinderRow:
    """One line of the list: a cylinder, its last reading and its stored answers."""

    cylinder: Cylinder
    reading: Reading | None
    kept: Kept


@dataclass(frozen=True, slots=True, kw_only=True)
class SupplyList:
    """One page of cylinders with the counts of each state and gas at the site."""

    rows: tuple[CylinderRow, ...]
    page: Page[Cylinder]
    states: tuple[tuple[str, str, int], ...]
    gases: tuple[str, ...]
    total: int


def supply_list(
    site: Site, *, gas: str = "", state: str = "", find: str = "", page: int | str = 1
) -> SupplyList:
    """The cylinders of a site by state and name, filtered; a constant number of queries."""
    every = list(Cylinder.objects.filter(site=site).order_by().values_list("state", "gas"))
    counts = {value: sum(1 for one, _ in every if one == value) for value in CylinderState.values}
    wanted = _wanted(site, gas=gas, state=state, find=find)
    shown = Paginator(wanted, _PER_PAGE).get_page(page)
    cylinders = list(shown.object_list)
    kept = kept_by_cylinder(cylinders, ("contents",))
    readings = latest_of(cylinders)
    return SupplyList(
        rows=tuple(
            CylinderRow(cylinder=one, reading=readings.get(one.pk), kept=kept[one.pk])
            for one in cylinders
        ),
        page=shown,
        states=tuple((value, label, counts[value]) for value, label in CylinderState.choices),
        gases=tuple(sorted({one for _, one in every})),
        total=len(every),
    )


def _wanted(site: Site, *, gas: str, state: str, find: str) -> QuerySet[Cylinder]:
    found = Cylinder.objects.filter(site=site).select_related("source", "room")
    found = found.filter(state=state) if state else found.filter(_HERE)
    if gas:
        found = found.filter(gas=gas)
    if find:
        found = found.filter(
            Q(name__icontains=find) | Q(serial__icontains=find) | Q(size__iexact=find)
        )
    return found.order_by(_RANK, "gas", "name", "pk")


def latest_of(cylinders: Iterable[Cylinder]) -> dict[int, Reading]:
    """The latest reading that counts, for many cylinders; two queries."""
    latest = Reading.objects.filter(
        ~OPEN_QUESTION, stands(), cylinder=OuterRef("pk"), counts=True
    ).order_by("-at", "-pk")
    asked = Cylinder.objects.filter(pk__in=[one.pk for one in cylinders]).order_by()
    # The keys are fetched first: told apart, each query is answered from an index.
    keys = asked.annotate(latest=Subquery(latest.values("pk")[:1])).values_list("latest", flat=True)
    rows = Reading.objects.filter(pk__in=[key for key in keys if key is not None])
    return {row.cylinder_id: row for row in rows}


def full_ones(site: Site, gas: str) -> list[Cylinder]:
    """Cylinders of a gas in store that can go on next: the full ones before the part used."""
    found = Cylinder.objects.filter(
        site=site, gas=gas, state__in=(CylinderState.FULL, CylinderState.PART_USED)
    )
    return list(found.order_by("state", "name"))


def cylinders_for_labels(site: Site, codes: Iterable[str]) -> list[Cylinder]:
    """The cylinders whose labels are wanted; others and other sites' are left out."""
    return list(Cylinder.objects.filter(_HERE, site=site, code__in=list(codes)).order_by("name"))


def labels_list(site: Site) -> list[Cylinder]:
    """Every cylinder that may need a label, the latest received first."""
    found = Cylinder.objects.filter(_HERE, site=site)
    return list(found.order_by("-received_at", "name")[:200])


def sources_of(site: Site, gas: str = "") -> list[Source]:
    """The sources of a site with rooms, machines and cylinders; a constant number of queries."""
    fitted = Cylinder.objects.filter(state=CylinderState.IN_USE).order_by(
        "bank", "place_in_source", "name"
    )
    found = Source.objects.filter(site=site, retired_at=None)
    if gas:
        found = found.filter(gas=gas)
    return list(
        found.select_related("room", "reserve_of").prefetch_related(
            "machines", Prefetch("cylinders", queryset=fitted, to_attr="fitted")
        )
    )
