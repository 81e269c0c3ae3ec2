"""Whether machines and parts may be used, why not, and who may lift that."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from ullage.answers.equipment import Missed
from ullage.web.accounts.selectors import User
from ullage.web.machines.models import Lift, Machine, Part, StateChange, UseState

__all__ = [
    "GRAVITY",
    "UNDO_MIN",
    "Fitness",
    "Lift",
    "StateChange",
    "UseState",
    "fitness_of",
    "may_lift",
    "state_changes",
    "undo_of",
]

_ROLES = {
    Lift.OPERATOR: {"operator", "lead", "veterinarian"},
    Lift.LEAD: {"lead", "veterinarian"},
    Lift.VETERINARIAN: {"veterinarian"},
}
#: From the mildest to the gravest.
GRAVITY = (UseState.IN_USE, UseState.IN_DOUBT, UseState.OUT)
#: [min] for which the author of a change may take it back.
UNDO_MIN = 15


def may_lift(thing: Machine | Part, role: str) -> bool:
    """Say whether a role may bring a machine or a part back into use."""
    return role in _ROLES[Lift(thing.state_lift)]


@dataclass(frozen=True, slots=True, kw_only=True)
class Fitness:
    """What a machine comes to: its own state, or the graver one that a part on it makes of it.

    ``reasons`` are sentences, the gravest first; ``parts`` are those that speak against it.
    """

    state: UseState
    reasons: tuple[str, ...]
    parts: tuple[Part, ...]

    @property
    def is_out(self) -> bool:
        """True where nothing may be planned or begun on it."""
        return self.state == UseState.OUT

    @property
    def why(self) -> str:
        """The reasons as one text."""
        return " ".join(self.reasons)


def fitness_of(machines: Iterable[Machine]) -> dict[int, Fitness]:
    """By machine: may it be used, and why not; two queries however many machines there are."""
    found = list(machines)
    bad: dict[int, list[Part]] = {}
    not_fit = Part.objects.filter(machine__in=found, retired_at=None).exclude(state=UseState.IN_USE)
    for part in not_fit:
        bad.setdefault(part.machine_id or 0, []).append(part)
    spare = _spare(bad)
    return {one.pk: _fitness(one, bad.get(one.pk, ()), spare) for one in found}


def _spare(bad: dict[int, list[Part]]) -> set[tuple[int, str]]:
    """The machines, with the kinds of part, on which another one stands in for a bad one."""
    asked = [part for parts in bad.values() for part in parts if _may_be_spared(part)]
    if not asked:
        return set()
    fit = Part.objects.filter(
        machine__in={part.machine_id for part in asked},
        kind__in={part.kind for part in asked},
        retired_at=None,
        state=UseState.IN_USE,
    )
    return set(fit.values_list("machine", "kind"))


def _may_be_spared(part: Part) -> bool:
    return part.state == UseState.OUT and part.row.missed is Missed.STOPS_UNLESS_SPARE


def _fitness(machine: Machine, parts: Sequence[Part], spare: set[tuple[int, str]]) -> Fitness:
    said = [(UseState(machine.state), machine.state_reason)]
    said += [(_makes(part, spare), _sentence(part)) for part in parts]
    said.sort(key=lambda one: GRAVITY.index(one[0]), reverse=True)
    reasons = (_ended(words) for _, words in said if words)
    return Fitness(state=said[0][0], reasons=tuple(dict.fromkeys(reasons)), parts=tuple(parts))


def _ended(words: str) -> str:
    """A reason as a sentence, so that another one may follow."""
    told = words.strip()
    return told if told.endswith((".", "!", "?")) else f"{told}."


def _makes(part: Part, spare: set[tuple[int, str]]) -> UseState:
    """What a machine is with this part on it."""
    if part.state != UseState.OUT or part.row.missed is Missed.DOUBTS:
        return UseState.IN_DOUBT
    return UseState.IN_DOUBT if (part.machine_id, part.kind) in spare else UseState.OUT


def _sentence(part: Part) -> str:
    """A part that may not be used, in words, with its own reason."""
    named = (
        part.name if part.name.lower() == part.row.name.lower() else f"{part.row.name} {part.name}"
    )
    return f"{named} is {part.get_state_display().lower()}: {part.state_reason}"


def state_changes(thing: Machine | Part, count: int = 20) -> list[StateChange]:
    """The last changes of state of a machine or a part, the newest first."""
    return list(thing.state_changes.select_related("by")[:count])


def undo_of(thing: Machine | Part, user: User, now: datetime) -> StateChange | None:
    """The change of state that a person may still take back; None where there is none."""
    last = thing.state_changes.first()
    fresh = last is not None and now - last.at <= timedelta(minutes=UNDO_MIN)
    if last is None or not fresh or last.by_id != user.pk or last.record_code is not None:
        return None
    return last
