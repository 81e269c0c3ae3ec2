"""Which machines there are, what feeds them, and what was found along their chains."""

from typing import Any
from uuid import UUID

from django.http import Http404

from ullage.web.accounts.selectors import User
from ullage.web.machines.models import ChainRecord, Machine, MachineChange
from ullage.web.sites.selectors import Membership, Site

__all__ = [
    "ChainRecord",
    "Machine",
    "MachineChange",
    "chain_records_of",
    "last_chain_record",
    "machine_anywhere",
    "machine_changes",
    "machine_for",
    "machines_of",
    "sources_of",
]


def machines_of(site: Site) -> list[Machine]:
    """The machines of a site with their rooms, in the site's order."""
    return list(Machine.objects.filter(site=site).select_related("room"))


def machine_for(site: Site, code: UUID) -> Machine:
    """One machine of a site; any other is as if it did not exist (404)."""
    found = Machine.objects.filter(site=site, code=code).select_related("room", "site").first()
    if found is None:
        raise Http404
    return found


def machine_anywhere(user: User, code: UUID) -> Machine:
    """One machine of any site that the person belongs to; 404 for strangers."""
    mine = Membership.objects.filter(user=user).values("site")
    found = Machine.objects.filter(site__in=mine, code=code).select_related("room", "site").first()
    if found is None:
        raise Http404
    return found


def sources_of(machine: Machine) -> list[Any]:
    """The sources that feed a machine, with the cylinders on them."""
    found = machine.sources.select_related("room").prefetch_related("cylinders")
    return list(found.order_by("reserve_of", "order", "name"))


def chain_records_of(machine: Machine, count: int = 20) -> list[ChainRecord]:
    """What people found along the chain, the latest look first."""
    return list(ChainRecord.objects.filter(machine=machine).select_related("by")[:count])


def last_chain_record(machine: Machine) -> ChainRecord | None:
    """The latest look along the chain; None when nobody looked yet."""
    return ChainRecord.objects.filter(machine=machine).select_related("by").first()


def machine_changes(machine: Machine, count: int = 10) -> list[MachineChange]:
    """The last changes of a machine's facts, the newest first."""
    return list(MachineChange.objects.filter(machine=machine).select_related("by")[:count])
