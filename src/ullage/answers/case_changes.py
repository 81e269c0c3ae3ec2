"""What changes when flow, dial or system of a planned case change: before and after, side by side.

The middle animal is led again through the changed case, and what the plan says for two hundred
animals is moved by as much as the middle one moves; the range moves with it.
"""

from collections.abc import Callable, Iterator
from dataclasses import replace
from math import inf, isfinite
from typing import TYPE_CHECKING

from ullage.answers.answer import Answer, Verdict
from ullage.answers.breathing import (
    BreathingSystem,
    FlowPhase,
    system_fits,
    system_named,
    system_suits,
)
from ullage.answers.case_cares import cares_of
from ullage.answers.case_course import Course, middle_course
from ullage.answers.case_dials import agent_answer
from ullage.answers.case_levels import threshold_fraction
from ullage.answers.case_planned import dial_ratio, planned_of, rule_flows
from ullage.answers.case_stretches import Planned
from ullage.answers.case_things import Care, CaseInput, CasePlan, Change, Changed, Changes, Stretch
from ullage.answers.case_use import gas_demand
from ullage.answers.vaporizers import VaporizerKind, kind_for
from ullage.answers.words import figure, minutes_text
from ullage.core.errors import RuleBroken, UnknownReference
from ullage.reference import sourced

if TYPE_CHECKING:
    from ullage.core.kinetics import Floats

__all__ = ["change_words", "changes_of", "usual_changes", "what_changes"]

_MOVED = "The middle animal was led again; the range is that of the plan, moved as it moved."

#: What is told before and after, in this order, with its words.
_WORDS = {
    "start_level": "end-tidal when it is to be reached",
    "end_tidal": "end-tidal when the agent is turned off",
    "inspired_oxygen": "oxygen breathed in at the end",
    "reach": "until the level is reached",
    "regain": "until it moves again",
    "oxygen": "oxygen",
    "nitrous_oxide": "nitrous oxide",
    "agent": "liquid agent",
}


def what_changes(
    given: CaseInput, change: Change, draws: int | None = None, seed: int | None = None
) -> Changes:
    """What another flow, dial or system does to a planned case.

    The dials of the plan are kept, unless it is the dial that is turned.

    Parameters
    ----------
    given : what is known of the case.
    change : what would be changed.
    draws : [1] animals of the plan; None takes the usual number.
    seed : [1] of the draws; None takes the usual one.

    Raises
    ------
    RuleBroken : a change that changes nothing or leaves no gas, or a case that cannot be planned.
    UnknownReference : a system not known.

    >>> from ullage.answers.plan import Case, Phase
    >>> whole = Phase(name="procedure", minutes=30, oxygen_l_min=1.0)
    >>> cat = Case(name="Tansy", machine="Wren", start_min=600, phases=(whole,), species="cat",
    ...            weight_kg=4.0, system="circle")
    >>> found = what_changes(CaseInput(case=cat, agent="isoflurane"), Change(flow_factor=0.5))
    >>> [(one.name, one.before.number_text, one.after.number_text) for one in found.rows]
    [('oxygen', '30 L', '15 L')]
    """
    from ullage.answers.case import case_plan

    if change == Change():
        raise RuleBroken("Nothing would change: give a factor of flow, a step of dial or a system.")

    chosen = {name: one for name, one in (("draws", draws), ("seed", seed)) if one is not None}
    plan = case_plan(given, **chosen)
    return _Before(plan).after(change)


def changes_of(plan: CasePlan) -> tuple[Changes, ...]:
    """What the usual changes would do to a plan: flow halved, doubled, dial a step, next system.

    Parameters
    ----------
    plan : as `case_plan` gives it.
    """
    before = _Before(plan)
    return tuple(before.after(one) for one in usual_changes(before.planned, dials=bool(plan.dials)))


def usual_changes(planned: Planned, *, dials: bool = True) -> tuple[Change, ...]:
    """Changes that a person would think of, as far as the machine and the animal allow them.

    Flow is halved where what is left still serves the animal and the vaporizer, and doubled up to
    where vaporizers end; the system that comes next must be advised by half of the sources.

    Parameters
    ----------
    planned : the case.
    dials : False where no dial may be shown yet.
    """
    found = [Change(flow_factor=one) for one in (0.5, 2.0) if _allowed(planned, one)]
    if dials:
        heated = kind_for(planned.given.agent) is VaporizerKind.HEATED
        row = sourced("case", "dial.step_heated_percent" if heated else "dial.step_percent")
        found += [Change(dial_step_fraction=0.01 * one * row.value) for one in (1.0, -1.0)]
    fits = system_fits(planned.animal.weight_kg, planned.given.circle_from_kg)
    others = [one for one, fit in fits if fit >= 0.5 and one is not planned.system]
    if others and planned.system is not BreathingSystem.CHAMBER:
        found.append(Change(system=others[0].value))
    return tuple(found)


