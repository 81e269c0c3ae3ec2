"""Every write to machines, their parts, their states, and what was found along their chains."""

from ullage.web.machines.services.machines import (
    chain_record_add,
    machine_add,
    machine_back,
    machine_change,
    machine_out,
)
from ullage.web.machines.services.parts import (
    PartFacts,
    part_add,
    part_change,
    part_move,
    part_move_undo,
    part_restore,
    part_retire,
    parts_write,
)
from ullage.web.machines.services.states import state_set, state_undo

__all__ = [
    "PartFacts",
    "chain_record_add",
    "machine_add",
    "machine_back",
    "machine_change",
    "machine_out",
    "part_add",
    "part_change",
    "part_move",
    "part_move_undo",
    "part_restore",
    "part_retire",
    "parts_write",
    "state_set",
    "state_undo",
]
