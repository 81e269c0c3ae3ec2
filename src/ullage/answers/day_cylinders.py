"""The answers about a source that has contents: lasts until, change over by, chances, needs."""

from collections.abc import Sequence
from math import isfinite
from typing import Any

from ullage.answers.answer import Answer, Step, Verdict
from ullage.answers.day_base import COVERS, CaseRisk, Telling, floor_min
from ullage.answers.outlook import CaseChance
from ullage.answers.plan import SourceKind
from ullage.answers.words import CLOCK, clock_span, clock_text, figure, minutes_text, span
from ullage.core.supply import Band, band_of

__all__ = [
    "case_chances",
    "change_overs",
    "lasts_at_mean_flow",
    "lasts_until",
    "left_at_end",
    "left_now",
    "needed_today",
]


def lasts_until(tell: Telling) -> Answer:
    """The main answer: until when, by today's plan, with verdict and what to do."""
    drawn = tell.drawn
    reached = tell.reached_min()
    band, best = band_of(reached), drawn.best_reached_min(tell.best_usable_l)
    risks = tell.risks(reached)
    verdict, todo = _verdict(tell, band, best, risks)
    low, value, high = _clock(tell, band, best)
    return tell.answer(
        question=f"Until when does {tell.name} last by today's plan?",
        value=value,
        low=low,
        high=high,
        unit=CLOCK,
        covers=_covers(tell, band),
        sentence=_sentence(tell, band, best),
        settles="" if value is not None or low is not None else "Not reached by today's plan.",
        reasons=_reasons(tell, todo),
        steps=_steps(tell, band, best),
        cautions=_cautions(tell),
        verdict=verdict,
        todo=todo,
    )


def _clock(
    tell: Telling, band: Band, best: float
) -> tuple[float | None, float | None, float | None]:
    """Early end, best and late end as clock times; a late end never reached is the plan's end."""
    if not isfinite(band.low) and not isfinite(best):
        return None, None, None
    end = max(tell.drawn.end_min, best if isfinite(best) else 0.0)
    high = band.high if isfinite(band.high) else end
    low = floor_min(min(band.low, best))
    if not isfinite(best):
        return low, None, max(high, low)
    return low, best, max(high, best)


def _covers(tell: Telling, band: Band) -> str:
    if isfinite(band.low) and not isfinite(band.high):
        return f"{COVERS}; the late end is the end of the plan, where it is not reached"
    return COVERS


def _sentence(tell: Telling, band: Band, best: float) -> str:
    name, drawn = tell.name, tell.drawn
    if tell.best_usable_l <= 0:
        return f"{name} has reached what is kept back."
    left = tell.litres(max(tell.best_contents_l - drawn.best_needed_l, 0.0))
    if isfinite(best):
        late = clock_text(band.high) if isfinite(band.high) else "not today"
        likely = clock_span(clock_text(floor_min(band.low)), late)
        inside = next(
            (
                f", inside {one.case.name}"
                for one in drawn.ends
                if one.case.start_min <= best <= one.case.end_min
            ),
            "",
        )
        at = f"{clock_text(best)} ({likely}){inside}"
        return f"By today's plan {name} reaches what is kept back at {at}."
    if isfinite(band.low):
        early = clock_text(floor_min(band.low))
        return f"{name} may reach what is kept back from {early}; most likely it does not today."
    if not drawn.ends:
        return f"{name} is not used today: about {left} are in it."
    return f"{name} lasts today: about {left} are left at {clock_text(drawn.end_min)}."


def _reasons(tell: Telling, todo: str) -> tuple[str, ...]:
    usable, needed = tell.litres(tell.best_usable_l), tell.litres(tell.drawn.best_needed_l)
    lines = [
        f"{usable} are above what is kept back ({tell.day.policy.words}); today asks for {needed}."
    ]
    return (todo, *lines) if todo.startswith("Fit") else tuple(lines)


def _steps(tell: Telling, band: Band, best: float) -> tuple[Step, ...]:
    drawn = tell.drawn
    read = "; then ".join(tell.readings) or "level as entered"
    steps = [
        Step(
            what=f"{read}, by real-gas tables",
            result=tell.litres(tell.best_contents_l),
            note=f"{tell.litres_span(band_of(tell.contents_l))}; free gas at"
            f" {tell.day.plan.place.condition.name}",
        ),
        Step(
            what=f"Less what is kept back: {tell.day.policy.words}",
            result=tell.litres(tell.best_usable_l),
            note=f"{tell.litres(tell.best_kept_l)} kept back leaves"
            f" {tell.litres_span(band_of(tell.usable_l()))}",
        ),
    ]
    for demand in drawn.demands:
        steps += [Step(what=line.words, result=tell.litres(line.litres)) for line in demand.lines]
    if isfinite(best):
        steps.append(Step(what="Reached, case after case", result=clock_text(best)))
    return tuple(steps)


