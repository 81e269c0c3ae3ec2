"""Facts of a machine that stand on a part where one is fitted: one home for each of them.

The chain and the day plan read them at the machine. The service that writes a part copies them
there; the form of the machine leaves them to the part for as long as it is fitted.
"""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from ullage.web.machines.models import Machine, Part, UseState

__all__ = ["CARRIED", "Carried", "carried_by", "nothing_said"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Carried:
    """A fact of a machine: which kind of part it stands on, and which parts of the kind count.

    ``together`` makes one value of what several parts say; by default the first one speaks.
    """

    field: str
    kind: str
    fact: str
    where: Mapping[str, tuple[str, ...]]
    together: Callable[[list[Any]], Any] = lambda said: said[0]

    def of(self, parts: Iterable[Part]) -> Any:
        """What the parts say; None where none of them says it."""
        said = [one.facts[self.fact] for one in parts if self._speaks(one)]
        return self.together(said) if said else None

    def _speaks(self, part: Part) -> bool:
        return (
            part.kind == self.kind
            and self.fact in part.facts
            and all(part.facts.get(name, "") in among for name, among in self.where.items())
        )


def _one_word(said: list[Any]) -> Any:
    """The word that all say; nothing where they differ."""
    return said[0] if len(set(said)) == 1 else None


_OXYGEN = {"gas": ("oxygen",)}
_OXYGEN_OR_UNSAID = {"gas": ("oxygen", "")}

CARRIED = (
    Carried(
        field="flowmeter_min_l_min",
        kind="flowmeter",
        fact="lowest_l_min",
        where=_OXYGEN,
        together=min,
    ),
    Carried(
        field="flowmeter_max_l_min",
        kind="flowmeter",
        fact="highest_l_min",
        where=_OXYGEN,
        together=max,
    ),
    Carried(
        field="float_kind", kind="flowmeter", fact="float_kind", where=_OXYGEN, together=_one_word
    ),
    Carried(field="flow_sd_share", kind="flowmeter", fact="sd_share", where=_OXYGEN, together=max),
    Carried(field="ventilator", kind="ventilator", fact="drive", where={}),
    Carried(field="drive_gas_factor", kind="ventilator", fact="drive_gas_factor", where={}),
    Carried(field="regulator", kind="regulator", fact="works_by", where=_OXYGEN_OR_UNSAID),
    Carried(
        field="oxygen_alarm",
        kind="alarm",
        fact="watches",
        where={"watches": ("oxygen supply",)},
        together=lambda said: "yes",
    ),
)


def carried_by(parts: Iterable[Part]) -> dict[str, Any]:
    """The facts of a machine that the parts on it carry; an alarm out of use warns nobody."""
    fitted = [
        one
        for one in parts
        if one.retired_at is None and not (one.kind == "alarm" and one.state == UseState.OUT)
    ]
    found = {one.field: one.of(fitted) for one in CARRIED}
    return {field: value for field, value in found.items() if value is not None}


def nothing_said(field: str) -> Any:
    """What a fact of a machine is where nobody has said it."""
    return getattr(Machine(), field)
