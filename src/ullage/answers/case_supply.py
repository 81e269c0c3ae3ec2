"""Whether the gas lasts for one case of a day: its source before, during and after the case."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from ullage.answers.answer import Answer, Step, Verdict
from ullage.answers.day import DRAWS, SEED
from ullage.answers.day_base import COVERS, Telling
from ullage.answers.day_cylinders import fit_before
from ullage.answers.day_draws import day_draws
from ullage.answers.day_others import concentrator_serves, gauge_cannot_tell, pipeline_holds
from ullage.answers.held import shown_l
from ullage.answers.plan import Case, DayPlan, SourceKind
from ullage.answers.words import clock_text, figure, minutes_text
from ullage.core.errors import RuleBroken
from ullage.core.gas import Gas
from ullage.core.supply import Band, band_of

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

__all__ = ["CaseSupply", "SupplyPoint", "case_supply"]

type Floats = NDArray[np.float64]

#: Points of a curve, first gas to the end.
_POINTS = 13


@dataclass(frozen=True, slots=True, kw_only=True)
class SupplyPoint:
    """What a source holds at a minute of the day, in litres as the place counts them.

    ``at_highest_l`` is what would be left at the highest flow that a rule asks for.
    """

    at_min: float
    low_l: float
    middle_l: float
    high_l: float
    at_highest_l: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class CaseSupply:
    """One source of the machine of a case: the answer, and its contents while the case runs."""

    source: str
    kind: SourceKind
    answer: Answer
    flow_l_min: float | None = None
    need_min: float | None = None
    kept_l: float | None = None
    points: tuple[SupplyPoint, ...] = ()


def case_supply(
    plan: DayPlan,
    case: Case,
    gas: Gas = Gas.OXYGEN,
    highest_l_min: float | None = None,
    draws: int = DRAWS,
    seed: int = SEED,
) -> CaseSupply | None:
    """Whether a gas lasts for one case, everything else of its day counted too.

    Parameters
    ----------
    plan : the day, the case among its cases.
    case : the case that is asked about.
    gas : oxygen unless another is asked about.
    highest_l_min : [L/min] the highest flow that a rule asks for, as a second line.
    draws : [1] days to draw.
    seed : [1] the same seed gives the same answer.

    Returns
    -------
    None where nothing feeds this gas to the machine of the case.

    Raises
    ------
    RuleBroken : the case is not in the plan.

    >>> from ullage.answers.plan import GasSource, Held, Machine, Phase
    >>> from ullage.answers.things import Cylinder, Reading
    >>> alder = GasSource(name="Alder", kind=SourceKind.CYLINDER, feeds=("Wren",), cylinders=(
    ...     Held(cylinder=Cylinder(gas=Gas.OXYGEN, water_capacity_l=4.7),
    ...          reading=Reading(at_min=472, gauge_kpa=7100)),))
    >>> clover = Case(name="Clover", machine="Wren", start_min=630, phases=(
    ...     Phase(name="all", minutes=110, oxygen_l_min=1.7),))
    >>> day = DayPlan(sources=(alder,), machines=(Machine(name="Wren"),), cases=(clover,))
    >>> case_supply(day, clover).answer.verdict.value
    'Fine'
    """
    if case not in plan.cases:
        raise RuleBroken(f"{case.name} is not in this plan of the day.")
    small = _about(plan, case, gas)
    if not small.sources:
        return None
    found = day_draws(small, draws, seed)
    tell = Telling(found, found.sources[0])
    source = tell.drawn.source
    if source.kind in {SourceKind.PIPELINE, SourceKind.CONCENTRATOR}:
        main = concentrator_serves if source.kind is SourceKind.CONCENTRATOR else pipeline_holds
        return CaseSupply(source=source.name, kind=source.kind, answer=main(tell, None))
    if tell.drawn.held is None:
        return CaseSupply(source=source.name, kind=source.kind, answer=gauge_cannot_tell(tell))
    return _told(tell, case, highest_l_min)


def _about(plan: DayPlan, case: Case, gas: Gas) -> DayPlan:
    """The part of a day that the source of this case knows: its machines and their cases."""
    sources = [
        one
        for one in plan.sources
        if case.machine in one.feeds and one.gas is gas and not one.reserve_of
    ][:1]
    fed = {name for one in sources for name in one.feeds}
    return replace(
        plan,
        sources=tuple(sources),
        machines=tuple(one for one in plan.machines if one.name in fed | {case.machine}),
        cases=tuple(one for one in plan.cases if one.machine in fed | {case.machine}),
    )


@dataclass(frozen=True, slots=True)
class _Course:
    """What a source holds while a case runs, a number a draw, and as it is meant to be [L]."""

    tell: Telling
    case: Case

    def left_l(self, at_min: float) -> "tuple[Floats, float]":
        """[L] contents at a minute, by the draws and as planned; never below nothing."""
        drawn = self.tell.drawn
        best = 0.0 if drawn.best_curve is None else float(drawn.best_curve.taken_by_l(at_min)[0])
        taken = drawn.curve.taken_by_l(at_min) if drawn.curve is not None else 0.0
        left = self.tell.contents_l + drawn.taken_before_l - taken
        middle = self.tell.best_contents_l + drawn.best_taken_before_l - best
        return left.clip(min=0.0), max(middle, 0.0)

    def mean_l_min(self) -> "tuple[Floats, float]":
        """[L/min] everything that is drawn from the source while the case runs."""
        drawn, start, end = self.tell.drawn, self.case.start_min, self.case.end_min
        if drawn.curve is None or drawn.best_curve is None:
            return self.tell.contents_l * 0.0, 0.0
        taken = drawn.curve.taken_by_l(end) - drawn.curve.taken_by_l(start)
        best = float((drawn.best_curve.taken_by_l(end) - drawn.best_curve.taken_by_l(start))[0])
        return taken / self.case.minutes, best / self.case.minutes


def _told(tell: Telling, case: Case, highest_l_min: float | None) -> CaseSupply:
    course = _Course(tell, case)
    flows, flow = course.mean_l_min()
    left, middle = course.left_l(case.start_min)
    kept = sum(one.kept_l for one in tell.drawn.held or ())
    place = tell.day.plan.place
    shared = {
        "source": tell.name,
        "kind": tell.drawn.source.kind,
        "kept_l": shown_l(tell.best_kept_l, place),
        "points": tuple(_points(course, highest_l_min)),
    }
    if flow <= 0.0:
        return CaseSupply(answer=_not_drawn_on(tell, case), **shared)  # type: ignore[arg-type]  # by name
    minutes = (left - kept).clip(min=0.0) / flows.clip(min=1e-6)
    best = max(middle - tell.best_kept_l, 0.0) / flow
    return CaseSupply(
        answer=_lasts(tell, case, band_of(minutes), best),
        flow_l_min=flow,
        need_min=case.minutes,
        **shared,  # type: ignore[arg-type]  # fields by name
    )


def _points(course: _Course, highest_l_min: float | None) -> Iterator[SupplyPoint]:
    case, place = course.case, course.tell.day.plan.place
    flow, at_start = course.mean_l_min()[1], course.left_l(case.start_min)[1]
    for number in range(_POINTS):
        since = case.minutes * number / (_POINTS - 1)
        left, middle = course.left_l(case.start_min + since)
        band = band_of(left)
        highest = None
        if highest_l_min is not None and flow and highest_l_min > flow:
            more = at_start - highest_l_min * since
            highest = shown_l(max(more, 0.0), place)
        yield SupplyPoint(
            at_min=case.start_min + since,
            low_l=shown_l(min(band.low, middle), place),
            middle_l=shown_l(middle, place),
            high_l=shown_l(max(band.high, middle), place),
            at_highest_l=highest,
        )


def _not_drawn_on(tell: Telling, case: Case) -> Answer:
    return tell.answer(
        question=f"Will the {tell.drawn.source.gas.value} last?",
        unit="min",
        sentence=f"{case.name} draws nothing from {tell.name}.",
        settles="No flow of this gas is planned.",
        reasons=("The phases of the case ask for none.",),
    )


def _lasts(tell: Telling, case: Case, band: Band, best: float) -> Answer:
    flow = _Course(tell, case).mean_l_min()[1]
    verdict, todo = _verdict(tell, case)
    name, told = tell.name, figure(flow)
    spare = best - case.minutes
    said = (
        f"Enough for the whole of {case.name} with about {minutes_text(spare)} to spare."
        if spare > 0
        else f"{case.name} needs {minutes_text(case.minutes)}: "
        f"it ends {minutes_text(-spare)} too soon."
    )
    used = tell.drawn.source.gas.value
    return tell.answer(
        question=f"Will the {used} last?",
        value=best,
        low=min(band.low, best),
        high=max(band.high, best),
        unit="min",
        covers=COVERS,
        sentence=f"From first gas at {clock_text(case.start_min)} on, {name} lasts "
        f"{minutes_text(best)} at {told} L/min. {said}",
        reasons=(f"{told} L/min is all that {name} gives in that time, drive gas included.",),
        steps=_steps(tell, case, best),
        cautions=("A gauge reading comes before this plan: read it before the case.",),
        verdict=verdict,
        todo=todo,
    )


def _steps(tell: Telling, case: Case, best: float) -> tuple[Step, ...]:
    at_start = _Course(tell, case).left_l(case.start_min)[1]
    read = "; then ".join(tell.readings) or "level as entered"
    return (
        Step(what=f"{read}, by real-gas tables", result=tell.litres(tell.best_contents_l)),
        Step(what="left at first gas, by today's plan", result=tell.litres(at_start)),
        Step(
            what=f"less what is kept back: {tell.day.policy.words}",
            result=tell.litres(max(at_start - tell.best_kept_l, 0.0)),
        ),
        Step(what="divided by the flow", result=minutes_text(best)),
        Step(what=f"{case.name}, all phases", result=minutes_text(case.minutes)),
    )


def _verdict(tell: Telling, case: Case) -> tuple[Verdict, str]:
    """By the chance that what is kept back is reached before the case ends."""
    reached = tell.reached_min()
    mine = next((one for one in tell.risks(reached) if one.end.case == case), None)
    if mine is None or mine.chance <= tell.ask_above:
        return Verdict.FINE, ""
    verdict = Verdict.STOP if mine.chance > 0.5 else Verdict.LOOK_AGAIN
    return verdict, fit_before(tell, mine, band_of(reached))
