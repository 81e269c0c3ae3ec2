"""What the room of cases says of the records that are kept: those that are open, those of a day."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime

from ullage.web.sites.selectors import Site

__all__ = ["RecordSaid", "Recorded", "recorded", "recorded_from"]


@dataclass(frozen=True, slots=True, kw_only=True)
class RecordSaid:
    """One record: of which case and machine, in which state, and where its page is."""

    name: str
    machine: str
    machine_pk: int
    planned_pk: int | None
    state: str
    is_open: bool
    since: datetime
    url: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Recorded:
    """The records that are open at a site, and those of the planned cases that were asked about.

    ``waits``: how many entries wait for a lead; it is only counted for one who may decide.
    """

    open: tuple[RecordSaid, ...] = ()
    by_plan: Mapping[int, RecordSaid] = field(default_factory=dict)
    waits: int = 0
    waits_url: str = ""


#: Given a site, the planned cases that are asked about, and whether what waits is counted.
type _Speaker = Callable[[Site, Sequence[int], bool], Recorded]

_SPEAKERS: list[_Speaker] = []


def recorded_from(speaker: _Speaker) -> None:
    """Let the room of cases speak on its records; called when its app is ready."""
    _SPEAKERS[:] = [speaker]


def recorded(site: Site, plans: Sequence[int] = (), *, count_waits: bool = False) -> Recorded:
    """The records of a site as far as a day asks for them; one query, two where waits count."""
    for speaker in _SPEAKERS:
        return speaker(site, plans, count_waits)
    return Recorded()
