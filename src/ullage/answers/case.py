"""A planned case: system, flow, dial, levels, waking, and what it uses; and what would be unsafe.

Nothing that rests on a dial is shown before somebody has said which drugs were given, or none, and
which multiple of MAC the site aims at: the target is never ours.
"""

from dataclasses import replace

from ullage.answers.answer import Answer, Verdict, WhereFrom
from ullage.answers.breathing import (
    BreathingSystem,
    FlowPhase,
    fresh_gas_flow,
    system_suits,
)
from ullage.answers.breathing_parts import (
    absorbent_lasts,
    bag_size,
    chamber_fills,
    equipment_dead_space,
    system_follows,
    ventilator_start,
)
from ullage.answers.case_cares import cares_of, settings_known
from ullage.answers.case_co2 import expected_co2
from ullage.answers.case_course import course_of
from ullage.answers.case_dials import agent_answer, dial_cares, dialled
from ullage.answers.case_gases import gas_answers, gas_cares
from ullage.answers.case_levels import level_answers
from ullage.answers.case_planned import dial_ratio, end_fraction, planned_of, today
from ullage.answers.case_stretches import Planned
from ullage.answers.case_things import Care, CaseInput, CasePlan
from ullage.answers.case_use import absorbent_used, gas_demand
from ullage.answers.mac_answers import agent_mac
from ullage.answers.plan import Case, Phase
from ullage.core.errors import RuleBroken

__all__ = ["case_plan"]

#: Draws and seed where nobody chose them.
_DRAWS, _SEED = 200, 20_260

#: Cares that say the same thing, that of the engine first.
_OF_OXYGEN = frozenset({"hypoxic mixture", "oxygen below 30 %"})

_WHICH_DRUGS = "Which drugs were given, or none?"
_WHICH_TARGET = "Which multiple of MAC does the site aim at?"


def case_plan(given: CaseInput, draws: int = _DRAWS, seed: int = _SEED) -> CasePlan:
    """Everything about one planned case.

    Parameters
    ----------
    given : what is known of it.
    draws : [1] animals drawn around the middle one, 20 or more.
    seed : [1] the same seed gives the same plan.

    Raises
    ------
    InvalidQuantity : a number that cannot be.
    RuleBroken : a weight to be confirmed, a vaporizer of another agent, a dial beyond its end, no
        flow where gas is needed, or nitrous oxide without enough oxygen; the sentence says which.
    UnknownReference : a species, agent, system or drug not known.

    >>> from ullage.answers.plan import Case, Phase
    >>> whole = Phase(name="procedure", minutes=30, oxygen_l_min=1.0)
    >>> cat = Case(name="Tansy", machine="Wren", start_min=600, phases=(whole,), species="cat",
    ...            weight_kg=4.0, system="T-piece")
    >>> case_plan(CaseInput(case=cat, agent="isoflurane")).answers["dial"].settles
    'Which drugs were given, or none?'
    """
    if draws < 20:
        raise RuleBroken(f"{draws} draws tell no range; draw 20 or more.")
    planned = planned_of(given)
    answers = _without_dial(planned)
    cares = (*cares_of(planned), *_answered_cares(answers))
    found = CasePlan(
        given=given,
        case=_case_of(planned),
        stretches=planned.stretches,
        answers=answers,
        flows=_flow_answers(planned),
        dials=(),
        levels=(),
        cares=cares,
        draws=draws,
        seed=seed,
    )
    open_question = _open_question(planned)
    if open_question is not None:
        return replace(found, answers={**answers, "dial": open_question})
    return _with_dials(found, planned)


def _with_dials(found: CasePlan, planned: Planned) -> CasePlan:
    """The plan with everything that rests on the dial."""
    fixed = planned.given.dial_fraction
    fraction = None if fixed is None else fixed * dial_ratio(planned.given)
    course = course_of(planned, fraction, found.draws, found.seed)
    ratio = dial_ratio(planned.given)
    dials = dialled(course, ratio, found.seed)
    answers = {
        **found.answers,
        **level_answers(course, found.seed),
        **gas_answers(course, found.seed),
        "agent": agent_answer(course, ratio),
    }
    return replace(
        found,
        answers=answers,
        dials=dials,
        levels=course.levels,
        cares=_told_once((*dial_cares(course), *gas_cares(course), *found.cares)),
        delivered=course.delivered,
    )


