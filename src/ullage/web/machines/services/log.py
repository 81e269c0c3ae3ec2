"""A change of a machine's facts, written with what it was before."""

from collections.abc import Mapping
from typing import Any

from ullage.web.accounts.selectors import User
from ullage.web.machines.models import Machine, MachineChange

__all__ = ["change_write", "plain"]


def plain(value: Any) -> Any:
    """A value as a log keeps it: plain ones as they are, a room by its name, a date as text."""
    return value if isinstance(value, (str, int, float, bool, type(None))) else str(value)


def change_write(*, machine: Machine, by: User, facts: Mapping[str, Any]) -> Machine:
    """Write what differs, and keep who, when, before and after."""
    before = {field: getattr(machine, field) for field in facts}
    after = {field: value for field, value in facts.items() if value != before[field]}
    if not after:
        return machine
    for field, value in after.items():
        setattr(machine, field, value)
    machine.save(update_fields=list(after))
    MachineChange.objects.create(
        machine=machine,
        by=by,
        before={field: plain(before[field]) for field in after},
        after={field: plain(value) for field, value in after.items()},
    )
    return machine
