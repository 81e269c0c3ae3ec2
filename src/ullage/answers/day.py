"""A day's supply: for each source until when it lasts, when to change, and what to keep in mind."""

from ullage.answers.day_base import Telling
from ullage.answers.day_cylinders import (
    case_chances,
    change_overs,
    lasts_at_mean_flow,
    lasts_until,
    left_at_end,
    left_now,
    needed_today,
)
from ullage.answers.day_draws import DayDraws, SourceDraws, day_draws
from ullage.answers.day_others import (
    by_linear_rule,
    concentrator_serves,
    fed_by_reserves,
    gauge_cannot_tell,
    if_it_fails,
    may_begin,
    next_reading,
    pipeline_holds,
    reading_times_min,
    reserve_ready,
    shortest,
    unfed_answers,
)
from ullage.answers.outlook import DaySupply, SourceOutlook
from ullage.answers.plan import DayPlan, SourceKind
from ullage.core.checks import not_negative, within

__all__ = ["DRAWS", "SEED", "day_supply"]

DRAWS = 4096
SEED = 20_260_609


def day_supply(plan: DayPlan, draws: int = DRAWS, seed: int = SEED) -> DaySupply:
    """What a day plan comes to, source by source.

    Parameters
    ----------
    plan : sources, machines, cases, place and policy.
    draws : [1] days to draw, 16 to 1 000 000.
    seed : [1] the same plan, draws and seed give the same answers.

    Returns
    -------
    One outlook for each source, and the demands that no source feeds.

    Raises
    ------
    InvalidQuantity : draws outside their range, a seed below 0.
    RuleBroken : a reading that no such cylinder can show.

    >>> from ullage.answers.plan import Case, GasSource, Held, Machine, Phase
    >>> from ullage.answers.things import Cylinder, Reading
    >>> from ullage.core.gas import Gas
    >>> alder = GasSource(name="Alder", kind=SourceKind.CYLINDER, feeds=("Wren",), cylinders=(
    ...     Held(cylinder=Cylinder(gas=Gas.OXYGEN, water_capacity_l=4.7),
    ...          reading=Reading(at_min=472, gauge_kpa=7100)),))
    >>> day = DayPlan(sources=(alder,), machines=(Machine(name="Wren"),), cases=(Case(
    ...     name="Clover", machine="Wren", start_min=630,
    ...     phases=(Phase(name="all", minutes=240, oxygen_l_min=1.7),)),))
    >>> day_supply(day).source("Alder").lasts_until.verdict.value
    'Stop'
    """
    within("draws", draws, 16, 1_000_000)
    not_negative("seed", seed)
    found = day_draws(plan, draws, seed)
    return DaySupply(
        sources=tuple(_outlook(found, one) for one in found.sources),
        unfed=tuple(unfed_answers(found)),
        draws=draws,
        seed=seed,
    )


def _outlook(day: DayDraws, drawn: SourceDraws) -> SourceOutlook:
    tell = Telling(day, drawn)
    if drawn.source.reserve_of:
        return _reserve(tell)
    if drawn.source.kind in {SourceKind.PIPELINE, SourceKind.CONCENTRATOR}:
        return _without_contents(tell)
    if drawn.held is None:
        return _named(tell, lasts_until=gauge_cannot_tell(tell))
    behind = shortest(if_it_fails(one) for one in fed_by_reserves(day, drawn.source))
    return _named(
        tell,
        lasts_until=lasts_until(tell),
        lasts=lasts_at_mean_flow(tell),
        left=left_now(tell),
        needed=needed_today(tell),
        left_at_end=left_at_end(tell),
        change_overs=change_overs(tell),
        next_reading=next_reading(tell),
        reading_times_min=reading_times_min(tell),
        chances=case_chances(tell),
        if_it_fails=behind,
        may_begin=may_begin(tell),
        by_linear_rule=by_linear_rule(tell),
    )


def _named(tell: Telling, **answers: object) -> SourceOutlook:
    source = tell.drawn.source
    return SourceOutlook(
        name=source.name,
        kind=source.kind,
        gas=source.gas,
        feeds=source.feeds,
        reserve_of=source.reserve_of,
        **answers,  # type: ignore[arg-type]  # the callers above name the fields
    )


def _reserve(tell: Telling) -> SourceOutlook:
    if tell.drawn.held is None:
        return _named(tell, lasts_until=gauge_cannot_tell(tell))
    fails = if_it_fails(tell)
    left = left_now(tell) if tell.drawn.held else None
    return _named(tell, lasts_until=reserve_ready(tell, fails), left=left, if_it_fails=fails)


def _without_contents(tell: Telling) -> SourceOutlook:
    fails = shortest(if_it_fails(one) for one in fed_by_reserves(tell.day, tell.drawn.source))
    concentrator = tell.drawn.source.kind is SourceKind.CONCENTRATOR
    main = concentrator_serves if concentrator else pipeline_holds
    return _named(tell, lasts_until=main(tell, fails), needed=needed_today(tell), if_it_fails=fails)