def _told_once(cares: tuple[Care, ...]) -> tuple[Care, ...]:
    """Stops first; of oxygen, what the engine found stands for what the rule of thumb says."""
    first: dict[str, Care] = {}
    for one in cares:
        about = "oxygen" if one.name in _OF_OXYGEN else f"{one.name}: {one.sentence}"
        kept = first.setdefault(about, one)
        if one.verdict is Verdict.STOP and kept.verdict is not Verdict.STOP:
            first[about] = one
    return tuple(sorted(first.values(), key=lambda one: one.verdict is not Verdict.STOP))


def _open_question(planned: Planned) -> Answer | None:
    """What must be answered before a dial is shown; None where nothing is open."""
    given = planned.given
    no_target = given.target_mac is None and given.dial_fraction is None
    if given.drugs is not None and not no_target:
        return None
    asked = _WHICH_DRUGS if given.drugs is None else _WHICH_TARGET
    said = "Drugs lower MAC by a tenth to three quarters." if given.drugs is None else ""
    return Answer(
        question="Where should the dial stand?",
        unit="%",
        sentence="No dial is shown yet.",
        reasons=(said or "The target is that of the site, never ours.",),
        where_from=(
            WhereFrom(source="site_rule", how_known="site", text="Asked before a dial is shown."),
        ),
        settles=asked,
        verdict=Verdict.NOT_YET,
        todo="Answer it first.",
    )


def _flow_answers(planned: Planned) -> tuple[Answer, ...]:
    """One answer for each phase and flow of the case."""
    seen: dict[tuple[bool, FlowPhase, float], Answer] = {}
    for one in planned.stretches:
        key = (one.in_chamber, one.phase, one.flow_l_min)
        if one.planned and key not in seen:
            site = one.flow_l_min if planned.given.flows_given else None
            system = BreathingSystem.CHAMBER if one.in_chamber else planned.system
            blown = planned.blown(one) and not system.is_a
            seen[key] = fresh_gas_flow(planned.animal, system, one.phase, site, ventilated=blown)
    return tuple(seen.values())


def _without_dial(planned: Planned) -> dict[str, Answer]:
    given, who, system = planned.given, planned.animal, planned.system
    hold = planned.asleep[-1]
    found = {
        "system": system_suits(who, system, given.circle_from_kg),
        "mac": agent_mac(who.species, given.agent, today(given, who.species, hold)),
        "dead_space": equipment_dead_space(who, given.equipment_l),
        **gas_demand(planned),
    }
    if system is not BreathingSystem.NOSE_CONE:
        found["bag"] = bag_size(who)
    if (co2 := expected_co2(planned)) is not None:
        found["carbon_dioxide"] = co2
    if system.rebreathes:
        found["follows"] = system_follows(system, who.weight_kg, hold.flow_l_min)
        found["absorbent"] = absorbent_used(planned)
        found["absorbent_lasts"] = absorbent_lasts(who, hold.flow_l_min, given.absorbent_kg)
    if planned.ventilated and settings_known(who):
        found["ventilator"] = ventilator_start(who)
    chamber = given.case.chamber
    if chamber is not None:
        first = planned.asleep[0].flow_l_min
        found["chamber"] = chamber_fills(chamber.volume_l, first, end_fraction(given))
    return found


def _answered_cares(answers: dict[str, Answer]) -> tuple[Care, ...]:
    """Answers that ask somebody to look again or to stop."""
    found = []
    for name in ("dead_space", "system", "carbon_dioxide"):
        one = answers.get(name)
        if one is not None and one.verdict in {Verdict.STOP, Verdict.LOOK_AGAIN}:
            found.append(
                Care(
                    name=name.replace("_", " "),
                    verdict=one.verdict,
                    sentence=one.sentence,
                    todo=one.todo,
                    where_from=one.where_from[0],
                )
            )
    return tuple(found)


def _case_of(planned: Planned) -> Case:
    """The case with the flows of the plan: what the supply answers of a day take."""
    if planned.given.flows_given:
        return planned.given.case
    phases = tuple(
        Phase(name=one.name, minutes=one.minutes, oxygen_l_min=one.oxygen_l_min)
        for one in planned.stretches
        if one.planned
    )
    return replace(planned.given.case, phases=phases, system=planned.system.value)
