"""What every resource of one bundle stands beside: the animals, the case, devices, tags."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from ullage.answers.record.fhir.parts import ExportFacts, lean, made_id, narrative, reference
from ullage.answers.record.seen import NOT_RECORDED
from ullage.answers.record.standing import RecordStanding, Standing
from ullage.answers.record.things import AnyLine

__all__ = ["Around", "device_of"]

_DEMO = {"code": "demo", "display": "Invented demo data"}


@dataclass(frozen=True)
class Around:
    """The record of one bundle as it stands, the facts beside it, and where references lead."""

    record: str
    lines: tuple[AnyLine, ...]
    standing: RecordStanding
    given: ExportFacts

    @property
    def facts(self) -> Mapping[str, str]:
        """Facts of the case as they stand."""
        return self.standing.facts

    def fact(self, key: str) -> str:
        """One fact of the case; "not recorded" where nobody entered it."""
        return self.facts.get(key, "").strip() or NOT_RECORDED

    @property
    def machine(self) -> str:
        """The machine by name, as handed in or as the case says; empty where nobody said."""
        return self.given.machine.strip() or self.facts.get("machine", "").strip()

    @property
    def vaporizer(self) -> str:
        """The vaporizer by name, as handed in or as the case says; empty where nobody said."""
        return self.given.vaporizer.strip() or self.facts.get("vaporizer", "").strip()

    @cached_property
    def animals(self) -> tuple[str, ...]:
        """Animals that entries name, each once."""
        found = (one.entry.animal.strip() for one in self.standing.entries)
        return tuple(dict.fromkeys(one for one in found if one))

    @cached_property
    def is_group(self) -> bool:
        """Whether the record is of several animals: an entry names another than the case does."""
        return bool(set(self.animals) - {self.facts.get("animal", "").strip()})

    def id_of(self, *of: str) -> str:
        """The id of a resource of this bundle."""
        return made_id(self.record, *of)

    def subject(self, animal: str = "") -> dict[str, Any]:
        """Whom an entry is about: one animal, or all of the group."""
        name = animal.strip()
        if self.is_group and not name:
            return reference(self.id_of("group"), self.fact("animal"))
        own = name or self.fact("animal")
        return reference(self.id_of("animal", own), own)

    @cached_property
    def encounter(self) -> dict[str, Any]:
        """The episode that everything belongs to."""
        return reference(self.id_of("encounter"))

    @cached_property
    def procedure(self) -> dict[str, Any]:
        """The anaesthetic itself."""
        return reference(self.id_of("procedure"))

    def made(
        self, kind: str, of: tuple[str, ...], told: Iterable[str], body: Mapping[str, Any]
    ) -> dict[str, Any]:
        """A resource with its id, its tag where the data are invented, and its narrative."""
        tag = {"tag": [_DEMO]} if self.given.is_demo else None
        return lean(
            {
                "resourceType": kind,
                "id": self.id_of(*of),
                "meta": tag,
                "text": narrative(told),
                **body,
            }
        )


def device_of(one: Standing, around: Around) -> dict[str, Any] | None:
    """The device that an entry names, or the setting of the machine that it is of."""
    named = one.entry.details.get("device", "").strip()
    if named:
        return reference(around.id_of("device", named), named)
    has = around.vaporizer if one.entry.what == "dial" else around.machine
    if has and one.entry.what in {"dial", "flow_oxygen", "flow_air", "flow_nitrous_oxide"}:
        return reference(around.id_of("metric", one.entry.what))
    return None
