"""From the cast to what happened: each source's cylinders, readings and flows in story minutes."""

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from ullage.answers.formulas import formula
from ullage.answers.things import Gas
from ullage.core.units import BAR_KPA
from ullage.reference.cylinders import CylinderSize, cylinder_size
from ullage.web.demo.cast import SiteCast, Story
from ullage.web.demo.simulate import (
    Draw,
    Gauge,
    Run,
    Seen,
    Setting,
    Tank,
    flow_grid,
    open_grid,
    room_temperature_k,
    run_tanks,
)

__all__ = ["RUNS_OUT_AT", "StoryTime", "Told", "tell"]

#: Minutes after midnight at which the rodent lab reaches what is kept back, by its plan.
RUNS_OUT_AT = 700
#: When its gauge was last read today, and what its check takes before the second case.
_LAST_READ_AT = 535
_CHECK_L = 18.0

_DAY = 1440


@dataclass(frozen=True, slots=True)
class StoryTime:
    """The days of the story, which of them are worked on, and now."""

    days: int
    workdays: tuple[int, ...]
    now: int

    @property
    def midnight(self) -> int:
        """Of today."""
        return (self.days - 1) * _DAY


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """What happened at one source: the runs of its cylinders, and the flows meant to run."""

    story: Story
    size: CylinderSize | None
    runs: tuple[Run, ...]
    draws: tuple[Draw, ...]


def tell(
    story: Story,
    site: SiteCast,
    draws: list[Draw],
    time: StoryTime,
    rng: np.random.Generator,
) -> Told:
    """Live through one source's weeks."""
    if not story.size:
        return Told(story=story, size=None, runs=(), draws=tuple(draws))
    size = cylinder_size(story.size, site.region)
    world = _World(story, site, size, draws, time, rng)
    if story.reserve_of:
        runs = _reserve(world)
    elif story.gas == "nitrous oxide":
        runs = _weighed(world)
    else:
        runs = _drawn(world)
    return Told(story=story, size=size, runs=tuple(runs), draws=tuple(draws))


class _World:
    """One source with everything that is true of it and known to nobody."""

    def __init__(
        self,
        story: Story,
        site: SiteCast,
        size: CylinderSize,
        draws: list[Draw],
        time: StoryTime,
        rng: np.random.Generator,
    ) -> None:
        self.story, self.size, self.draws, self.time, self.rng = story, size, draws, time, rng
        climate = next(one for one in site.rooms if one.name == story.room).climate
        elevation_m = site.facts["elevation_m"]
        self.ambient_kpa = float(_run("standard_atmosphere_kpa")(elevation_m))
        self.temperature_k = room_temperature_k(climate, time.days, rng)
        scales = {one: float(rng.normal(1.0, 0.04)) for one in story.feeds}
        self.flows = flow_grid(draws, time.days * _DAY, scales, rng)
        # People set an offset aside when they read: it belongs to the gauge and stays.
        share = story.class_share or 0.025
        offset = float(rng.uniform(-0.4, 0.4)) * share * story.full_scale_kpa
        self.gauge = Gauge(offset_kpa=offset, step_kpa=story.step_kpa)

    @property
    def water_capacity_l(self) -> float:
        """[L] of one bank, or of one cylinder."""
        return self.size.water_capacity_l * self.story.bank

    def gauge_of(self, water_capacity_l: float, litres: float, kelvin: float) -> float:
        """[kPa] what a perfect gauge would show."""
        if litres <= 0.0:
            return 0.0
        found = _run("gauge_kpa_from_contents")(
            Gas(self.story.gas), water_capacity_l, litres, kelvin, self.ambient_kpa
        )
        return max(0.0, float(found))

    def litres_at(self, gauge_kpa: float, kelvin: float) -> float:
        """[L] that a gauge pressure stands for."""
        found = _run("contents_l")(
            Gas(self.story.gas), self.water_capacity_l, gauge_kpa, kelvin, self.ambient_kpa
        )
        return float(found)

    def full_l(self) -> float:
        """[L] as delivered: fills differ by a little."""
        fill_kpa = self.size.fill_gauge_kpa(Gas(self.story.gas)) or 137.0 * BAR_KPA
        return self.litres_at(fill_kpa * float(self.rng.uniform(0.985, 1.01)), 288.15)

    def tank(self, leak_l_min: float = 0.0) -> Tank:
        """The cylinder, or bank, that goes on next, as it was delivered."""
        return Tank(
            water_capacity_l=self.water_capacity_l,
            litres=self.full_l(),
            leak_l_min=leak_l_min,
        )


