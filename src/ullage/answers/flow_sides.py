"""The rules of fresh gas of one case side by side in numbers, the chosen flow among them."""

from dataclasses import dataclass

from ullage.answers.breathing_names import FlowPhase
from ullage.answers.case_planned import planned_of
from ullage.answers.case_things import CaseInput
from ullage.answers.flow_rules import flow_rules

__all__ = ["FlowSide", "FlowSides", "flow_sides"]


@dataclass(frozen=True, slots=True, kw_only=True)
class FlowSide:
    """One published rule for this animal [L/min]; a rule without a range has equal ends."""

    label: str
    low_l_min: float
    l_min: float
    high_l_min: float


@dataclass(frozen=True, slots=True, kw_only=True)
class FlowSides:
    """The rules to hold a level, the flow that the plan takes, and the minute volume.

    ``breath_l_min`` None where an absorber lets the flow be lower.
    """

    sides: tuple[FlowSide, ...]
    chosen_l_min: float
    breath_l_min: float | None


def flow_sides(given: CaseInput) -> FlowSides:
    """The rules for the time in which a level is held.

    Parameters
    ----------
    given : the case.

    Raises
    ------
    RuleBroken : as `case_plan` would.

    >>> from ullage.answers.plan import Case, Phase
    >>> whole = Phase(name="procedure", minutes=30, oxygen_l_min=1.5)
    >>> cat = Case(name="Tansy", machine="Wren", start_min=600, phases=(whole,), species="cat",
    ...            weight_kg=4.0, system="T-piece")
    >>> found = flow_sides(CaseInput(case=cat, agent="isoflurane"))
    >>> found.chosen_l_min, found.sides[0].l_min
    (1.5, 1.0)
    """
    planned = planned_of(given)
    rules = flow_rules(
        planned.animal, planned.system, FlowPhase.HOLD, ventilated=planned.ventilated
    )
    breath = planned.animal["minute_volume_l_min"].value
    return FlowSides(
        sides=tuple(
            FlowSide(label=one.label, low_l_min=one.low, l_min=one.l_min, high_l_min=one.high)
            for one in rules
        ),
        chosen_l_min=planned.asleep[-1].flow_l_min,
        breath_l_min=None if planned.system.rebreathes else breath,
    )
