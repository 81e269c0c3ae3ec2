"""A change of a machine's facts, written with what it was before."""

from collections.abc import Mapping
from typing import Any

from ullage.web.accounts.selectors import User
from ullage.web.machines.models import Machine, MachineChange
from ullage.web.shared.changes import plain_row, write_differing

__all__ = ["change_write"]


def change_write(*, machine: Machine, by: User, facts: Mapping[str, Any]) -> Machine:
    """Write what differs, and keep who, when, before and after."""
    before, after = write_differing(machine, facts)
    if after:
        MachineChange.objects.create(
            machine=machine, by=by, before=plain_row(before), after=plain_row(after)
        )
    return machine