def _run(name: str) -> Callable[..., float]:
    return formula(name).function


def _reading_times(world: _World, first: int, last: int) -> list[int]:
    """When people look: before the first use of a day, within long cases, after the last use."""
    found: set[int] = set()
    by_day: dict[int, list[Draw]] = {}
    for draw in world.draws:
        by_day.setdefault(int(draw.start // _DAY), []).append(draw)
    for some in by_day.values():
        start = min(one.start for one in some)
        end = max(one.end for one in some)
        found.add(round(start) - 15)
        found.add(round(end) + 6)
        for one in some:
            if one.end - one.start > 40:
                found.add(round((one.start + one.end) / 2 + world.rng.uniform(-6, 6)))
    return sorted(at for at in found if first <= at <= last)


def _setting(world: _World, times: list[int], left_open: set[int]) -> Setting:
    minutes = world.time.days * _DAY
    return Setting(
        flows=world.flows,
        is_open=open_grid(world.draws, minutes, left_open),
        temperature_k=world.temperature_k,
        reading_times=times,
        gauge=world.gauge,
        gauge_of=world.gauge_of,
        change_below_kpa=world.story.change_below_kpa,
    )


def _drawn(world: _World) -> list[Run]:
    """Cylinders used up one after the other; the last one went on some workdays ago."""
    story, time = world.story, world.time
    since = _last_change(world)
    before = _setting(world, _reading_times(world, 0, since - 1), set())
    # A manifold has a standby bank besides, which nobody has drawn on yet.
    spare = 2 if story.kind == "manifold" else 1
    count = len(story.trees) // story.bank
    old = run_tanks(before, [world.tank() for _ in range(count - spare)], world.rng)
    old[-1].off_at = float(since - 4)
    leak = float(world.rng.uniform(*story.leak_l_min)) if story.leak_l_min else 0.0
    times = [since, *_reading_times(world, since + 1, time.now)]
    if leak:
        times = sorted({*times, *_mornings(world, since)})
    if story.runs_out:
        last_look = time.midnight + _LAST_READ_AT
        times = sorted({*(at for at in times if at <= last_look), last_look})
    after = _setting(world, times, {_open_night(world)} if leak else set())
    after = replace(after, starts_at=since, change_below_kpa=0.0)
    new = run_tanks(after, [_last_tank(world, since, leak)], world.rng)
    return [*old, *new, *([_standby(world, since)] if spare == 2 else [])]


def _standby(world: _World, since: int) -> Run:
    """The other bank: full, its valves open, giving nothing yet; read each Monday."""
    run = Run(tank=world.tank(), on_at=float(since))
    run.left_l = run.tank.litres
    days = [one for one in world.time.workdays if one * _DAY >= since - _DAY]
    for at in [since, *(day * _DAY + 8 * 60 for day in days[4::4])]:
        if since <= at <= world.time.now:
            kelvin = float(world.temperature_k[at])
            true_kpa = world.gauge_of(run.tank.water_capacity_l, run.left_l, kelvin)
            shown = world.gauge.read_kpa(true_kpa)
            run.readings.append(
                Seen(at=float(at), gauge_kpa=shown, temperature_k=None, valve_before="open")
            )
    return run


def _last_change(world: _World) -> int:
    """The morning on which the cylinder that is on now was put on."""
    time = world.time
    if world.story.leak_l_min:
        return _open_night(world) * _DAY + 7 * 60 + 5
    past = [one for one in time.workdays if one * _DAY < time.midnight]
    back = _days_of_one_tank(world, past) if world.story.runs_out else world.story.back
    return past[-back] * _DAY + 7 * 60 + 5


def _days_of_one_tank(world: _World, past: list[int]) -> int:
    """How many workdays one cylinder of the rodent lab has been on, so that it was full then."""
    full = world.litres_at(137.0 * BAR_KPA, 288.15)
    for back in range(2, len(past)):
        since = past[-back] * _DAY + 7 * 60 + 5
        if _needed_l(world, since) > full:
            return back - 1
    return 2


def _needed_l(world: _World, since: int) -> float:
    """[L] that the last cylinder held when it went on, for the story to come out."""
    midnight = world.time.midnight
    read_at = midnight + _LAST_READ_AT
    kelvin = float(world.temperature_k[read_at])
    kept = world.litres_at(14.0 * BAR_KPA, 294.15)
    planned = sum(
        one.flow_l_min * max(0.0, min(one.end, midnight + RUNS_OUT_AT) - max(one.start, read_at))
        for one in world.draws
    )
    wanted_kpa = world.gauge_of(world.water_capacity_l, kept + planned + _CHECK_L, 294.15)
    left = world.litres_at(wanted_kpa - world.gauge.offset_kpa, kelvin)
    return left + float(world.flows[since:read_at].sum())


def _last_tank(world: _World, since: int, leak_l_min: float) -> Tank:
    tank = world.tank(leak_l_min)
    if world.story.runs_out:
        return replace(tank, litres=_needed_l(world, since))
    return tank


def _open_night(world: _World) -> int:
    """The day after whose last case nobody closed the valve; somebody works the day after."""
    today = world.time.days - 1
    used = sorted({int(one.start // _DAY) for one in world.draws})
    return [one for one in used if one + 1 in world.time.workdays and one < today][-1]


def _mornings(world: _World, since: int) -> list[int]:
    """The gauge is looked at first thing, cases or not; so an open night is found."""
    looks = [day * _DAY + 7 * 60 + 40 for day in world.time.workdays]
    return [at for at in looks if since < at <= world.time.now]


def _reserve(world: _World) -> list[Run]:
    """A full cylinder that stands closed and is looked at on Mondays."""
    tank = world.tank()
    readings = []
    for day in world.time.workdays:
        at = day * _DAY + 8 * 60 + int(world.rng.integers(0, 20))
        if day % 7 == world.time.workdays[0] % 7 or day == world.time.days - 1:
            if at > world.time.now:
                continue
            kelvin = float(world.temperature_k[at])
            true_kpa = world.gauge_of(tank.water_capacity_l, tank.litres, kelvin)
            shown = world.gauge.read_kpa(true_kpa)
            readings.append(
                Seen(at=float(at), gauge_kpa=shown, temperature_k=None, valve_before="closed")
            )
    run = Run(tank=tank, on_at=readings[0].at, left_l=tank.litres)
    run.readings = readings
    return [run]


def _weighed(world: _World) -> list[Run]:
    """Nitrous oxide: what the scale shows, week by week, in the place of a gauge."""
    fill = next((one for one in world.size.contents if one.gas is Gas.NITROUS_OXIDE), None)
    litres = fill.volume.value if fill else 1500.0
    per_kg = _run("litres_per_kg")(Gas.NITROUS_OXIDE)
    used = np.cumsum(world.flows)
    readings = []
    for day in world.time.workdays[::4]:
        at = day * _DAY + 8 * 60 + 25
        if at <= world.time.now:
            left_kg = max(0.0, litres - float(used[at])) / per_kg
            readings.append(
                Seen(
                    at=float(at),
                    gauge_kpa=0.0,
                    temperature_k=None,
                    valve_before="closed",
                    weight_kg=left_kg,
                )
            )
    run = Run(
        tank=Tank(water_capacity_l=world.size.water_capacity_l, litres=litres),
        on_at=readings[0].at,
        left_l=max(0.0, litres - float(used[world.time.now])),
    )
    run.readings = readings
    return [run]
