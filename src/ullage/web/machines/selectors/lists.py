"""The parts of a site as a list that can be asked, and what labels may be printed for."""

from collections.abc import Iterable
from dataclasses import dataclass

from django.core.paginator import Page, Paginator
from django.db.models import Q

from ullage.answers.equipment import PART_KINDS
from ullage.web.machines.models import Machine, Part, UseState
from ullage.web.sites.selectors import Site

__all__ = ["PartList", "labelled", "part_list", "parts_to_label"]

_PER_PAGE = 40
#: So many parts stand on the page of labels.
_TO_LABEL = 200


@dataclass(frozen=True, slots=True, kw_only=True)
class PartList:
    """One page of parts, and how many there are of each kind."""

    page: Page[Part]
    kinds: tuple[tuple[str, str, int], ...]
    total: int


def part_list(
    site: Site, *, kind: str = "", where: str = "", find: str = "", page: int | str = 1
) -> PartList:
    """The parts of a site, filtered; ``where`` is ``store``, ``bad``, ``gone`` or empty."""
    every = list(
        Part.objects.filter(site=site, retired_at=None).order_by().values_list("kind", flat=True)
    )
    found = Part.objects.filter(_asked(where), site=site)
    if kind in PART_KINDS:
        found = found.filter(kind=kind)
    for word in find.split():
        found = found.filter(
            Q(name__icontains=word) | Q(serial__icontains=word) | Q(machine__name__icontains=word)
        )
    ordered = found.select_related("machine").order_by(
        "machine__order", "machine__name", "order", "pk"
    )
    return PartList(
        page=Paginator(ordered, _PER_PAGE).get_page(page),
        kinds=tuple((row.key, row.plural, every.count(row.key)) for row in PART_KINDS.values()),
        total=len(every),
    )


def _asked(where: str) -> Q:
    if where == "gone":
        return Q(retired_at__isnull=False)
    here = Q(retired_at=None)
    if where == "store":
        return here & Q(machine=None)
    return here & ~Q(state=UseState.IN_USE) if where == "bad" else here


def parts_to_label(site: Site, chosen: Iterable[str]) -> tuple[list[Part], int]:
    """The parts that a page of labels offers, those asked for first; and how many it leaves out."""
    asked = set(chosen)
    every = Part.objects.filter(site=site, retired_at=None).select_related("machine")
    ordered = every.order_by("machine__order", "machine__name", "order", "pk")
    found = [*ordered.filter(code__in=[one for one in asked if one]), *ordered[:_TO_LABEL]]
    offered = list({one.pk: one for one in found}.values())
    return offered, every.count() - len(offered)


def labelled(site: Site, codes: Iterable[str]) -> tuple[list[Machine], list[Part]]:
    """The machines and parts of a site among these codes."""
    asked = list(codes)
    machines = Machine.objects.filter(site=site, code__in=asked).select_related("room")
    parts = Part.objects.filter(site=site, code__in=asked).select_related("machine")
    return list(machines), list(parts)
