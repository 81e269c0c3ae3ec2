"""Which machines there are, what feeds them, and what was found along their chains."""

from typing import Any
from uuid import UUID

from ullage.web.accounts.selectors import User
from ullage.web.machines.models import ChainRecord, Machine, MachineChange
from ullage.web.sites.selectors import Site, own_or_404

__all__ = [
    "ChainRecord",
    "Machine",
    "MachineChange",
    "chain_records_of",
    "machine_anywhere",
    "machine_changes",
    "machines_fed",
    "machines_of",
    "sources_of",
]


def machines_of(site: Site) -> list[Machine]:
    """The machines of a site with their rooms, in the site's order."""
    return list(Machine.objects.filter(site=site).select_related("room"))


def machines_fed(site: Site) -> list[Machine]:
    """The machines of a site, each with its sources and their cylinders; four queries."""
    found = Machine.objects.filter(site=site).select_related("room")
    return list(found.prefetch_related("sources__cylinders"))


def machine_anywhere(user: User, code: UUID) -> Machine:
    """One machine of any site that the person belongs to; 404 for strangers."""
    return own_or_404(Machine.objects.select_related("room", "site"), user, code)


def sources_of(machine: Machine) -> list[Any]:
    """The sources that feed a machine, its reserves last, each with the cylinders on it."""
    found = machine.sources.filter(retired_at=None).select_related("room", "reserve_of")
    return sorted(
        found.prefetch_related("cylinders"),
        key=lambda one: (one.reserve_of_id is not None, one.order, one.name),
    )


def chain_records_of(machine: Machine, source_code: UUID | None = None) -> list[ChainRecord]:
    """What people found along the chains of a machine, or along one, the latest look first."""
    found = ChainRecord.objects.filter(machine=machine).select_related("by")
    if source_code is not None:
        found = found.filter(source_code=source_code)
    return list(found[:200])


def machine_changes(machine: Machine, count: int = 10) -> list[MachineChange]:
    """The last changes of a machine's facts, the newest first."""
    return list(MachineChange.objects.filter(machine=machine).select_related("by")[:count])
