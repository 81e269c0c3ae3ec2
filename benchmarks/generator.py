"""Made-up histories of one oxygen cylinder, from physics of their own.

Nothing here is shared with the estimator or with `ullage.core.gas`: densities come from the
property library on a grid of this module, and the errors are drawn in the units in which they
happen (a needle off by so many psi, a room colder by so many degrees, a float set a little wrong).
"""

from dataclasses import dataclass, replace
from functools import cache
from typing import Literal

import numpy as np
from scipy.interpolate import RectBivariateSpline

__all__ = [
    "DISTURBANCES",
    "HARDER",
    "Disturbance",
    "Drawn",
    "Meter",
    "Seen",
    "Simulated",
    "Truth",
    "case",
    "days",
    "held_l",
    "needle_psi",
    "overnight",
]

PSI_KPA = 6.894757293168361
AMBIENT_KPA = 101.325
ROOM_K = 293.15
WATER_L = 4.76
FULL_SCALE_PSI = 3000.0
CLASS_SHARE = 0.025
STEP_PSI = 50.0
START_PSI = 1900.0
READ_EVERY_MIN = 30.0
NIGHT_MIN = 840.0
RESERVE_PSI = 200.0
#: A cylinder of the days is changed so much above its reserve; one of a scene is used up further.
_CHANGED_ABOVE_L = 25.0
_NEARLY_EMPTY_L = 10.0

Disturbance = Literal[
    "none", "cold night", "forgotten flush", "gauge bent 1 %", "all three", "gauge out of class"
]
#: One at a time; the gauge is bent between mid-scale, where its class holds, and both ends.
DISTURBANCES: tuple[Disturbance, ...] = ("none", "cold night", "forgotten flush", "gauge bent 1 %")
#: Beyond what is asked: all three at once, and a bend on top of a class used up already.
HARDER: tuple[Disturbance, ...] = ("all three", "gauge out of class")


@dataclass(frozen=True, slots=True, kw_only=True)
class Meter:
    """How wrong the flowmeter may be: a share (one SD, normal) or a limit (uniform), L/min."""

    share_sd: float | None = 0.10
    limit_l_min: float | None = None

    def factor(self, rng: np.random.Generator, flow_l_min: float) -> float:
        """Draw true flow over flow meant, once for a whole history."""
        if self.limit_l_min is not None:
            return max(0.05, 1.0 + rng.uniform(-1, 1) * self.limit_l_min / flow_l_min)
        return max(0.2, 1.0 + (self.share_sd or 0.0) * rng.standard_normal())


@dataclass(frozen=True, slots=True, kw_only=True)
class Seen:
    """One line in the book: minute, gauge in psi, room in K, what was said of the valve."""

    at_min: float
    gauge_psi: float
    room_k: float
    valve: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Drawn:
    """One flow that was meant to be running."""

    start_min: float
    end_min: float
    flow_l_min: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Truth:
    """What nobody in the room can see."""

    contents_l: float
    flow_scale: float
    leak_l_min: float
    reserve_min: float
    gauge_psi: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Simulated:
    """What the book says, and the truth behind it."""

    seen: tuple[Seen, ...]
    drawn: tuple[Drawn, ...]
    now_min: float
    truth: Truth


