"""The draws of a day: when cases run, what each source holds, when what is kept back is reached."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import TYPE_CHECKING

from ullage.answers.day_demand import DayDemand, day_demand
from ullage.answers.day_held import HeldDraws, Keeping, held_draws
from ullage.answers.dice import Dice
from ullage.answers.held import Policy, policy_of
from ullage.answers.plan import Case, DayPlan, GasSource, SourceKind
from ullage.core.gas import Gas
from ullage.core.supply import (
    DemandCurve,
    Flowing,
    Loss,
    ReserveRule,
    Timeline,
    concurrent_peak_l_min,
    demand_curve,
    drawn_shares,
    liquid_loss_l_min,
    timeline,
)

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

__all__ = ["CaseEnd", "DayDraws", "SourceDraws", "day_draws"]

type Floats = NDArray[np.float64]

_DAY_MIN = 1440.0


@dataclass(frozen=True, slots=True)
class CaseEnd:
    """When a case ends, a number a draw."""

    case: Case
    ends_min: "Floats"


@dataclass(frozen=True)
class SourceDraws:
    """One source with its demand and its contents; ``held`` is None where no gauge can tell."""

    source: GasSource
    demands: tuple[DayDemand, ...]
    peak_l_min: float
    curve: DemandCurve | None
    best_curve: DemandCurve | None
    taken_before_l: "Floats"
    best_taken_before_l: float
    held: tuple[HeldDraws, ...] | None
    ends: tuple[CaseEnd, ...]
    read_min: float

    def reached_min(self, usable_l: "Floats") -> "Floats":
        """[min] when so much has been drawn since the reading; the reading itself if nothing."""
        import numpy as np

        if self.curve is None:
            return np.where(usable_l > 0, np.inf, self.read_min)
        reached = self.curve.reached_min(usable_l + self.taken_before_l)
        return np.maximum(np.where(usable_l > 0, reached, self.read_min), self.read_min)

    def best_reached_min(self, usable_l: float) -> float:
        """[min] the same for the day as it is meant to be."""
        import numpy as np

        if usable_l <= 0:
            return self.read_min
        if self.best_curve is None:
            return float("inf")
        wanted = np.array([usable_l + self.best_taken_before_l])
        return max(float(self.best_curve.reached_min(wanted)[0]), self.read_min)

    @cached_property
    def needed_l(self) -> "Floats":
        """[L] demand from the reading to the end of the day."""
        if self.curve is None:
            return self.taken_before_l * 0.0
        return self.curve.total_l - self.taken_before_l

    @property
    def best_needed_l(self) -> float:
        """[L] the same for the day as it is meant to be."""
        if self.best_curve is None:
            return 0.0
        return float(self.best_curve.total_l[0]) - self.best_taken_before_l

    @property
    def end_min(self) -> float:
        """[min] end of the last case it feeds, by the plan; the reading where it feeds none."""
        return max((one.case.end_min for one in self.ends), default=self.read_min)


@dataclass(frozen=True, slots=True)
class DayDraws:
    """All sources of a day, with the policy in numbers."""

    plan: DayPlan
    policy: Policy
    sources: tuple[SourceDraws, ...]
    unfed: tuple[tuple[DayDemand, Gas], ...]
    draws: int
    seed: int


@dataclass(frozen=True, slots=True)
class _Running:
    """One machine's timeline by the draws and as it is meant to be."""

    when: Timeline
    best: Timeline


def day_draws(plan: DayPlan, draws: int, seed: int) -> DayDraws:
    """Draw a day: the same plan, count and seed give the same draws."""
    dice = Dice(seed, draws)
    policy = policy_of(plan.policy, plan.place)
    machines = _machines(plan, dice)
    main = [source for source in plan.sources if not source.reserve_of]
    fed = {(name, source.gas) for source in main for name in source.feeds}
    made = tuple(_source(source, plan, policy, machines, dice) for source in plan.sources)
    return DayDraws(
        plan=plan,
        policy=policy,
        sources=made,
        unfed=tuple((one, key[1]) for key, one in machines.demands.items() if key not in fed),
        draws=draws,
        seed=seed,
    )


def _machines(plan: DayPlan, dice: Dice) -> "_Machines":
    """Every machine's day: its demands, its flows and its timeline."""
    found = _Machines({}, {}, {}, {})
    for machine in plan.machines:
        for gas in (Gas.OXYGEN, Gas.AIR, Gas.NITROUS_OXIDE):
            demand = day_demand(plan, machine, gas)
            if demand is None:
                continue
            if machine.name not in found.running:
                found.running[machine.name] = _running(demand, dice)
            found.demands[machine.name, gas] = demand
            found.flows[machine.name, gas] = _flowing(demand, found.running[machine.name], dice)
    return found


def _running(found: DayDemand, dice: Dice) -> _Running:
    import numpy as np

    cases = found.demand.cases
    return _Running(
        when=timeline(cases, dice.normal(len(cases))),
        best=timeline(cases, np.zeros((len(cases), 1))),
    )


def _flowing(found: DayDemand, running: _Running, dice: Dice) -> tuple[Flowing, Flowing]:
    """A machine's flows by the draws, and as they are meant to be."""
    import numpy as np

    demand, doubt = found.demand, found.flow
    if doubt.flow_limit_share:
        share = 1.0 + doubt.flow_limit_share * dice.even()
    else:
        share = drawn_shares(doubt.flow_sd_share, dice.normal())
    drawn = Flowing(
        demand=demand,
        when=running.when,
        flow_share=share,
        drive_factor=dice.within(demand.drive_low, demand.drive_high),
        flush_l_min=dice.within(demand.flush_low_l_min, demand.flush_high_l_min),
    )
    best = replace(
        drawn,
        when=running.best,
        flow_share=np.ones(1),
        drive_factor=np.array([demand.drive_factor]),
        flush_l_min=np.array([demand.flush_l_min]),
    )
    return drawn, best


