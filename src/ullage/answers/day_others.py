"""The answers beside the main one: reserves, pipelines, concentrators, readings, linear rule."""

from collections.abc import Iterable
from math import isfinite

from ullage.answers.answer import Answer, Step, Verdict, WhereFrom
from ullage.answers.day_base import COVERS, Telling, floor_min
from ullage.answers.day_draws import DayDraws
from ullage.answers.held import gauge_error_kpa, known_as
from ullage.answers.linear import linear_rules
from ullage.answers.plan import Drive, GasSource, SourceKind
from ullage.answers.words import CLOCK, clock_text, figure, minutes_text, span
from ullage.core.gas import Gas
from ullage.core.supply import band_of, concentrator_shortfall_l_min, worst_minute_min
from ullage.core.units import convert
from ullage.reference import sourced

__all__ = [
    "by_linear_rule",
    "concentrator_serves",
    "fed_by_reserves",
    "gauge_cannot_tell",
    "if_it_fails",
    "machines_alone",
    "may_begin",
    "next_reading",
    "pipeline_holds",
    "reading_times_min",
    "reserve_ready",
    "shortest",
    "unfed_answers",
]


def if_it_fails(tell: Telling) -> Answer | None:
    """How long a reserve lasts if what it stands behind fails at the worst minute."""
    drawn = tell.drawn
    if drawn.best_curve is None or drawn.curve is None or drawn.peak_l_min <= 0:
        return None
    before, name = drawn.source.reserve_of, tell.name
    begin, best = worst_minute_min(drawn.best_curve, tell.best_usable_l, tell.now_min)
    taken = drawn.curve.taken_by_l(begin)
    lasts = drawn.curve.reached_min(tell.usable_l() + taken) - begin
    band = band_of(lasts)
    at = f"at {clock_text(begin)}, the worst minute"
    if not isfinite(best) or not isfinite(band.low):
        best = tell.best_usable_l / drawn.peak_l_min
        band = band_of(tell.usable_l() / drawn.peak_l_min)
        at = f"at the highest flow planned, {figure(drawn.peak_l_min)} L/min"
    high = band.high if isfinite(band.high) else max(best, drawn.end_min - begin)
    low = max(min(band.low, best), 0.0)
    least = _least_minutes(tell)
    short = low < least
    return tell.answer(
        question=f"If {before} fails at the worst minute, how long does {name} last?",
        value=best,
        low=low,
        high=max(high, best),
        unit="min",
        covers=COVERS,
        sentence=f"If {before} fails {at}, {name} lasts {minutes_text(best)}"
        f" ({span(low, max(high, best), 'min')}).",
        reasons=(
            f"{tell.litres(tell.best_usable_l)} of {name} can be used, {_down_to(tell)}.",
            f"The cases running then draw up to {figure(drawn.peak_l_min)} L/min.",
        ),
        cautions=("Keep its valve closed until it is needed, else it empties unseen.",),
        verdict=Verdict.LOOK_AGAIN if short else Verdict.FINE,
        todo=f"Fit a full one as {name}: at least {least:g} min are wanted." if short else "",
    )


def _down_to(tell: Telling) -> str:
    kept_kpa = tell.day.policy.rule.pressure_kpa
    return f"down to {tell.pressure(kept_kpa)}" if kept_kpa else "down to no pressure"


def _least_minutes(tell: Telling) -> float:
    given = tell.day.policy.rule.minutes
    return given or sourced("supply", "reserve_proposal_min").value


def reserve_ready(tell: Telling, fails: Answer | None) -> Answer:
    """The main answer of a reserve: it is drawn on only when what it stands behind fails."""
    before = tell.drawn.source.reserve_of
    empty = tell.best_usable_l <= 0
    worth = f"; {fails.sentence[0].lower()}{fails.sentence[1:]}" if fails else "."
    verdict = Verdict.STOP if empty else fails.verdict if fails else Verdict.FINE
    return tell.answer(
        question=f"Is {tell.name} ready to stand in for {before}?",
        unit=CLOCK,
        settles=f"Not drawn on while {before} holds.",
        sentence=f"{tell.name} holds about {tell.litres(tell.best_contents_l)}{worth}",
        reasons=(f"It stands behind {before} and stays closed until it is needed.",),
        cautions=("Try it today: open, read, close.",),
        verdict=verdict,
        todo=f"Change {tell.name}." if empty else fails.todo if fails else "",
    )