@dataclass(frozen=True, slots=True, kw_only=True)
class _Night:
    start_min: float
    end_min: float
    is_open: bool
    told: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class _Plot:
    """Everything that truly happens, before anybody reads a gauge."""

    drawn: tuple[Drawn, ...]
    settings: tuple[float, ...]
    nights: tuple[_Night, ...]
    read_at: tuple[float, ...]
    leak_l_min: float
    factor: float
    flush: tuple[float, float] | None = None

    def is_open(self, at_min: float) -> bool:
        """Say whether the cylinder valve is open at a minute."""
        return not any(n.start_min < at_min <= n.end_min and not n.is_open for n in self.nights)

    def gone_l(self, at_min: float) -> float:
        """[L] everything that left the cylinder since minute 0."""
        used = sum(
            self.factor * setting * one.flow_l_min * _overlap(one.start_min, one.end_min, at_min)
            for one, setting in zip(self.drawn, self.settings, strict=True)
        )
        shut = sum(_overlap(n.start_min, n.end_min, at_min) for n in self.nights if not n.is_open)
        return used + self.leak_l_min * (at_min - shut) + self.flushed_l(at_min)

    def flushed_l(self, at_min: float) -> float:
        """[L] of the flush that nobody wrote down, if it lies before a minute.

        It is kept as a share of the time with flow, so that it stays when a history is cut short.
        """
        if self.flush is None:
            return 0.0
        share, volume_l = self.flush
        into = share * sum(one.end_min - one.start_min for one in self.drawn)
        for one in self.drawn:
            if into <= one.end_min - one.start_min:
                return volume_l if at_min >= one.start_min + into else 0.0
            into -= one.end_min - one.start_min
        return volume_l


def _overlap(start_min: float, end_min: float, at_min: float) -> float:
    return max(0.0, min(end_min, at_min) - start_min)


@cache
def _density() -> RectBivariateSpline:
    """[kg/m³] of oxygen over absolute kPa and K."""
    from CoolProp import CoolProp

    state = CoolProp.AbstractState("HEOS", "Oxygen")
    kpa = np.linspace(60.0, 24_000.0, 120)
    kelvin = np.linspace(268.0, 313.0, 10)
    grid = np.empty((kpa.size, kelvin.size))
    for row, pressure in enumerate(kpa):
        for column, temperature in enumerate(kelvin):
            state.update(CoolProp.PT_INPUTS, pressure * 1000.0, temperature)
            grid[row, column] = state.rhomass()
    return RectBivariateSpline(kpa, kelvin, grid)


def held_l(gauge_psi: float, room_k: float) -> float:
    """[L] at 70 °F, 1 atm, in the cylinder of this module."""
    table = _density()
    inside = table.ev(gauge_psi * PSI_KPA + AMBIENT_KPA, room_k)
    return float(WATER_L * inside / table.ev(101.325, 294.2611))


def needle_psi(contents_l: float, room_k: float) -> float:
    """[psi] true gauge pressure of contents at a temperature, by Newton's steps."""
    table = _density()
    wanted = contents_l * float(table.ev(101.325, 294.2611)) / WATER_L
    kpa = 130.0 * contents_l / WATER_L * room_k / ROOM_K
    for _ in range(6):
        kpa -= float((table.ev(kpa, room_k) - wanted) / table.ev(kpa, room_k, dx=1))
    return (kpa - AMBIENT_KPA) / PSI_KPA


@dataclass(frozen=True, slots=True, kw_only=True)
class _Gauge:
    """A gauge that is wrong in its own way, the same way each time it is read."""

    offset_psi: float
    span_psi: float
    bend_psi: float
    held_at_middle: float

    def says_psi(self, rng: np.random.Generator, true_psi: float) -> float:
        share = true_psi / FULL_SCALE_PSI
        wrong = self.offset_psi + self.span_psi * (share - 0.5)
        wrong += self.bend_psi * (np.sin(np.pi * share) - self.held_at_middle)
        eye = true_psi + wrong + rng.normal(0.0, 5.0)
        return max(0.0, STEP_PSI * round(float(eye) / STEP_PSI))


