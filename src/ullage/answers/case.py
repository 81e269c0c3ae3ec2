"""A planned case: system, flow, dial, levels, waking, and what it uses; and what would be unsafe.

Nothing that rests on a dial is shown before somebody has said which drugs were given, or none, and
which multiple of MAC the site aims at: the target is never ours.
"""

from dataclasses import replace

from ullage.answers.agents import liquid_of
from ullage.answers.animals import animal
from ullage.answers.answer import Answer, Verdict, WhereFrom
from ullage.answers.breathing import (
    FlowPhase,
    fresh_gas_flow,
    system_fits,
    system_named,
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
from ullage.answers.case_cares import cares_of
from ullage.answers.case_course import Planned, course_of, stretches_of
from ullage.answers.case_dials import agent_answer, dial_cares, dialled
from ullage.answers.case_levels import level_answers
from ullage.answers.case_things import Care, CaseInput, CasePlan, Stretch
from ullage.answers.case_use import absorbent_used, gas_demand
from ullage.answers.mac_answers import MacToday, agent_mac, drugs_studied
from ullage.answers.plan import Case, Phase
from ullage.answers.vaporizers import VaporizerKind, kind_for
from ullage.core.errors import RuleBroken
from ullage.core.units import STANDARD_ATMOSPHERE_KPA
from ullage.reference import sourced

__all__ = ["case_plan"]

#: Draws and seed where nobody chose them.
_DRAWS, _SEED = 200, 20_260

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
    planned = _planned(given)
    answers = _without_dial(planned)
    cares = (*cares_of(planned), *_dead_space_cares(answers))
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
    fraction = None if fixed is None else fixed * _dial_ratio(planned.given)
    course = course_of(planned, fraction, found.draws, found.seed)
    ratio = _dial_ratio(planned.given)
    dials = dialled(course, ratio, found.seed)
    answers = {
        **found.answers,
        **level_answers(course, found.seed),
        "agent": agent_answer(course, ratio),
    }
    return replace(
        found,
        answers=answers,
        dials=dials,
        levels=course.levels,
        cares=(*dial_cares(course), *found.cares),
    )


def _planned(given: CaseInput) -> Planned:
    """The case with its animal and system; what cannot be is refused here."""
    case = given.case
    if not case.species or case.weight_kg is None:
        raise RuleBroken(f"{case.name} needs a species and a weight.")
    who = animal(
        case.species, case.weight_kg, given.overrides, weight_is_right=given.weight_is_right
    )
    system = system_named(case.system) if case.system else system_fits(case.weight_kg)[0][0]
    _refuse_vaporizer(given)
    rules = {one: fresh_gas_flow(who, system, one).value or 0.0 for one in FlowPhase}
    stretches = stretches_of(given, rules)
    _refuse_flows(stretches, given)
    macs = tuple(_mac(given, who.species, one) for one in stretches)
    return Planned(
        given=given,
        animal=who,
        system=system,
        stretches=stretches,
        macs=macs,
        mac_alone=_mac(given, who.species, replace(stretches[0], nitrous_oxide_l_min=0.0)),
        most_fraction=_end_fraction(given) * _dial_ratio(given),
    )


def _end_fraction(given: CaseInput) -> float:
    """[1] where the dial ends: of this vaporizer, or of usual ones."""
    return given.vaporizer_end_fraction or liquid_of(given.agent).most_dial_fraction


def _dial_ratio(given: CaseInput) -> float:
    """[1] delivered over dial at this air pressure, by the rule of constant partial pressure."""
    if kind_for(given.agent) is VaporizerKind.HEATED:
        return 1.0
    return STANDARD_ATMOSPHERE_KPA / given.place.barometric_kpa


def _refuse_vaporizer(given: CaseInput) -> None:
    agent = liquid_of(given.agent).agent
    made_for = given.vaporizer_for.strip().lower()
    if made_for and made_for != agent:
        raise RuleBroken(
            f"The vaporizer is made for {made_for}, the case asks for {agent}: change one of them."
        )
    end = _end_fraction(given)
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
        oxygen = one.oxygen_l_min + 0.209 * one.air_l_min
        if one.nitrous_oxide_l_min and oxygen < hypoxic * one.flow_l_min:
            raise RuleBroken(
                f"{one.name} has {100 * oxygen / one.flow_l_min:.0f} % oxygen beside nitrous "
                f"oxide: give at least {100 * hypoxic:g} %, 30 % is usual."
            )
    if given.case.phases and stretches[0].phase is FlowPhase.WAKING:
        raise RuleBroken("The case begins with waking; name a phase before it.")


def _today(given: CaseInput, species: str, stretch: Stretch) -> MacToday:
    """What changes MAC; a drug that nobody studied changes nothing here and is a care."""
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
    found = agent_mac(species, given.agent, _today(given, species, stretch))
    low, value, high = (0.01 * (one or 0.0) for one in (found.low, found.value, found.high))
    return low, value, high


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
    seen: dict[tuple[FlowPhase, float], Answer] = {}
    for one in planned.stretches:
        key = (one.phase, one.flow_l_min)
        if one.planned and key not in seen:
            site = one.flow_l_min if planned.given.flows_given else None
            seen[key] = fresh_gas_flow(planned.animal, planned.system, one.phase, site)
    return tuple(seen.values())


def _without_dial(planned: Planned) -> dict[str, Answer]:
    given, who, system = planned.given, planned.animal, planned.system
    hold = planned.asleep[-1]
    found = {
        "system": system_suits(who, system, given.circle_from_kg),
        "mac": agent_mac(who.species, given.agent, _today(given, who.species, hold)),
        "bag": bag_size(who),
        "dead_space": equipment_dead_space(who, given.equipment_l),
        **gas_demand(planned),
    }
    if system.rebreathes:
        found["follows"] = system_follows(system, who.weight_kg, hold.flow_l_min)
        found["absorbent"] = absorbent_used(planned)
        found["absorbent_lasts"] = absorbent_lasts(who, hold.flow_l_min, given.absorbent_kg)
    if planned.ventilated:
        found["ventilator"] = ventilator_start(who)
    chamber = given.case.chamber
    if chamber is not None:
        first = planned.asleep[0].flow_l_min
        found["chamber"] = chamber_fills(chamber.volume_l, first, _end_fraction(given))
    return found


def _dead_space_cares(answers: dict[str, Answer]) -> tuple[Care, ...]:
    found = []
    for name in ("dead_space", "system"):
        one = answers[name]
        if one.verdict in {Verdict.STOP, Verdict.LOOK_AGAIN}:
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