def _allowed(planned: Planned, factor: float) -> bool:
    least, most = (sourced("fresh_gas", f"vaporizer.{end}_l_min") for end in ("least", "most"))
    need = planned.animal["oxygen_demand_l_min"].value
    breath = 0.0 if planned.system.rebreathes else planned.animal["minute_volume_l_min"].value
    changed = [one for one in planned.asleep if not one.in_chamber]
    return bool(changed) and all(
        factor * one.flow_l_min >= max(least.value, breath)
        and factor * one.oxygen_l_min >= need
        and factor * one.flow_l_min <= most.value
        for one in changed
    )


class _Before:
    """A plan with the course of its middle animal, from which changes are counted."""

    def __init__(self, plan: CasePlan) -> None:
        self.plan = plan
        self.planned = planned_of(plan.given)
        self.ratio = dial_ratio(plan.given)
        self.known = {one.name for one in plan.cares}
        dialled = bool(plan.delivered)
        self.course = middle_course(self.planned, plan.delivered) if dialled else None

    def after(self, change: Change) -> Changes:
        """What one change does."""
        planned, delivered = self._changed(change)
        rows = tuple(self._rows(planned, delivered))
        words = change_words(change, f"On a {planned.system} with the flows of its rules")
        told = [
            f"{_WORDS[one.name]} {_short(one.after)} in place of {_short(one.before)}"
            for one in rows
            if _short(one.after) != _short(one.before)
        ]
        kept = "nothing that is told here changes"
        return Changes(
            change=change,
            words=words,
            sentence=f"{words}: {', '.join(told) or kept}.",
            rows=rows,
            cares=self._cares(planned, change),
        )

    def _changed(self, change: Change) -> tuple[Planned, tuple[float, ...]]:
        """The case and the fractions delivered after a change."""
        planned, delivered = self.planned, self.plan.delivered
        if change.system:
            planned = _on_system(planned, change.system)
        if change.flow_factor != 1.0:
            factor = change.flow_factor
            planned = _with_flows(planned, lambda one: _times(one, factor))
        if change.dial_step_fraction:
            step = change.dial_step_fraction * self.ratio
            most = planned.most_fraction
            delivered = tuple(min(max(one + step, 0.0), most) for one in delivered)
        return planned, delivered

    def _rows(self, planned: Planned, delivered: tuple[float, ...]) -> Iterator[Changed]:
        after: dict[str, Answer] = dict(gas_demand(planned))
        if self.course is not None:
            course = middle_course(planned, delivered)
            after["agent"] = agent_answer(course, self.ratio)
            after.update(self._moved(course))
        for name, words in _WORDS.items():
            if name in after and name in self.plan.answers:
                yield Changed(
                    name=name, words=words, before=self.plan.answers[name], after=after[name]
                )

    def _moved(self, course: Course) -> Iterator[tuple[str, Answer]]:
        """Answers of the plan moved by as much as the middle animal moves."""
        before = self.course
        if before is None:
            return
        for name in ("start_level", "end_tidal", "inspired_oxygen", "reach", "regain"):
            answer = self.plan.answers.get(name)
            if answer is None:
                continue
            old, new = (self._figure(name, one) for one in (before, course))
            if old is None or new is None:
                continue
            most = 100.0 * max(course.delivered) if name in {"start_level", "end_tidal"} else 100.0
            limit = inf if name in {"reach", "regain"} else most
            yield name, _scaled(answer, (old, new), limit)

    def _figure(self, name: str, course: Course) -> float | None:
        """One figure of the middle animal; infinite where it never comes, None where unknown."""
        if name == "start_level":
            return float(course.end_tidal[0, course.at_end(0)])
        if name == "end_tidal":
            return float(course.end_tidal[0, -1])
        if name == "inspired_oxygen":
            return float(course.oxygen[0, -1])
        if name == "reach":
            share = sourced("case", "reached_share").value
            return _first(course.end_tidal, self.planned.target_fraction(0) * share, course)
        try:
            level = threshold_fraction(self.planned)
        except UnknownReference:
            return None
        import numpy as np

        return float(course.woken_min(np.array([level]))[0])

    def _cares(self, planned: Planned, change: Change) -> tuple[Care, ...]:
        """What would be unsafe after the change and is not before."""
        new = {one.name: one for one in reversed(cares_of(planned)) if one.name not in self.known}
        found = list(reversed(new.values()))
        if change.system:
            fits = system_suits(planned.animal, planned.system, planned.given.circle_from_kg)
            if fits.verdict in {Verdict.STOP, Verdict.LOOK_AGAIN} and fits.verdict is not None:
                found.insert(
                    0,
                    Care(
                        name="system",
                        verdict=fits.verdict,
                        sentence=fits.sentence,
                        todo=fits.todo,
                        where_from=fits.where_from[0],
                    ),
                )
        return tuple(found)