def _gauge(rng: np.random.Generator, disturbance: Disturbance) -> _Gauge:
    bent = disturbance in {"gauge bent 1 %", "all three", "gauge out of class"}
    return _Gauge(
        offset_psi=rng.uniform(-1, 1) * CLASS_SHARE * FULL_SCALE_PSI,
        span_psi=rng.uniform(-1, 1) * 0.01 * FULL_SCALE_PSI,
        bend_psi=rng.choice([-1.0, 1.0]) * 0.01 * FULL_SCALE_PSI if bent else 0.0,
        held_at_middle=0.0 if disturbance == "gauge out of class" else 1.0,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Room:
    """The temperature of the gas, which is not quite that of the thermometer."""

    offset_k: float
    drop_k: float
    warms_in_min: float

    def gas_k(self, rng: np.random.Generator, plot: _Plot, at_min: float) -> float:
        cold = 0.0
        for night in plot.nights:
            if at_min >= night.end_min:
                cold = self.drop_k * float(np.exp(-(at_min - night.end_min) / self.warms_in_min))
        return ROOM_K + self.offset_k + rng.normal(0.0, 0.7) - cold


def _room(rng: np.random.Generator, disturbance: Disturbance) -> _Room:
    return _Room(
        offset_k=rng.normal(0.0, 0.7),
        drop_k=5.0 if disturbance in {"cold night", "all three"} else 0.0,
        warms_in_min=rng.uniform(45.0, 150.0),
    )


def _flush(rng: np.random.Generator, plot: _Plot, disturbance: Disturbance) -> _Plot:
    """Add one flush that nobody wrote down, somewhere in a case."""
    if disturbance not in {"forgotten flush", "all three"}:
        return plot
    volume_l = rng.uniform(5.0, 15.0) / 60.0 * rng.uniform(35.0, 75.0)
    return replace(plot, flush=(float(rng.uniform(0.0, 1.0)), float(volume_l)))


def _told(plot: _Plot, at_min: float) -> str:
    for night in plot.nights:
        if at_min == night.end_min:
            if not night.told:
                return "unknown"
            return "open" if night.is_open else "closed"
    return "open"


def _written(
    rng: np.random.Generator, plot: _Plot, disturbance: Disturbance, least_l: float
) -> Simulated | None:
    """Read the gauge through the plot to its last reading; None when less would be left."""
    now_min = plot.read_at[-1]
    start_l = held_l(START_PSI + rng.uniform(-25, 25), ROOM_K)
    reserve_l = held_l(RESERVE_PSI, ROOM_K)
    left_l = start_l - plot.gone_l(now_min)
    if left_l < least_l:
        return None
    gauge, room = _gauge(rng, disturbance), _room(rng, disturbance)
    seen = []
    for at_min in plot.read_at:
        true_psi = needle_psi(start_l - plot.gone_l(at_min), room.gas_k(rng, plot, at_min))
        seen.append(
            Seen(
                at_min=at_min,
                gauge_psi=gauge.says_psi(rng, true_psi),
                room_k=ROOM_K,
                valve=_told(plot, at_min),
            )
        )
    running = plot.drawn[-1].flow_l_min * plot.factor * plot.settings[-1] + plot.leak_l_min
    meant = [one.flow_l_min * _overlap(one.start_min, one.end_min, now_min) for one in plot.drawn]
    drew = [one * plot.factor * s for one, s in zip(meant, plot.settings, strict=True)]
    truth = Truth(
        contents_l=left_l,
        flow_scale=sum(drew) / sum(meant),
        leak_l_min=plot.leak_l_min,
        reserve_min=(left_l - reserve_l) / running,
        gauge_psi=needle_psi(left_l, ROOM_K),
    )
    return Simulated(seen=tuple(seen), drawn=plot.drawn, now_min=now_min, truth=truth)


def _settings(rng: np.random.Generator, count: int) -> tuple[float, ...]:
    """Each time somebody sets the float it lands a little beside the line."""
    return tuple(float(one) for one in 1.0 + rng.normal(0.0, 0.02, count))


def _marks(start_min: float, end_min: float) -> list[float]:
    """Readings every half hour from the start, and one at the end."""
    marks = list(np.arange(start_min, end_min - 5.0, READ_EVERY_MIN))
    return [float(one) for one in [*marks, end_min]]


def case(
    rng: np.random.Generator,
    *,
    leak_l_min: float,
    flow_l_min: float = 1.0,
    meter: Meter | None = None,
    disturbance: Disturbance = "none",
) -> Simulated:
    """One case of three hours, read every half hour; the flow goes on afterwards."""
    drawn = (Drawn(start_min=0.0, end_min=180.0, flow_l_min=flow_l_min),)
    plot = _Plot(
        drawn=drawn,
        settings=_settings(rng, 1),
        nights=(),
        read_at=tuple(_marks(0.0, 180.0)),
        leak_l_min=leak_l_min,
        factor=(meter or Meter()).factor(rng, flow_l_min),
    )
    return _sure(_written(rng, _flush(rng, plot, disturbance), disturbance, _NEARLY_EMPTY_L))


def overnight(
    rng: np.random.Generator,
    *,
    leak_l_min: float,
    flow_l_min: float = 1.0,
    meter: Meter | None = None,
    told: bool = True,
    disturbance: Disturbance = "none",
) -> Simulated:
    """A case of two hours, a night of 14 h with the valve left open, one reading in the morning."""
    morning = 120.0 + NIGHT_MIN
    plot = _Plot(
        drawn=(Drawn(start_min=0.0, end_min=120.0, flow_l_min=flow_l_min),),
        settings=_settings(rng, 1),
        nights=(_Night(start_min=120.0, end_min=morning, is_open=True, told=told),),
        read_at=(*_marks(0.0, 120.0), morning),
        leak_l_min=leak_l_min,
        factor=(meter or Meter()).factor(rng, flow_l_min),
    )
    return _sure(_written(rng, _flush(rng, plot, disturbance), disturbance, _NEARLY_EMPTY_L))


def days(
    rng: np.random.Generator, *, meter: Meter | None = None, disturbance: Disturbance = "none"
) -> Simulated:
    """One to four days with cases and nights, broken off in a case; a quarter of them leak.

    As in a room, the book ends where the cylinder is changed: before it is nearly empty.
    """
    plot = _some_days(rng, meter or Meter())
    plot = _flush(rng, plot, disturbance)
    least_l = held_l(RESERVE_PSI, ROOM_K) + _CHANGED_ABOVE_L
    while len(plot.drawn) > 1:
        found = _written(rng, plot, disturbance, least_l)
        if found is not None:
            return found
        plot = _shorter(plot)
    return _sure(_written(rng, plot, disturbance, _NEARLY_EMPTY_L))


def _shorter(plot: _Plot) -> _Plot:
    """The same history, one case less."""
    drawn = plot.drawn[:-1]
    end = drawn[-1].end_min
    return replace(
        plot,
        drawn=drawn,
        settings=plot.settings[:-1],
        nights=tuple(one for one in plot.nights if one.end_min < end),
        read_at=tuple(one for one in plot.read_at if one <= end),
    )


def _some_days(rng: np.random.Generator, meter: Meter) -> _Plot:
    leak = float(np.exp(rng.uniform(np.log(0.02), np.log(0.5)))) if rng.random() < 0.25 else 0.0
    left_open = rng.random()
    clock = 0.0
    drawn: list[Drawn] = []
    nights: list[_Night] = []
    read_at: list[float] = []
    for day in range(int(rng.integers(1, 5))):
        if day:
            end = clock + rng.uniform(720.0, 960.0)
            is_open, told = bool(rng.random() < left_open), bool(rng.random() < 0.6)
            nights.append(_Night(start_min=clock, end_min=end, is_open=is_open, told=told))
            clock = end
        for number in range(int(rng.integers(1, 3))):
            clock += 30.0 * number
            length = float(rng.uniform(60.0, 180.0))
            flow = float(np.round(rng.uniform(0.3, 1.0), 1))
            drawn.append(Drawn(start_min=clock, end_min=clock + length, flow_l_min=flow))
            read_at += _marks(clock, clock + length)
            clock += length
    return _Plot(
        drawn=tuple(drawn),
        settings=_settings(rng, len(drawn)),
        nights=tuple(nights),
        read_at=tuple(dict.fromkeys(read_at)),
        leak_l_min=leak,
        factor=meter.factor(rng, float(np.mean([one.flow_l_min for one in drawn]))),
    )


def _sure(found: Simulated | None) -> Simulated:
    if found is None:
        raise RuntimeError("This history would empty the cylinder: lower the leak or the flow.")
    return found
