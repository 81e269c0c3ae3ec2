"""The machine or the part on a page, with its site entered."""

from uuid import UUID

from django.core.exceptions import PermissionDenied

from ullage.web.machines.selectors import Machine, Part, machine_anywhere, may_lift, part_for
from ullage.web.shared.access import enter
from ullage.web.shared.http import SiteRequest

__all__ = ["demand_lift", "machine_at", "part_at"]


def machine_at(request: SiteRequest, code: UUID, what: str = "look") -> Machine:
    """The machine; 404 for strangers, 403 for too small a role."""
    machine = machine_anywhere(request.user, code)
    enter(request, machine.site, what)
    return machine


def part_at(request: SiteRequest, code: UUID, what: str = "look") -> Part:
    """The part; 404 for strangers, 403 for too small a role."""
    part = part_for(request.user, code)
    enter(request, part.site, what)
    return part


def demand_lift(request: SiteRequest, thing: Machine | Part) -> None:
    """Refuse with a sentence (403) where the role may not bring it back into use."""
    if not may_lift(thing, request.membership.role):
        who = thing.get_state_lift_display()
        raise PermissionDenied(f"{who} can bring {thing} back into use.")