def pipeline_holds(tell: Telling, fails: Answer | None) -> Answer:
    """The main answer of a pipeline: no gauge says how long it lasts."""
    name, needed = tell.name, tell.litres(tell.drawn.best_needed_l)
    alone = machines_alone(tell)
    todo = f"Put a full reserve cylinder behind {name} for {', '.join(alone)}." if alone else ""
    after = f" {fails.sentence}" if fails else ""
    return tell.answer(
        question=f"Until when does {name} last?",
        unit=CLOCK,
        settles="Those who keep the pipeline know what stands behind it: ask them.",
        sentence=f"No gauge here says how long {name} lasts; today asks for {needed}.{after}",
        reasons=(f"Cases that draw on it today: {len(tell.drawn.ends)}.",),
        cautions=("If it fails, disconnect it first, then open the reserve.",),
        verdict=Verdict.LOOK_AGAIN if alone else fails.verdict if fails else Verdict.FINE,
        todo=todo or (fails.todo if fails else ""),
    )


def machines_alone(tell: Telling) -> tuple[str, ...]:
    """Machines with cases today that no reserve stands by."""
    source = tell.drawn.source
    behind = [one.drawn.source for one in fed_by_reserves(tell.day, source)]
    covered = {name for one in behind for name in one.feeds or source.feeds}
    names = (one.machine.name for one in tell.drawn.demands)
    return tuple(name for name in names if name not in covered)


def concentrator_serves(tell: Telling, fails: Answer | None) -> Answer:
    """The main answer of a concentrator: whether its flow and pressure serve today's cases."""
    source, peak = tell.drawn.source, tell.drawn.peak_l_min
    limit = source.flow_limit_l_min
    fraction = source.oxygen_fraction or sourced("supply", "concentrator_oxygen_share").value
    verdict, todo = _concentrator_verdict(tell, fails)
    most = "an unknown flow" if limit is None else f"{figure(limit)} L/min"
    return tell.answer(
        question=f"Does {source.name} serve today's cases?",
        unit=CLOCK,
        settles=f"What is the most {source.name} gives?"
        if limit is None
        else "It lasts as long as its power.",
        sentence=f"{source.name} gives up to {most} at about {100 * fraction:.0f} % oxygen while it"
        f" has power; the plan asks for up to {figure(peak)} L/min.",
        reasons=(todo or f"{figure(peak)} L/min are within {most}.",),
        steps=(Step(what="Highest steady demand by the plan", result=f"{figure(peak)} L/min"),),
        where_from=(
            *tell.where_from,
            known_as(
                sourced("supply", "closed_circle_oxygen_factor"),
                "Fresh oxygen over uptake that keeps argon down.",
            ),
        ),
        cautions=(
            "It has no pressure for a flush or a gas-driven ventilator.",
            "In a closed circle argon builds up: keep fresh oxygen at twice the uptake or more.",
        ),
        verdict=verdict,
        todo=todo,
    )


def _concentrator_verdict(tell: Telling, fails: Answer | None) -> tuple[Verdict, str]:
    source = tell.drawn.source
    driven = _driven_too_low(tell)
    if driven:
        what = f"{source.name} cannot drive the ventilator of {driven}"
        return Verdict.STOP, f"{what}: its pressure is too low. Give it another source."
    limit = source.flow_limit_l_min
    if limit is None:
        return Verdict.LOOK_AGAIN, f"Find out the flow limit of {source.name}."
    short = concentrator_shortfall_l_min(tell.drawn.peak_l_min, limit)
    if short > 0:
        return Verdict.STOP, f"The plan asks for {figure(short)} L/min more than it gives."
    alone = machines_alone(tell)
    if alone:
        behind = f"{source.name} for {', '.join(alone)}"
        return Verdict.LOOK_AGAIN, f"Put a full cylinder behind {behind}: power can fail."
    return (fails.verdict or Verdict.FINE, fails.todo) if fails else (Verdict.FINE, "")


def _driven_too_low(tell: Telling) -> str:
    """A machine whose ventilator the source's pressure cannot drive; empty where there is none."""
    outlet_kpa = tell.drawn.source.outlet_kpa
    if outlet_kpa is None:
        outlet_kpa = sourced("planning", "concentrator_outlet_kpa").value
    if outlet_kpa >= sourced("planning", "drive_least_kpa").value:
        return ""
    for one in tell.drawn.demands:
        stretches = (stretch for case in one.demand.cases for stretch in case.stretches)
        if one.machine.ventilator is Drive.OXYGEN and any(s.minute_volume_l_min for s in stretches):
            return one.machine.name
    return ""


