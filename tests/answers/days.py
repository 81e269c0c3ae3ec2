"""Things of a day that several tests plan with; names and numbers are invented."""

from ullage.answers.plan import (
    Case,
    DayPlan,
    GasSource,
    Held,
    Machine,
    Phase,
    SourceKind,
)
from ullage.answers.things import Cylinder, Place, Reading, ReservePolicy
from ullage.core.gas import C15, F70, Gas

#: A site that keeps 14 bar back.
KEEPS_14_BAR = ReservePolicy(pressure_kpa=1400.0)
AT_20 = Place(temperature_k=293.15, temperature_band_k=1.0, temperature_given=True, condition=C15)
US = Place(condition=F70, pressure_unit="psi")


def held(bar, water=4.7, at=472.0, count=1, **more):
    """A cylinder of oxygen that reads so many bar at so many minutes after midnight."""
    cylinder = Cylinder(
        gas=more.pop("gas", Gas.OXYGEN), water_capacity_l=water, full_scale_kpa=25_000.0, **more
    )
    return Held(cylinder=cylinder, reading=Reading(at_min=at, gauge_kpa=100.0 * bar), count=count)


def case(name, start, minutes, flow=1.7, machine="Wren", **more):
    """A case of one phase; checked already unless told otherwise, so that the sums are plain."""
    more = {"checked": True, "minutes_sd_share": 0.0} | more
    phase = Phase(name="all", minutes=minutes, oxygen_l_min=flow)
    return Case(name=name, machine=machine, start_min=start, phases=(phase,), **more)


def cylinder(name="Alder", bar=71, feeds=("Wren",), **more):
    """One cylinder as a source."""
    inside = more.pop("inside", None) or (held(bar),)
    kind = more.pop("kind", SourceKind.CYLINDER)
    return GasSource(name=name, kind=kind, feeds=feeds, cylinders=inside, **more)


def day(sources, cases, machines=("Wren",), **more):
    """A plan at 20 °C where 14 bar are kept back."""
    made = tuple(
        Machine(name=one, flow_sd_share=0.05) if isinstance(one, str) else one for one in machines
    )
    more = {"policy": KEEPS_14_BAR, "place": AT_20} | more
    return DayPlan(sources=tuple(sources), cases=tuple(cases), machines=made, **more)
