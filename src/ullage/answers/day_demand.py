"""A day plan as demand: for each machine and gas the stretches of its cases, in numbers."""

from collections.abc import Sequence
from dataclasses import dataclass

from ullage.answers.asked import flow_doubt
from ullage.answers.plan import Case, DayPlan, Drive, Machine, Phase
from ullage.core.gas import Gas
from ullage.core.supply import (
    CaseDemand,
    Doubt,
    MachineDemand,
    Stretch,
    chamber_l,
    stretch_l,
    whistle_l,
)
from ullage.reference import sourced

__all__ = ["CaseLine", "DayDemand", "cases_of", "day_demand", "factor_range"]

_DRIVEN_BY = {Gas.OXYGEN: Drive.OXYGEN, Gas.AIR: Drive.AIR}


@dataclass(frozen=True, slots=True, kw_only=True)
class CaseLine:
    """What one case asks of one gas when all goes as meant, in words and litres."""

    case: Case
    litres: float
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class DayDemand:
    """One machine's demand for one gas, with how well its flow is known."""

    machine: Machine
    cases: tuple[Case, ...]
    demand: MachineDemand
    flow: Doubt
    lines: tuple[CaseLine, ...]


def cases_of(plan: DayPlan, machine: Machine) -> tuple[Case, ...]:
    """The cases of a machine in the order of their start."""
    mine = (case for case in plan.cases if case.machine == machine.name)
    return tuple(sorted(mine, key=lambda case: case.start_min))


def factor_range(machine: Machine) -> tuple[float, float]:
    """Litres of drive gas for each litre of minute volume, lowest and highest.

    Where nobody entered the machine's own factor, the range that print and assumption leave.

    >>> factor_range(Machine(name="Wren", drive_factor=0.5))
    (0.5, 0.5)
    """
    if machine.drive_factor is None:
        least = sourced("ventilators", "factor_k.low").value
        return least, sourced("planning", "drive_factor_high").value
    low, high = machine.drive_factor_low, machine.drive_factor_high
    if low is None or high is None:
        return machine.drive_factor, machine.drive_factor
    return min(low, high), max(low, high)


def day_demand(plan: DayPlan, machine: Machine, gas: Gas) -> DayDemand | None:
    """A machine's demand for a gas over the day; None where its cases ask for none."""
    cases = cases_of(plan, machine)
    if not any(_may_ask(case, machine, gas) for case in cases):
        return None
    made = tuple(_case(case, machine, gas) for case in cases)
    flush = sourced("supply", "flush_l_min").band()
    low, high = factor_range(machine)
    demand = MachineDemand(
        cases=made,
        drive_low=low,
        drive_high=high,
        flush_low_l_min=flush.low,
        flush_high_l_min=flush.high,
    )
    if demand.total_l <= 0:
        return None
    metered = [one.metered_l_min for case in made for one in case.stretches if one.metered_l_min]
    lines = (_line(case, one, demand) for case, one in zip(cases, made, strict=True))
    return DayDemand(
        machine=machine,
        cases=cases,
        demand=demand,
        flow=flow_doubt(max(metered, default=1.0), machine.flow_sd_share),
        lines=tuple(lines),
    )


def _may_ask(case: Case, machine: Machine, gas: Gas) -> bool:
    """False where a case surely asks for none of a gas; checks and flushes take oxygen."""
    if gas is Gas.OXYGEN or any(phase.flow_l_min(gas) for phase in case.phases):
        return True
    return case.ventilation is not None and machine.ventilator is _DRIVEN_BY.get(gas)


def _case(case: Case, machine: Machine, gas: Gas) -> CaseDemand:
    """The stretches of a case; the same for every gas, so that one timeline serves all."""
    spread = case.minutes_sd_share
    checks = () if case.checked else (_checks(machine, gas),)
    return CaseDemand(
        begin_min=case.start_min - sum(one.minutes for one in checks),
        stretches=(*checks, *_phases(case, machine, gas)),
        exact=len(checks),
        minutes_sd_share=sourced("planning", "minutes_sd_share").value
        if spread is None
        else spread,
    )


def _checks(machine: Machine, gas: Gas) -> Stretch:
    """Checks before the animal, with one flush; they take oxygen only."""
    minutes = sourced("planning", "check_min").value
    if gas is not Gas.OXYGEN:
        return Stretch(minutes=minutes)
    entered = machine.checks_l
    litres = sourced("planning", "check_l").value if entered is None else entered
    if machine.whistle:
        flow, seconds = (sourced("supply", f"whistle_{one}").value for one in ("l_min", "min_s"))
        litres += whistle_l(flow, seconds)
    return Stretch(minutes=minutes, litres=litres, flush_min=_flush_min())


def _flush_min() -> float:
    return sourced("planning", "flush_s").inside("time")


def _phases(case: Case, machine: Machine, gas: Gas) -> Sequence[Stretch]:
    oxygen = gas is Gas.OXYGEN
    always = machine.sampling_l_min + machine.basal_l_min if oxygen else 0.0
    flush_min = case.flushes * _flush_min() if oxygen else 0.0
    found = []
    for place, phase in enumerate(case.phases):
        breaths, control = _driven(case, phase, machine, gas)
        found.append(
            Stretch(
                minutes=phase.minutes,
                metered_l_min=phase.flow_l_min(gas),
                steady_l_min=always + control,
                minute_volume_l_min=breaths,
                litres=_chamber_l(case, gas) if place == 0 else 0.0,
                flush_min=flush_min * phase.minutes / case.minutes,
            )
        )
    return found


def _driven(case: Case, phase: Phase, machine: Machine, gas: Gas) -> tuple[float, float]:
    """Minute volume and control gas that this gas has to drive in a phase."""
    given = case.ventilation
    if given is None or machine.ventilator is not _DRIVEN_BY.get(gas):
        return 0.0, 0.0
    if given.phases and phase.name not in given.phases:
        return 0.0, 0.0
    return given.minute_volume_l_min, machine.control_l_min


def _chamber_l(case: Case, gas: Gas) -> float:
    """Fills in the mixture of the first phase, purges in oxygen."""
    chamber = case.chamber
    if chamber is None:
        return 0.0
    first = case.phases[0]
    flows = [first.flow_l_min(one) for one in (Gas.OXYGEN, Gas.AIR, Gas.NITROUS_OXIDE)]
    total = sum(flows)
    oxygen = gas is Gas.OXYGEN
    part = first.flow_l_min(gas) / total if total else float(oxygen)
    fills = chamber_l(chamber.volume_l, chamber.fills, chamber.volumes) * part
    return fills + (chamber_l(chamber.volume_l, chamber.purges, chamber.volumes) if oxygen else 0.0)


def _line(case: Case, made: CaseDemand, demand: MachineDemand) -> CaseLine:
    litres = sum(stretch_l(one, demand.drive_factor, demand.flush_l_min) for one in made.stretches)
    parts = [f"{case.minutes:.0f} min"]
    if made.exact:
        parts.append("checks and one flush")
    if case.flushes:
        parts.append(f"{case.flushes} more flush{'es' if case.flushes > 1 else ''}")
    if case.chamber:
        parts.append("chamber")
    if any(one.minute_volume_l_min for one in made.stretches):
        parts.append("drive gas")
    return CaseLine(case=case, litres=litres, words=f"{case.name}: {', '.join(parts)}")