def may_begin(tell: Telling) -> Answer | None:
    """Whether the cylinder in use is full enough to begin on without a second source."""
    source, place = tell.drawn.source, tell.day.plan.place
    if not source.kind.has_cylinders or source.gas is not Gas.OXYGEN or source.reserve_of:
        return None
    gauge_kpa = source.cylinders[0].reading.gauge_kpa
    if gauge_kpa is None:
        return None
    begin_kpa = tell.day.policy.begin_kpa
    second, low_gauge = _second_source(tell), gauge_kpa < begin_kpa
    asks = low_gauge and not second
    error_kpa = gauge_error_kpa(source.cylinders[0].cylinder)
    read, rule = tell.pressure(gauge_kpa), tell.pressure(begin_kpa)

    def shown(kpa: float) -> float:
        return convert(max(kpa, 0.0), "kPa", "pressure", place.pressure_unit)

    return tell.answer(
        question=f"Is {tell.name} full enough to begin?",
        value=shown(gauge_kpa),
        low=shown(gauge_kpa - error_kpa),
        high=shown(gauge_kpa + error_kpa),
        unit=place.pressure_unit,
        covers="the error of the gauge, either way",
        sentence=_begin_sentence(f"{tell.name} reads {read}", rule, second, low_gauge),
        reasons=(second or f"No second source stands behind {tell.name}.",),
        where_from=(
            known_as(
                sourced("supply", "begin_psi"), f"At least half full, about {rule}, to begin."
            ),
            WhereFrom(source="reading", how_known="seen", text=f"{read} on the gauge."),
        ),
        verdict=Verdict.LOOK_AGAIN if asks else Verdict.FINE,
        todo="Bring a full one into the room before you begin." if asks else "",
    )


def _begin_sentence(read: str, rule: str, second: str, low_gauge: bool) -> str:
    if not low_gauge:
        return f"{read}; about {rule} or more are asked for where no second source stands by."
    if second:
        return f"{read}, below about {rule}; {second[0].lower()}{second[1:]}"
    return f"{read}; below about {rule} do not begin without a second source."


def _second_source(tell: Telling) -> str:
    """The sentence that names the second source; empty where there is none."""
    source = tell.drawn.source
    behind = [one for one in tell.day.sources if one.source.reserve_of == source.name]
    behind = [one for one in behind if sum(held.best_usable_l for held in one.held or ()) > 0]
    if behind:
        return f"Behind {source.name} stands {behind[0].source.name}."
    later = (tell.drawn.held or ())[1:]
    if sum(one.best_usable_l for one in later) > 0:
        what = "The standby bank" if source.kind is SourceKind.MANIFOLD else "The next cylinder"
        return f"{what} of {source.name} is the second source."
    return ""


def next_reading(tell: Telling) -> Answer | None:
    """When the gauge is due: the early end of half of it being gone, or the next case."""
    drawn = tell.drawn
    if not drawn.ends or not drawn.source.kind.has_cylinders:
        return None
    due = [one for one in _reading_reasons(tell) if tell.now_min < one[0] < float("inf")]
    if not due:
        return None
    at, why = min(due)
    at = floor_min(at)
    weighed = drawn.source.gas.liquefied
    what = f"Weigh {tell.name} again" if weighed else f"Read the gauge of {tell.name}"
    return tell.answer(
        question=f"When is {tell.name} to be {'weighed' if weighed else 'read'} next?",
        value=at,
        unit=CLOCK,
        sentence=f"{what} by {clock_text(at)}.",
        reasons=(why,),
    )


def _reading_reasons(tell: Telling) -> Iterable[tuple[float, str]]:
    """Times at which a reading is due, each with its reason."""
    half = tell.drawn.reached_min(tell.usable_l() * 0.5)
    yield band_of(half).low, "Half of what is above the reserve may be gone by then."
    for at in reading_times_min(tell):
        yield at, "No oxygen failure alarm is known of, so the gauge is read by the clock."
    for one in tell.drawn.ends:
        yield one.case.start_min, f"It belongs to the checks before {one.case.name}."


