"""What really happened inside the cylinders, and what people read on their gauges.

A minute grid from the first midnight of the story to now. True flows differ from those meant,
gauges are off by a fixed amount, rooms cool at night, and a person reads to the nearest mark.
Nothing here is shown to anybody but the readings.
"""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from ullage.core.units import BAR_KPA

__all__ = [
    "Draw",
    "Gauge",
    "Room",
    "Run",
    "Seen",
    "Setting",
    "Tank",
    "flow_grid",
    "open_grid",
    "room_temperature_k",
    "run_tanks",
]

Floats = NDArray[np.float64]
#: (water capacity [L], litres inside, temperature [K]) -> gauge pressure [kPa].
GaugeOf = Callable[[float, float, float], float]


@dataclass(frozen=True, slots=True, kw_only=True)
class Draw:
    """A flow that was meant to run, in minutes of the story."""

    start: float
    end: float
    flow_l_min: float
    machine: str
    why: str = ""
    state: str = "done"
    is_last: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Gauge:
    """One gauge: how far it is off, and to which mark people read it."""

    offset_kpa: float
    step_kpa: float

    def read_kpa(self, true_kpa: float) -> float:
        """The nearest mark to where the needle stands."""
        shown = max(0.0, true_kpa + self.offset_kpa) if true_kpa > 1.0 else 0.0
        return round(shown / self.step_kpa) * self.step_kpa


@dataclass(frozen=True, slots=True, kw_only=True)
class Room:
    """How warm a room is: by day, by how much less at night, and how much days differ."""

    day_k: float
    night_drop_k: float
    days_sd_k: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Tank:
    """A cylinder as it was delivered, and what nobody knows about it."""

    water_capacity_l: float
    litres: float
    leak_l_min: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Seen:
    """A reading: when, what gauge or scale showed, the room if it was written down, the valve.

    ``weight_kg`` is without the empty cylinder.
    """

    at: float
    gauge_kpa: float
    temperature_k: float | None
    valve_before: str
    weight_kg: float | None = None


@dataclass(slots=True, kw_only=True)
class Run:
    """One cylinder's time on its source."""

    tank: Tank
    on_at: float
    off_at: float | None = None
    left_l: float = 0.0
    readings: list[Seen] = field(default_factory=list)


def room_temperature_k(room: Room, days: int, rng: np.random.Generator) -> Floats:
    """[K] the room minute by minute: warm at 15:00, coolest at 03:00."""
    minutes = np.arange(days * 1440)
    swing = 0.5 * (1.0 + np.cos(2.0 * np.pi * (minutes % 1440 - 900.0) / 1440.0))
    daily = np.repeat(rng.normal(0.0, room.days_sd_k, days), 1440)
    return np.asarray(room.day_k + daily - room.night_drop_k * (1.0 - swing))


def flow_grid(
    draws: Iterable[Draw], minutes: int, scale_of: dict[str, float], rng: np.random.Generator
) -> Floats:
    """[L/min] what truly flowed: each meter off by its own share, each setting by a little."""
    grid = np.zeros(minutes)
    for draw in draws:
        true = draw.flow_l_min * scale_of.get(draw.machine, 1.0) * rng.normal(1.0, 0.02)
        grid[max(0, round(draw.start)) : max(0, round(draw.end))] += true
    return grid


def open_grid(draws: Sequence[Draw], minutes: int, left_open: set[int]) -> NDArray[np.bool_]:
    """When the valve was open: from before the first use of a day to after its last.

    On the days in ``left_open`` nobody closed it until the first use of the next day with one.
    """
    grid = np.zeros(minutes, dtype=bool)
    by_day: dict[int, list[Draw]] = {}
    for draw in draws:
        by_day.setdefault(int(draw.start // 1440), []).append(draw)
    for day, some in by_day.items():
        start = round(min(one.start for one in some)) - 20
        end = round(max(one.end for one in some)) + 12
        if day in left_open:
            later = [other for other in by_day if other > day]
            end = min(later) * 1440 + 7 * 60 + 30 if later else minutes
        grid[max(0, start) : max(0, end)] = True
    return grid


@dataclass(frozen=True, slots=True, kw_only=True)
class Setting:
    """Everything that one source's story rests on."""

    flows: Floats
    is_open: NDArray[np.bool_]
    temperature_k: Floats
    reading_times: Sequence[int]
    gauge: Gauge
    gauge_of: GaugeOf
    starts_at: int = 0
    change_below_kpa: float = 14.0 * BAR_KPA


def run_tanks(setting: Setting, tanks: Sequence[Tank], rng: np.random.Generator) -> list[Run]:
    """Put the cylinders on one after the other; each is read until it is changed."""
    used = np.concatenate([[0.0], np.cumsum(setting.flows)])
    opened = np.concatenate([[0.0], np.cumsum(setting.is_open)])
    runs: list[Run] = []
    waiting = list(tanks)
    run = _put_on(waiting, float(setting.starts_at))
    for at in setting.reading_times:
        since = int(run.on_at)
        gone = used[at] - used[since] + run.tank.leak_l_min * (opened[at] - opened[since])
        left = max(0.0, run.tank.litres - gone)
        run.readings.append(_see(setting, run, at, left, rng))
        run.left_l = left
        if run.readings[-1].gauge_kpa < setting.change_below_kpa and waiting:
            run.off_at = float(at + 4)
            runs.append(run)
            run = _put_on(waiting, float(at + 5))
            first = at + 6
            if first < len(setting.flows):
                run.readings.append(_see(setting, run, first, run.tank.litres, rng))
                run.left_l = run.tank.litres
    return [*runs, run]


def _put_on(waiting: list[Tank], at: float) -> Run:
    return Run(tank=waiting.pop(0), on_at=at)


def _see(setting: Setting, run: Run, at: int, left: float, rng: np.random.Generator) -> Seen:
    """One look at the gauge; only some people write down how warm the room is."""
    kelvin = float(setting.temperature_k[at])
    true_kpa = setting.gauge_of(run.tank.water_capacity_l, left, kelvin)
    noted = round(2.0 * (kelvin + rng.normal(0.0, 0.3))) / 2.0 if rng.random() < 0.3 else None
    return Seen(
        at=float(at),
        gauge_kpa=setting.gauge.read_kpa(true_kpa),
        temperature_k=noted,
        valve_before=_valve(setting, run, at),
    )


def _valve(setting: Setting, run: Run, at: int) -> str:
    """What a person finds: the valve closed since the reading before, or open all the time."""
    if not run.readings:
        return "unknown"
    before = int(run.readings[-1].at)
    share = float(setting.is_open[before:at].mean()) if at > before else 1.0
    if share > 0.9:
        return "open"
    return "closed" if share < 0.25 else "unknown"