def change_words(change: Change, system: str) -> str:
    """What is changed, in words.

    Parameters
    ----------
    change : what is turned.
    system : words for another system, where there is one.

    >>> change_words(Change(flow_factor=0.5, dial_step_fraction=0.005), "On a T-piece")
    'Flow halved and dial up 0.5 %'
    """
    said = [system] if change.system else []
    if change.flow_factor != 1.0:
        named = {0.5: "halved", 2.0: "doubled"}
        said.append(f"Flow {named.get(change.flow_factor, f'times {figure(change.flow_factor)}')}")
    if change.dial_step_fraction:
        way = "up" if change.dial_step_fraction > 0 else "down"
        said.append(f"Dial {way} {figure(100 * abs(change.dial_step_fraction))} %")
    return " and ".join((said[0], *(one[0].lower() + one[1:] for one in said[1:])))


def _first(level: "Floats", above: float, course: Course) -> float:
    """[min] when the middle animal first reaches a level; infinite where it never does."""
    import numpy as np

    return float(course.first_min(level, np.array([above]))[0])


def _scaled(answer: Answer, figures: tuple[float, float], limit: float) -> Answer:
    """An answer moved by as much as a figure of the middle animal moves."""
    before, after = figures
    if not isfinite(after):
        return replace(_bare(answer), settles="Not within the time that was followed.")
    if answer.value is None or not isfinite(before) or before <= 0.0:
        percent = 100.0 if answer.unit == "%" else 1.0
        return _said(replace(_bare(answer), value=percent * after, settles=""))
    factor = after / before
    low, high = (None if one is None else min(factor * one, limit) for one in _ends(answer))
    value = min(factor * answer.value, limit)
    return _said(replace(_bare(answer), value=value, low=low, high=high, covers=answer.covers))


def _ends(answer: Answer) -> tuple[float | None, float | None]:
    return answer.low, answer.high


def _bare(answer: Answer) -> Answer:
    """The question and its sources, without what belongs to the figure of the plan."""
    return replace(
        answer,
        value=None,
        low=None,
        high=None,
        covers="",
        sentence="It is not expected in the time planned.",
        steps=(),
        views=(),
        verdict=None,
        todo="",
        assumptions=(*answer.assumptions, _MOVED),
    )


def _said(answer: Answer) -> Answer:
    return replace(answer, sentence=f"It comes to {answer.text}.")


def _short(answer: Answer) -> str:
    """The number, or that there is none."""
    if answer.value is None:
        return "not in the time planned"
    return minutes_text(answer.value) if answer.unit == "min" else answer.number_text


def _with_flows(planned: Planned, flow_l_min: Callable[[Stretch], float]) -> Planned:
    """The case with other flows on its breathing system, each gas in its share."""

    def changed(one: Stretch) -> Stretch:
        factor = 1.0 if one.in_chamber else flow_l_min(one) / one.flow_l_min
        return replace(
            one,
            oxygen_l_min=factor * one.oxygen_l_min,
            air_l_min=factor * one.air_l_min,
            nitrous_oxide_l_min=factor * one.nitrous_oxide_l_min,
        )

    return replace(planned, stretches=tuple(changed(one) for one in planned.stretches))


def _times(one: Stretch, factor: float) -> float:
    """[L/min] flow times a factor; waking is left as it is."""
    return one.flow_l_min * (1.0 if one.phase is FlowPhase.WAKING else factor)


def _on_system(planned: Planned, name: str) -> Planned:
    """The case on another system, with the flows of its first rules."""
    system = system_named(name)
    if system is BreathingSystem.CHAMBER:
        raise RuleBroken("A chamber is for falling asleep; name a system to hold it on.")
    rules = rule_flows(planned.animal, system)
    return _with_flows(replace(planned, system=system), lambda one: rules[one.phase])
