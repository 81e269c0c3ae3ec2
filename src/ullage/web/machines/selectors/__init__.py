"""Which machines there are, what feeds them, and what was found along their chains."""

from ullage.web.machines.selectors.chain import (
    ASKED,
    Asked,
    Look,
    asked_of,
    chain_of,
    in_use_on,
    looks_of,
    source_of,
)
from ullage.web.machines.selectors.machines import (
    ChainRecord,
    Machine,
    MachineChange,
    chain_records_of,
    machine_anywhere,
    machine_changes,
    machines_fed,
    machines_of,
    sources_of,
)

__all__ = [
    "ASKED",
    "Asked",
    "ChainRecord",
    "Look",
    "Machine",
    "MachineChange",
    "asked_of",
    "chain_of",
    "chain_records_of",
    "in_use_on",
    "looks_of",
    "machine_anywhere",
    "machine_changes",
    "machines_fed",
    "machines_of",
    "source_of",
    "sources_of",
]
