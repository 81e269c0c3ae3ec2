"""A case made ready to be planned: animal, system, stretches, MAC; what cannot be is refused."""

from dataclasses import replace

from ullage.answers.agents import liquid_of
from ullage.answers.animal_things import Animal
from ullage.answers.animals import animal
from ullage.answers.breathing import (
    BreathingSystem,
    FlowPhase,
    fresh_gas_flow,
    system_fits,
    system_named,
)
from ullage.answers.case_stretches import AIR_OXYGEN, Planned, stretches_of
from ullage.answers.case_things import CaseInput, Stretch
from ullage.answers.mac_answers import MacToday, agent_mac, drugs_studied
from ullage.answers.vaporizers import VaporizerKind, kind_for
from ullage.answers.words import figure
from ullage.core.errors import RuleBroken
from ullage.core.units import STANDARD_ATMOSPHERE_KPA
from ullage.reference import sourced

__all__ = ["dial_ratio", "end_fraction", "planned_of", "rule_flows", "today"]


def planned_of(given: CaseInput) -> Planned:
    """The case with its animal and system; what cannot be is refused here.

    Parameters
    ----------
    given : what is known of the case.

    Raises
    ------
    RuleBroken : see `case_plan`.
    """
    case = given.case
    if not case.species or case.weight_kg is None:
        raise RuleBroken(f"{case.name} needs a species and a weight.")
    who = animal(
        case.species, case.weight_kg, given.overrides, weight_is_right=given.weight_is_right
    )
    _refuse_length(given)
    system = system_named(case.system) if case.system else system_fits(case.weight_kg)[0][0]
    _refuse_vaporizer(given)
    stretches = stretches_of(given, rule_flows(who, system), _chamber_flow(who, given))
    _refuse_flows(stretches, given)
    _refuse_ventilation(who, given)
    macs = tuple(_mac(given, who.species, one) for one in stretches)
    return Planned(
        given=given,
        animal=who,
        system=system,
        stretches=stretches,
        macs=macs,
        mac_alone=_mac(given, who.species, replace(stretches[0], nitrous_oxide_l_min=0.0)),
        most_fraction=end_fraction(given) * dial_ratio(given),
    )


def rule_flows(who: Animal, system: BreathingSystem) -> dict[FlowPhase, float]:
    """[L/min] fresh gas of the first rule for each phase on a system.

    Parameters
    ----------
    who : the animal.
    system : that it is on.
    """
    return {one: fresh_gas_flow(who, system, one).value or 0.0 for one in FlowPhase}


def _chamber_flow(who: Animal, given: CaseInput) -> float | None:
    if given.case.chamber is None:
        return None
    return fresh_gas_flow(who, BreathingSystem.CHAMBER, FlowPhase.START).value


def end_fraction(given: CaseInput) -> float:
    """[1] where the dial ends: of this vaporizer, or of usual ones.

    Parameters
    ----------
    given : what is known of the case.
    """
    return given.vaporizer_end_fraction or liquid_of(given.agent).most_dial_fraction


def dial_ratio(given: CaseInput) -> float:
    """[1] delivered over dial at this air pressure, by the rule of constant partial pressure.

    Parameters
    ----------
    given : what is known of the case.
    """
    if kind_for(given.agent) is VaporizerKind.HEATED:
        return 1.0
    return STANDARD_ATMOSPHERE_KPA / given.place.barometric_kpa


def _refuse_length(given: CaseInput) -> None:
    """A slip in minutes, 1 200 for 120, would be worked out for long and be of no use."""
    whole, most = sum(one.minutes for one in given.case.phases), sourced("case", "longest_min")
    if whole > most.value:
        raise RuleBroken(
            f"The phases add up to {figure(whole / 60.0)} h; a plan goes up to "
            f"{figure(most.value / 60.0)} h. Are the minutes right?"
        )


def _refuse_vaporizer(given: CaseInput) -> None:
    agent = liquid_of(given.agent).agent
    made_for = given.vaporizer_for.strip().lower()
    if made_for and made_for != agent:
        raise RuleBroken(
            f"The vaporizer is made for {made_for}, the case asks for {agent}: change one of them."
        )
    end = end_fraction(given)
    if given.dial_fraction is not None and given.dial_fraction > end + 1e-9:
        raise RuleBroken(
            f"A dial of {100 * given.dial_fraction:g} % is beyond the end of the vaporizer, "
            f"{100 * end:g} %."
        )


def _refuse_flows(stretches: tuple[Stretch, ...], given: CaseInput) -> None:
    hypoxic = sourced("case", "oxygen.hypoxic_share").value
    for one in stretches:
        if one.flow_l_min <= 0.0:
            raise RuleBroken(
                f"No fresh gas flows in {one.name}: give a flow, or leave all flows out."
            )
        oxygen = one.oxygen_l_min + AIR_OXYGEN * one.air_l_min
        if one.nitrous_oxide_l_min and oxygen < hypoxic * one.flow_l_min:
            name = f"{one.name[:1].upper()}{one.name[1:]}"
            raise RuleBroken(
                f"{name} has {100 * oxygen / one.flow_l_min:.0f} % oxygen beside nitrous "
                f"oxide: give at least {100 * hypoxic:g} %, 30 % is usual."
            )
    if given.case.phases and stretches[0].phase is FlowPhase.WAKING:
        raise RuleBroken("The case begins with waking; name a phase before it.")


def _refuse_ventilation(who: Animal, given: CaseInput) -> None:
    """A ventilator must bring more to the alveoli than the oxygen that is used."""
    ventilation = given.case.ventilation
    if ventilation is None:
        return
    share = who["alveolar_l_min"].value / who["minute_volume_l_min"].value
    used = who["oxygen_demand_l_min"].value
    if ventilation.minute_volume_l_min * share <= used:
        raise RuleBroken(
            f"A ventilator at {ventilation.minute_volume_l_min:g} L/min brings less to the lung of "
            f"this animal than the {1000 * used:.3g} mL/min of oxygen that it may use."
        )


def today(given: CaseInput, species: str, stretch: Stretch) -> MacToday:
    """What changes MAC; a drug that nobody studied changes nothing here and is a care.

    Parameters
    ----------
    given : what is known of the case.
    species : of the animal.
    stretch : with its nitrous oxide.
    """
    studied = {one.name for one in drugs_studied(species, given.agent)}
    return MacToday(
        nitrous_fraction=min(stretch.nitrous_fraction, 0.79),
        drugs=tuple(one for one in given.drugs or () if one in studied),
        drugs_asked=given.drugs is not None,
        barometric_kpa=given.place.barometric_kpa,
        site_fraction=given.mac_fraction,
    )


def _mac(given: CaseInput, species: str, stretch: Stretch) -> tuple[float, float, float]:
    """Low, middle and high of one MAC in a stretch [1]."""
    found = agent_mac(species, given.agent, today(given, species, stretch))
    low, value, high = (0.01 * (one or 0.0) for one in (found.low, found.value, found.high))
    return low, value, high