@dataclass(frozen=True, slots=True)
class _Fed:
    """What a source feeds."""

    demands: tuple[DayDemand, ...]
    drawn: tuple[Flowing, ...]
    best: tuple[Flowing, ...]
    ends: tuple[CaseEnd, ...]


@dataclass(frozen=True, slots=True)
class _Machines:
    """Demands and flows by machine and gas, timelines by machine."""

    demands: dict[tuple[str, Gas], DayDemand]
    flows: dict[tuple[str, Gas], tuple[Flowing, Flowing]]
    running: dict[str, _Running]
    curves: dict[tuple[int, ...], tuple[DemandCurve, DemandCurve]]

    def fed_by(self, names: tuple[str, ...], gas: Gas) -> _Fed:
        """What the machines named ask of a gas."""
        keys = [(name, gas) for name in names if (name, gas) in self.demands]
        ends = [
            CaseEnd(case, self.running[name].when.ends_min[place])
            for name, _ in keys
            for place, case in enumerate(self.demands[name, gas].cases)
        ]
        return _Fed(
            demands=tuple(self.demands[key] for key in keys),
            drawn=tuple(self.flows[key][0] for key in keys),
            best=tuple(self.flows[key][1] for key in keys),
            ends=tuple(sorted(ends, key=lambda one: one.case.start_min)),
        )


def _feeds(source: GasSource, plan: DayPlan) -> tuple[str, ...]:
    """The machines of a source; a reserve that names none stands for all of the one before it."""
    if source.feeds or not source.reserve_of:
        return source.feeds
    return next((one.feeds for one in plan.sources if one.name == source.reserve_of), ())


def _source(
    source: GasSource, plan: DayPlan, policy: Policy, machines: _Machines, dice: Dice
) -> SourceDraws:
    import numpy as np

    fed = machines.fed_by(_feeds(source, plan), source.gas)
    if source.reserve_of:  # a reserve is there to be used: only its pressure is kept
        rule = ReserveRule(pressure_kpa=policy.rule.pressure_kpa)
        policy = replace(policy, rule=rule)

    peak_l_min = concurrent_peak_l_min([one.demand for one in fed.demands]) + source.leak_l_min
    held = held_draws(source, Keeping(policy, peak_l_min, plan.place), dice)
    losses, best_losses = _losses(source, fed, held, dice)
    curve, best = _curves(machines, fed, losses, best_losses)
    read_min = source.reading_min or 0.0
    return SourceDraws(
        source=source,
        demands=fed.demands,
        peak_l_min=peak_l_min,
        curve=curve,
        best_curve=best,
        taken_before_l=np.zeros(dice.draws) if curve is None else curve.taken_by_l(read_min),
        best_taken_before_l=0.0 if best is None else float(best.taken_by_l(read_min)[0]),
        held=held,
        ends=fed.ends,
        read_min=read_min,
    )


def _curves(
    machines: _Machines, fed: _Fed, losses: list[Loss], best_losses: list[Loss]
) -> tuple[DemandCurve | None, DemandCurve | None]:
    """Demand by draws and as it is meant to be; sources of the same machines share it."""
    if not fed.drawn and not losses:
        return None, None
    key = tuple(id(one) for one in fed.drawn)
    if losses or key not in machines.curves:
        made = demand_curve(fed.drawn, losses), demand_curve(fed.best, best_losses)
        if losses:
            return made
        machines.curves[key] = made
    return machines.curves[key]


def _losses(
    source: GasSource, fed: _Fed, held: tuple[HeldDraws, ...] | None, dice: Dice
) -> tuple[list[Loss], list[Loss]]:
    """Leak while open, and what a vessel of liquid loses by itself; drawn, and as it stands."""
    import numpy as np

    drawn, best = [], []
    if source.leak_l_min > 0 and (fed.drawn or source.closes_min is not None):
        lost = source.leak_l_min + source.leak_band_l_min * dice.even()
        drawn.append(Loss(*_open(source, fed.drawn, dice.draws), lost))
        best.append(Loss(*_open(source, fed.best, 1), np.array([source.leak_l_min])))
    if source.kind is SourceKind.LIQUID and source.daily_loss_share > 0 and held:
        each_l = liquid_loss_l_min(1.0, source.daily_loss_share)
        begin = source.reading_min or 0.0
        for found, inside in (
            (drawn, held[0].contents_l),
            (best, np.array([held[0].best_contents_l])),
        ):
            ends = np.full_like(inside, begin), np.full_like(inside, begin + _DAY_MIN)
            found.append(Loss(*ends, each_l * inside))
    return drawn, best


def _open(source: GasSource, flows: Sequence[Flowing], count: int) -> tuple["Floats", "Floats"]:
    """From the first check to the end of the last case, where nobody has said otherwise."""
    import numpy as np

    first, last = np.full(count, source.opens_min or 0.0), np.full(count, source.closes_min or 0.0)
    if source.opens_min is None and flows:
        first = np.stack([one.when.corners_min[0] for one in flows]).min(axis=0)
    if source.closes_min is None:
        last = np.stack([one.when.ends_min[-1] for one in flows]).max(axis=0)
    return first, np.maximum(last, first)
