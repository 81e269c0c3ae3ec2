"""A case to be planned, and what its plan holds."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any

from ullage.answers.answer import Answer, Verdict, WhereFrom
from ullage.answers.breathing import FlowPhase
from ullage.answers.plan import Case
from ullage.answers.things import Place
from ullage.core.checks import each_said, not_negative, positive, within

__all__ = ["Care", "CaseInput", "CasePlan", "Change", "Changed", "Changes", "Level", "Stretch"]


@dataclass(frozen=True, slots=True, kw_only=True)
class CaseInput:
    """What is known of a case before it begins; None where nobody has said.

    ``target_mac`` is the multiple of MAC that the site aims at. ``drugs`` None means that nobody
    said which were given; an empty tuple means none. ``dial_fraction`` fixes the dial instead of
    asking for one. ``flows_given`` False takes the flows of the rules. ``pressure_given`` says
    that the barometer was read or the elevation given.
    """

    case: Case
    agent: str
    target_mac: float | None = None
    drugs: tuple[str, ...] | None = None
    place: Place = field(default_factory=Place)
    pressure_given: bool = False
    flows_given: bool = True
    dial_fraction: float | None = None
    reach_min: float | None = None
    vaporizer_for: str = ""
    vaporizer_end_fraction: float | None = None
    mac_fraction: float | None = None
    equipment_l: float | None = None
    absorbent_kg: float | None = None
    circle_from_kg: float | None = None
    overrides: Mapping[str, float] = field(default_factory=dict)
    co2_measured: bool | None = None
    warmed: bool | None = None
    cautery: bool | None = None
    weight_is_right: bool = False

    def __post_init__(self) -> None:
        each_said(
            self, positive, "target_mac", "reach_min", "vaporizer_end_fraction", "mac_fraction"
        )
        if self.target_mac is not None:
            within("target_mac", self.target_mac, 0.0, 3.0)
        if self.vaporizer_end_fraction is not None:
            within("vaporizer_end_fraction", self.vaporizer_end_fraction, 0.0, 0.5)
        if self.dial_fraction is not None:
            within("dial_fraction", self.dial_fraction, 0.0, 0.5)
        if self.equipment_l is not None:
            not_negative("equipment_l", self.equipment_l)


@dataclass(frozen=True, slots=True, kw_only=True)
class Stretch:
    """Part of a case in which flow and dial stay as they are."""

    name: str
    phase: FlowPhase
    start_min: float
    minutes: float
    oxygen_l_min: float
    air_l_min: float = 0.0
    nitrous_oxide_l_min: float = 0.0
    planned: bool = True
    in_chamber: bool = False

    @property
    def end_min(self) -> float:
        """[min] its end, from the start of the case."""
        return self.start_min + self.minutes

    @property
    def flow_l_min(self) -> float:
        """[L/min] of fresh gas."""
        return self.oxygen_l_min + self.air_l_min + self.nitrous_oxide_l_min

    @property
    def nitrous_fraction(self) -> float:
        """[1] of nitrous oxide in the fresh gas."""
        return self.nitrous_oxide_l_min / self.flow_l_min if self.flow_l_min else 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Care:
    """Something that would be unsafe: look again, or stop."""

    name: str
    verdict: Verdict
    sentence: str
    todo: str
    where_from: WhereFrom


@dataclass(frozen=True, slots=True, kw_only=True)
class Level:
    """Levels at one minute, in per cent: low, middle and high of each.

    ``inspired_oxygen`` is breathed in; ``nitrous_oxide`` is end-tidal, None where none is given.
    """

    at_min: float
    inspired: tuple[float, float, float]
    end_tidal: tuple[float, float, float]
    brain: tuple[float, float, float]
    inspired_oxygen: tuple[float, float, float] = (0.0, 0.0, 0.0)
    nitrous_oxide: tuple[float, float, float] | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """What somebody might turn: flow times a factor, dial by a step [1], or another system.

    Flow is that of the stretches in which agent is given on the breathing system; another system
    comes with the flows of its rules.
    """

    flow_factor: float = 1.0
    dial_step_fraction: float = 0.0
    system: str = ""

    def __post_init__(self) -> None:
        within("flow_factor", positive("flow_factor", self.flow_factor), 0.0, 100.0)
        within("dial_step_fraction", self.dial_step_fraction, -0.5, 0.5)


@dataclass(frozen=True, slots=True, kw_only=True)
class Changed:
    """One figure before and after a change, each an answer with its range."""

    name: str
    words: str
    before: Answer
    after: Answer


@dataclass(frozen=True, slots=True, kw_only=True)
class Changes:
    """What one change does to a plan, and what would be unsafe after it that is not before."""

    change: Change
    words: str
    sentence: str
    rows: tuple[Changed, ...]
    cares: tuple[Care, ...] = ()

    def as_dict(self) -> dict[str, Any]:
        """Everything by name, fit for JSON."""
        from dataclasses import asdict

        return {
            "change": asdict(self.change),
            "sentence": self.sentence,
            "rows": [
                {
                    "name": one.name,
                    "words": one.words,
                    "before": one.before.as_dict(),
                    "after": one.after.as_dict(),
                }
                for one in self.rows
            ],
            "cares": [{**asdict(one), "verdict": one.verdict.value} for one in self.cares],
        }


@dataclass(frozen=True, kw_only=True)
class CasePlan:
    """All answers about one case; those that need a dial are missing until it may be shown."""

    given: CaseInput
    case: Case
    stretches: tuple[Stretch, ...]
    answers: Mapping[str, Answer]
    flows: tuple[Answer, ...]
    dials: tuple[Answer, ...]
    levels: tuple[Level, ...]
    cares: tuple[Care, ...]
    draws: int
    seed: int
    delivered: tuple[float, ...] = ()

    @cached_property
    def changes(self) -> tuple[Changes, ...]:
        """What flow halved or doubled, the dial a step up or down, and the next system would do.

        Worked out when it is first asked for, with the middle animal alone.
        """
        from ullage.answers.case_changes import changes_of

        return changes_of(self)

    @property
    def verdict(self) -> Verdict:
        """The worst of all that was found; not yet, where a question is open."""
        found = {one.verdict for one in self.cares} | {one.verdict for one in self.all_answers}
        for one in (Verdict.STOP, Verdict.NOT_YET, Verdict.LOOK_AGAIN):
            if one in found:
                return one
        return Verdict.FINE

    @property
    def all_answers(self) -> Iterator[Answer]:
        """Every answer of the plan."""
        yield from self.answers.values()
        yield from self.flows
        yield from self.dials

    def as_dict(self) -> dict[str, Any]:
        """Everything by name, fit for JSON."""
        from dataclasses import asdict

        cares = [{**asdict(one), "verdict": one.verdict.value} for one in self.cares]
        return {
            "name": self.case.name,
            "verdict": self.verdict.value,
            "answers": {name: one.as_dict() for name, one in self.answers.items()},
            "flows": [one.as_dict() for one in self.flows],
            "dials": [one.as_dict() for one in self.dials],
            "levels": [asdict(one) for one in self.levels],
            "cares": cares,
            "phases": [asdict(one) for one in self.case.phases],
            "changes": [one.as_dict() for one in self.changes],
            "draws": self.draws,
            "seed": self.seed,
        }
