"""Which parts there are, where they are, and where they have been."""

from uuid import UUID

from django.db.models import Q

from ullage.web.accounts.selectors import User
from ullage.web.machines.models import Machine, Part, PartChange, PartMove
from ullage.web.sites.selectors import Site, own_or_404

__all__ = [
    "Part",
    "PartChange",
    "PartMove",
    "machine_moves",
    "machine_parts",
    "part_changes",
    "part_for",
    "part_moves",
    "parts_of",
]


def machine_parts(machine: Machine) -> list[Part]:
    """The parts on a machine, in its order."""
    found = Part.objects.filter(machine=machine, retired_at=None).select_related("machine")
    return list(found)


def parts_of(site: Site, kind: str | None = None, *, with_retired: bool = False) -> list[Part]:
    """The parts of a site, on machines and in store, each with its machine; one query."""
    found = Part.objects.filter(site=site).select_related("machine", "machine__room")
    if kind is not None:
        found = found.filter(kind=kind)
    return list(found if with_retired else found.filter(retired_at=None))


def part_for(user: User, code: UUID) -> Part:
    """One part of any site that the person belongs to; 404 for strangers."""
    return own_or_404(Part.objects.select_related("site", "machine", "state_by"), user, code)


def part_moves(part: Part) -> list[PartMove]:
    """Where a part has been, the last move first."""
    return list(part.moves.select_related("from_machine", "to_machine", "by"))


def machine_moves(machine: Machine, count: int = 20) -> list[PartMove]:
    """The parts that came to a machine or left it, the last first; without those added there."""
    found = PartMove.objects.filter(Q(from_machine=machine) | Q(to_machine=machine))
    found = found.exclude(from_machine=None, why="added")
    return list(found.select_related("part", "from_machine", "to_machine", "by")[:count])


def part_changes(part: Part) -> list[PartChange]:
    """What was changed of a part's facts, the newest first."""
    return list(part.changes.select_related("by"))