def _cautions(tell: Telling) -> tuple[str, ...]:
    lines = ["A gauge reading comes before this plan: read it before each case."]
    if any(not one.machine.oxygen_alarm for one in tell.drawn.demands) and tell.drawn.held:
        names = ", ".join(
            one.machine.name for one in tell.drawn.demands if not one.machine.oxygen_alarm
        )
        lines.append(
            f"{names}: no oxygen failure alarm is known of; read the gauge at the times given."
        )
    return tuple(lines)


def _verdict(
    tell: Telling, band: Band, best: float, risks: Sequence[CaseRisk]
) -> tuple[Verdict, str]:
    if tell.best_usable_l <= 0 or float(band_of(tell.usable_l()).low) <= 0:
        return Verdict.STOP, f"Change {tell.name} before you begin."
    asking = [one for one in risks if one.chance > tell.ask_above]
    if not asking:
        return Verdict.FINE, ""
    first = asking[0]
    todo = fit_before(tell, first, band)
    is_next = first.end is risks[0].end
    return (Verdict.STOP if is_next and first.chance > 0.5 else Verdict.LOOK_AGAIN), todo


def fit_before(tell: Telling, first: CaseRisk, band: Band) -> str:
    """What to do about the first case that asks for more: fit before it, or stand by."""
    early = clock_text(floor_min(band.low))
    if tell.drawn.source.kind is SourceKind.LIQUID:
        return f"Have {tell.name} filled before {first.name}, or by {early}."
    if first.first_gas_min > tell.now_min:
        return f"Fit a full one before {first.name}."
    if band.low <= tell.now_min:
        return f"Read {tell.name} now: it may already be at what is kept back."
    if tell.drawn.source.kind is SourceKind.MANIFOLD:
        return f"Have full ones on the standby bank by {early}, inside {first.name}."
    return f"Bring a full one now: change over by {early}, inside {first.name}."


def change_overs(tell: Telling) -> tuple[Answer, ...]:
    """When each cylinder or bank is used up: the early end of the band is the time to act by."""
    held = tell.drawn.held or ()
    return tuple(
        found
        for place in range(len(held))
        if (found := _change_over(tell, place, last=place == len(held) - 1)) is not None
    )


def _change_over(tell: Telling, place: int, *, last: bool) -> Answer | None:
    drawn = tell.drawn
    reached = tell.reached_min(place + 1)
    band = band_of(reached)
    if not isfinite(band.low) or not drawn.ends:
        return None
    best_l = tell.best_usable_upto_l(place + 1)
    automatic = drawn.source.kind is SourceKind.MANIFOLD and not last
    early = floor_min(band.low)
    late = band.high if isfinite(band.high) else max(drawn.end_min, early)
    verdict, todo = _about_change(tell, reached, band, automatic=automatic)
    what = _what_changes(tell, place)
    return tell.answer(
        question=f"By when must {what} be changed?",
        value=early,
        low=early,
        high=max(late, early),
        unit=CLOCK,
        covers="from the early end of a 90 % band, which is the time to act by",
        sentence=_when_changed(what, early, drawn.best_reached_min(best_l), automatic=automatic),
        reasons=(
            todo or "No case is cut into.",
            f"{tell.litres(best_l)} are above what is kept back up to there.",
        ),
        cautions=("Flows off and the other gas for the animal before a cylinder is changed.",),
        verdict=verdict,
        todo=todo,
    )


def _about_change(
    tell: Telling, reached: Any, band: Band, *, automatic: bool
) -> tuple[Verdict, str]:
    if automatic:
        early = clock_text(floor_min(band.low))
        return Verdict.FINE, f"Put full cylinders on the empty bank after {early}."
    risks = [one for one in tell.risks(reached) if one.chance > tell.ask_above]
    if not risks:
        return Verdict.FINE, ""
    return Verdict.LOOK_AGAIN, fit_before(tell, risks[0], band)


def _when_changed(what: str, early: float, best: float, *, automatic: bool) -> str:
    likely = f"most likely {clock_text(best) if isfinite(best) else 'not today'}"
    does = "changes over by itself from" if automatic else "must be changed by"
    return f"{what[0].upper()}{what[1:]} {does} {clock_text(early)} ({likely})."


def _what_changes(tell: Telling, place: int) -> str:
    kind = tell.drawn.source.kind
    if kind is SourceKind.MANIFOLD:
        return f"{('the duty bank', 'the standby bank')[place]} of {tell.name}"
    if kind is SourceKind.SEQUENCE:
        label = tell.drawn.source.cylinders[place].cylinder.label
        return f"cylinder {place + 1} of {tell.name}{f' ({label})' if label else ''}"
    return tell.name


def left_now(tell: Telling) -> Answer:
    """What is in it at the reading, in litres."""
    band = band_of(tell.contents_l)
    best = tell.litres(tell.best_contents_l)
    return tell.litres_answer(
        tell.best_contents_l,
        tell.contents_l,
        question=f"What is left in {tell.name}?",
        sentence=f"About {best} of {tell.drawn.source.gas} ({tell.litres_span(band)}).",
        reasons=(f"Read: {'; then '.join(tell.readings) or 'level as entered'}.",),
    )