def reading_times_min(tell: Telling) -> tuple[float, ...]:
    """[min] times to read the gauge in cases on machines without a known oxygen failure alarm."""
    if not tell.drawn.source.kind.has_cylinders or tell.drawn.source.reserve_of:
        return ()
    given = tell.day.plan.reading_interval_min
    interval = sourced("planning", "reading_interval_min").value if given is None else given
    found: set[float] = set()
    for demand in tell.drawn.demands:
        if demand.machine.oxygen_alarm is True:
            continue
        for case in demand.cases:
            count = int(case.minutes // interval) + 1
            found |= {case.start_min + interval * step for step in range(count)}
    return tuple(sorted(at for at in found if at >= tell.now_min))


def by_linear_rule(tell: Telling) -> Answer | None:
    """The same day by the common linear rule, named as such, with its error beside it."""
    source = tell.drawn.source
    readings = [(held, held.reading.gauge_kpa) for held in source.cylinders]
    if not readings or any(gauge is None for _, gauge in readings) or source.gas.liquefied:
        return None
    rules = [(held, gauge or 0.0, linear_rules(held.cylinder)[0]) for held, gauge in readings]
    rule_l = sum(held.count * rule.usable_l(gauge) for held, gauge, rule in rules)
    best = tell.drawn.best_reached_min(rule_l)
    real_l = tell.best_usable_l
    per_cent = round(100 * (rule_l / real_l - 1)) if real_l > 0 else 0
    error = f"{per_cent:+d} %" if per_cent else "the same"
    label = rules[0][2].label
    reached = isfinite(best)
    when = f"reached at {clock_text(best)}" if reached else "not reached today"
    return tell.answer(
        question=f"What does the common linear rule say of {tell.name}?",
        value=best if reached else None,
        unit=CLOCK,
        settles="" if reached else "Not reached today by the rule.",
        sentence=f"By the {label[0].lower()}{label[1:]}, {tell.litres(rule_l)} can be used ({error}"
        f" against the real gas): {when}.",
        reasons=("The rule takes contents as proportional to the gauge, at any temperature.",),
        steps=(
            Step(what=f"{label}, less 200 psi", result=tell.litres(rule_l), note=error),
            Step(what="By real-gas tables", result=tell.litres(real_l)),
        ),
        where_from=(*tell.where_from, rules[0][2].where_from),
    )


def gauge_cannot_tell(tell: Telling) -> Answer:
    """The main answer of a liquefied gas whose gauge stands still: weigh it."""
    name, gas = tell.name, tell.drawn.source.gas
    return tell.answer(
        question=f"Until when does {name} last by today's plan?",
        unit=CLOCK,
        settles=f"What does {name} weigh, and what is its tare?",
        sentence=f"The gauge cannot tell: weigh {name}. Today asks for"
        f" {tell.litres(tell.drawn.best_needed_l)}.",
        reasons=(f"{str(gas).capitalize()} stands at one pressure as long as any liquid is left.",),
        cautions=("A cylinder of liquefied gas is planned by weight alone.",),
        verdict=Verdict.LOOK_AGAIN,
        todo=f"Weigh {name}: gross weight less the tare stamped on the shoulder.",
    )


def unfed_answers(day: DayDraws) -> Iterable[Answer]:
    """A demand that no source feeds: stop, and say which."""
    for demand, gas in day.unfed:
        names = ", ".join(case.name for case in demand.cases)
        yield Answer(
            question=f"What gives {demand.machine.name} its {gas}?",
            unit="L",
            settles=f"Which source feeds {gas} to {demand.machine.name}?",
            sentence=f"No source feeds {gas} to {demand.machine.name}.",
            reasons=(f"Its cases ask for it: {names}.",),
            where_from=(
                WhereFrom(source="entered", how_known="seen", text="Cases and sources as planned."),
            ),
            verdict=Verdict.STOP,
            todo=f"Name a source of {gas} for {demand.machine.name}.",
            draws=day.draws,
            seed=day.seed,
        )


def shortest(answers: Iterable[Answer | None]) -> Answer | None:
    """Of several reserves the one that lasts shortest."""
    known = [one for one in answers if one is not None and one.value is not None]
    return min(known, key=lambda one: one.value or 0.0) if known else None


def fed_by_reserves(day: DayDraws, source: GasSource) -> list[Telling]:
    """The reserves that stand behind a source."""
    return [Telling(day, one) for one in day.sources if one.source.reserve_of == source.name]
