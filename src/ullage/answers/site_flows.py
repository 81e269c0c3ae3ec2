"""The fresh gas flow that a site has chosen for itself, in place of the first published rule."""

from dataclasses import dataclass, replace

from ullage.answers.animal_things import Animal
from ullage.answers.breathing import BreathingSystem, FlowPhase
from ullage.answers.case_planned import planned_of
from ullage.answers.case_things import CaseInput
from ullage.answers.plan import Phase
from ullage.core.checks import positive

__all__ = ["SiteFlows", "site_flow_l_min", "with_site_flows"]

_OF_THE_DEVICE = frozenset(
    {BreathingSystem.NOSE_CONE, BreathingSystem.CHAMBER, BreathingSystem.LARGE_CIRCLE}
)


@dataclass(frozen=True, slots=True, kw_only=True)
class SiteFlows:
    """What a site has set; None where it has not.

    Systems without absorber: ``open_multiple`` of the minute volume, or ``open_l_min_kg``, of
    which the larger holds. Circles: one flow to begin and to wake, one to hold.
    """

    open_multiple: float | None = None
    open_l_min_kg: float | None = None
    circle_start_l_min_kg: float | None = None
    circle_hold_l_min_kg: float | None = None

    def __post_init__(self) -> None:
        for name in self.__slots__:
            if (given := getattr(self, name)) is not None:
                positive(name, given)

    @property
    def is_empty(self) -> bool:
        """True where nothing is set."""
        return all(getattr(self, name) is None for name in self.__slots__)


def site_flow_l_min(
    who: Animal, system: BreathingSystem, phase: FlowPhase, rule: SiteFlows
) -> float | None:
    """[L/min] fresh gas that the site's own rule says; None where it says none.

    Parameters
    ----------
    who : with weight and minute volume.
    system : of the case; nose cone, chamber and large circle keep the rules of the device.
    phase : start, hold or waking.
    rule : of the site.

    >>> from ullage.answers.animals import animal
    >>> round(site_flow_l_min(
    ...     animal("pig", 30.0), BreathingSystem.CIRCLE, FlowPhase.HOLD,
    ...     SiteFlows(circle_hold_l_min_kg=0.03)), 3)
    0.9
    """
    if system in _OF_THE_DEVICE:
        return None
    if system.rebreathes:
        holds = phase is FlowPhase.HOLD
        by_weight = rule.circle_hold_l_min_kg if holds else rule.circle_start_l_min_kg
        return None if by_weight is None else by_weight * who.weight_kg
    breath = who["minute_volume_l_min"].value
    said = (
        None if rule.open_multiple is None else rule.open_multiple * breath,
        None if rule.open_l_min_kg is None else rule.open_l_min_kg * who.weight_kg,
    )
    return max((one for one in said if one is not None), default=None)


def with_site_flows(given: CaseInput, rule: SiteFlows) -> CaseInput:
    """The case with the flows of the site where nobody typed any.

    Parameters
    ----------
    given : the case.
    rule : of the site; one that says nothing of this system changes nothing.

    Raises
    ------
    RuleBroken : as `case_plan` would.

    >>> from ullage.answers.plan import Case
    >>> whole = Phase(name="procedure", minutes=30)
    >>> pig = Case(name="Rowan", machine="Heron", start_min=600, phases=(whole,), species="pig",
    ...            weight_kg=30.0, system="circle")
    >>> asked = CaseInput(case=pig, agent="isoflurane", flows_given=False)
    >>> rule = SiteFlows(circle_start_l_min_kg=0.1, circle_hold_l_min_kg=0.03)
    >>> [round(one.oxygen_l_min, 3) for one in with_site_flows(asked, rule).case.phases[:2]]
    [3.0, 0.9]
    """
    if given.flows_given or rule.is_empty:
        return given
    planned = planned_of(given)
    phases = []
    for one in planned.stretches:
        flow = site_flow_l_min(planned.animal, planned.system, one.phase, rule)
        if one.planned:
            flow = one.oxygen_l_min if flow is None or one.in_chamber else flow
            phases.append(Phase(name=one.name, minutes=one.minutes, oxygen_l_min=flow))
    says = (site_flow_l_min(planned.animal, planned.system, one, rule) for one in FlowPhase)
    if all(one is None for one in says):
        return given
    case = replace(given.case, phases=tuple(phases), system=planned.system.value)
    return replace(given, case=case, flows_given=True)
