"""How long a day plan of 20 cases and 6 sources takes, and whether a seed gives it back."""

from collections.abc import Iterable

from benchmarks.frame import Figure, best_seconds
from ullage.answers import day_supply
from ullage.answers.plan import (
    Case,
    DayPlan,
    Drive,
    GasSource,
    Held,
    Machine,
    Phase,
    SourceKind,
    Ventilation,
)
from ullage.answers.things import Cylinder, Reading
from ullage.core.gas import Gas

__all__ = ["figures", "plan_of"]

DRAWS = 4096
SEED = 20_260_609
LIMIT_MS = 60.0


def _held(bar: float, water_l: float = 4.7, count: int = 1) -> Held:
    cylinder = Cylinder(gas=Gas.OXYGEN, water_capacity_l=water_l, full_scale_kpa=25_000.0)
    return Held(cylinder=cylinder, reading=Reading(at_min=420.0, gauge_kpa=100 * bar), count=count)


def _sources() -> tuple[GasSource, ...]:
    return (
        GasSource(
            name="Alder", kind=SourceKind.CYLINDER, feeds=("Wren",), cylinders=(_held(118.0),)
        ),
        GasSource(
            name="Medlars",
            kind=SourceKind.SEQUENCE,
            feeds=("Siskin",),
            cylinders=(_held(52.0), _held(128.0)),
        ),
        GasSource(
            name="Birches",
            kind=SourceKind.MANIFOLD,
            feeds=("Dunlin", "Plover"),
            cylinders=(_held(34.0, 47.2, 2), _held(130.0, 47.2, 2)),
            leak_l_min=0.05,
        ),
        GasSource(name="Wall", kind=SourceKind.PIPELINE, feeds=("Heron",)),
        GasSource(
            name="Rowan",
            kind=SourceKind.CYLINDER,
            feeds=("Heron",),
            reserve_of="Wall",
            cylinders=(_held(110.0),),
        ),
        GasSource(
            name="Frost",
            kind=SourceKind.LIQUID,
            feeds=("Robin",),
            liquid_l=10.0,
            daily_loss_share=0.015,
        ),
    )


def _case(number: int, machine: str, start_min: float) -> Case:
    return Case(
        name=f"Case {number}",
        machine=machine,
        start_min=start_min,
        phases=(
            Phase(name="preparation", minutes=15.0, oxygen_l_min=3.0),
            Phase(name="procedure", minutes=45.0, oxygen_l_min=1.2),
            Phase(name="waking", minutes=15.0, oxygen_l_min=3.0),
        ),
        flushes=1,
        ventilation=Ventilation(minute_volume_l_min=5.0, phases=("procedure",)),
    )


def plan_of(cases: int = 20) -> DayPlan:
    """A full day: six machines, six sources of five kinds, the cases spread over them."""
    names = ("Wren", "Heron", "Dunlin", "Plover", "Robin", "Siskin")
    machines = tuple(
        Machine(name=name, ventilator=Drive.OXYGEN if name == "Heron" else Drive.NONE)
        for name in names
    )
    planned = tuple(
        _case(number + 1, names[number % len(names)], 480.0 + 100.0 * (number // len(names)))
        for number in range(cases)
    )
    return DayPlan(sources=_sources(), machines=machines, cases=planned)


def figures() -> Iterable[Figure]:
    """The time of one plan on a warm process, and the sameness of two answers of one seed."""
    plan = plan_of()
    one = day_supply(plan, DRAWS, SEED).as_dict()
    yield Figure(
        name="day plan of 20 cases and 6 sources",
        value=1000.0 * best_seconds(lambda: day_supply(plan, DRAWS, SEED), repeats=15),
        limit=LIMIT_MS,
        comparison="<=",
        n=DRAWS,
        seed=SEED,
        unit="ms",
        note="every answer with its words, best of 15",
    )
    yield Figure(
        name="day plan, the same seed gives the same answer",
        value=float(day_supply(plan, DRAWS, SEED).as_dict() == one),
        limit=1.0,
        comparison=">=",
        n=2,
        seed=SEED,
        note="1 is the same to the last digit",
    )