def needed_today(tell: Telling) -> Answer:
    """What today needs, what is kept back included: the flag on the level bar."""
    drawn = tell.drawn
    kept = sum(one.kept_l for one in drawn.held) if drawn.held else drawn.needed_l * 0.0
    best_l = drawn.best_needed_l + tell.best_kept_l
    steps = [
        Step(what=line.words, result=tell.litres(line.litres))
        for demand in drawn.demands
        for line in demand.lines
    ]
    leak_l = (
        drawn.best_needed_l
        + drawn.best_taken_before_l
        - sum(line.litres for demand in drawn.demands for line in demand.lines)
    )
    if leak_l > 0.5:
        steps.append(Step(what="Leak and losses while open", result=tell.litres(leak_l)))
    if drawn.best_taken_before_l > 0.5:
        steps.append(
            Step(
                what="Less what was drawn before the reading",
                result=f"−{tell.litres(drawn.best_taken_before_l)}",
            )
        )
    if drawn.held:
        steps.append(Step(what="Kept back", result=tell.litres(tell.best_kept_l)))
    return tell.litres_answer(
        best_l,
        drawn.needed_l + kept,
        question=f"What does today need of {tell.name}?",
        sentence=f"Today needs about {tell.litres(best_l)}, each case with its checks and one"
        f" flush{', what is kept back included' if drawn.held else ''}.",
        reasons=(f"Cases fed by {tell.name} today: {len(drawn.ends)}.",),
        steps=tuple(steps),
    )


def left_at_end(tell: Telling) -> Answer:
    """What today's plan leaves in it."""
    drawn = tell.drawn
    left = (tell.contents_l - drawn.needed_l).clip(min=0.0)
    best_l = max(tell.best_contents_l - drawn.best_needed_l, 0.0)
    short = best_l < tell.best_kept_l
    said = f"About {tell.litres(best_l)} are left by today's plan"
    return tell.litres_answer(
        best_l,
        left,
        question=f"What is left in {tell.name} after today?",
        sentence=f"{said}, less than what is kept back." if short else f"{said}.",
        reasons=(
            f"{tell.litres(tell.best_contents_l)} less {tell.litres(drawn.best_needed_l)} asked.",
        ),
    )


def lasts_at_mean_flow(tell: Telling) -> Answer | None:
    """How long the usable gas lasts at the mean flow of today's cases."""
    drawn = tell.drawn
    if drawn.best_curve is None or not drawn.ends or drawn.best_needed_l <= 0:
        return None
    minutes = _flowing_min(tell)
    if minutes <= 0:
        return None
    mean_l_min = drawn.best_needed_l / minutes
    lasts = tell.usable_l() * minutes / drawn.needed_l.clip(min=1e-9)
    best, band = tell.best_usable_l / mean_l_min, band_of(lasts)
    low, high = min(band.low, best), max(band.high, best)
    return tell.answer(
        question=f"How long does {tell.name} last at {figure(mean_l_min)} L/min?",
        value=best,
        low=low,
        high=high,
        unit="min",
        covers=COVERS,
        sentence=f"{minutes_text(best)} at {figure(mean_l_min)} L/min, the mean of today with its"
        f" checks ({span(low, high, 'min')}).",
        reasons=(f"{tell.litres(tell.best_usable_l)} are above what is kept back.",),
    )


def _flowing_min(tell: Telling) -> float:
    """[min] in which cases run after the reading, by the plan; none is counted twice."""
    found, until = 0.0, tell.drawn.read_min
    for one in tell.drawn.ends:
        begin = max(one.case.start_min, until)
        found += max(one.case.end_min - begin, 0.0)
        until = max(until, one.case.end_min)
    return found


def case_chances(tell: Telling) -> tuple[CaseChance, ...]:
    """For each case still to come, the chance that what is kept back is reached before its end."""
    return tuple(
        CaseChance(case=one.name, machine=one.end.case.machine, answer=_chance(tell, one))
        for one in tell.risks(tell.reached_min())
    )


def _chance(tell: Telling, risk: CaseRisk) -> Answer:
    per_cent = 100.0 * risk.chance
    asks = risk.chance > tell.ask_above
    said = f"{per_cent:.0f}" if per_cent >= 1 or per_cent == 0 else "fewer than 1"
    return tell.answer(
        question=f"Will {tell.name} see {risk.name} through?",
        value=per_cent,
        unit="%",
        sentence=f"On {said} of 100 such days {tell.name} reaches what is kept back before"
        f" {risk.name} ends.",
        reasons=(f"{tell.day.draws} days were drawn from what is not known for certain.",),
        verdict=Verdict.LOOK_AGAIN if asks else Verdict.FINE,
        todo=f"Fit a full one before {risk.name}." if asks else "",
    )
