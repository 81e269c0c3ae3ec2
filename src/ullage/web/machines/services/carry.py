"""Copy what a part carries to the machine it is on, where the chain and the day plan read it."""

from collections.abc import Iterable

from ullage.web.accounts.selectors import User
from ullage.web.machines.carried import carried_by, nothing_said
from ullage.web.machines.models import Machine, Part
from ullage.web.machines.services.log import change_write

__all__ = ["carried_fields", "carry", "carry_all"]


def carried_fields(machine: Machine) -> dict[str, object]:
    """What the parts on a machine carry now."""
    return carried_by(Part.objects.filter(machine=machine, retired_at=None))


def carry(*, machine: Machine, by: User, before: dict[str, object]) -> None:
    """Bring the machine in line with its parts, given what they carried before.

    What was handed in may have been read a while ago: the row is read anew, and held.
    """
    now = carried_fields(machine)
    facts = {field: nothing_said(field) for field in before if field not in now} | now
    change_write(machine=Machine.objects.select_for_update().get(pk=machine.pk), by=by, facts=facts)
    for field, value in facts.items():
        setattr(machine, field, value)


def carry_all(machines: Iterable[int]) -> None:
    """Bring many machines in line with their parts at once, by their keys."""
    found = Machine.objects.filter(pk__in=list(machines)).prefetch_related("parts")
    touched = set()
    for machine in found:
        for field, value in carried_by(machine.parts.all()).items():
            setattr(machine, field, value)
            touched.add(field)
    if touched:
        Machine.objects.bulk_update(found, sorted(touched), batch_size=500)
