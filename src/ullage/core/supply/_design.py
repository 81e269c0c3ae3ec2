"""A cylinder's history as linear equations between what was seen and what is not known.

What is seen, in litres, is the true content plus errors that belong to the gauge, the room and the
meter. Each unknown is one column; its spread before any reading stands beside it. A reading that is
only expected has the same columns, so that it can be predicted from those that were seen.
"""

from dataclasses import dataclass, replace
from itertools import product

import numpy as np
from numpy.typing import NDArray

from ullage.core.gas import contents_many_l
from ullage.core.supply.history import Beliefs, Draw, History

__all__ = [
    "BOUNDED",
    "NIGHT_PAUSE_MIN",
    "PAUSE_MIN",
    "Curve",
    "Design",
    "Floats",
    "Ints",
    "Rows",
    "curve_of",
    "idle_min",
    "laid_out",
]

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]
Bools = NDArray[np.bool_]

#: A pause without flow this long may have been spent with the valve closed.
PAUSE_MIN = 60.0
#: After a pause this long the room may be colder than its thermometer said last.
NIGHT_PAUSE_MIN = 240.0
#: The first two unknowns, gauge and meter, may have limits: they get this much room at first and
#: are cut off exactly when the answer is drawn.
BOUNDED = 2
WIDE = 6.0
#: So many pauses may each have gone their own way; older ones follow the habit.
MOST_APART = 6
_ROOT3 = 3.0**0.5


@dataclass(frozen=True, slots=True, kw_only=True)
class Curve:
    """Contents [L] along the gauge [kPa] of one cylinder at one temperature."""

    gauge_kpa: Floats
    contents_l: Floats

    def gauge_of_kpa(self, litres: Floats) -> Floats:
        """Gauge pressure of contents."""
        return np.asarray(np.interp(litres, self.contents_l, self.gauge_kpa))


@dataclass(frozen=True, slots=True, kw_only=True)
class Rows:
    """Readings, seen or expected: litres, what a kPa and a K are worth, how far up the scale."""

    at_min: Floats
    litres: Floats
    per_kpa: Floats
    per_k: Floats
    along: Floats
    on_gauge: Floats  # 1 for the gauge, 0 for the scale


@dataclass(frozen=True, slots=True, kw_only=True)
class Design:
    """The equations: seen = base + columns @ unknowns - leak x exposure + event + noise."""

    history: History
    beliefs: Beliefs
    seen: Rows
    base_l: Floats
    columns: Floats
    cold_l: Floats  # what one K of a cold night takes from each reading
    spread: Floats
    noise_l2: Floats
    times_min: Floats  # of the sightings, and now
    exposure_min: Floats  # (patterns, times): minutes with the valve open
    pattern_share: Floats
    night_ends_min: Floats
    meant_l: float
    limits: tuple[float, float]

    def exposure_at_min(self, at_min: Floats) -> Floats:
        """[min] with the valve open up to some times; after now it stays open."""
        after = np.maximum(at_min - self.times_min[-1], 0.0)
        rows = [np.interp(at_min, self.times_min, one) for one in self.exposure_min]
        return np.asarray(np.array(rows) + after)

    def of(self, rows: Rows) -> tuple[Floats, Floats, Floats]:
        """[L] base and columns of any readings, and what one K of a cold night takes."""
        return _columns(self.history, self.beliefs, self.night_ends_min, rows)

    def noise_of(self, rows: Rows) -> Floats:
        """[L²] what does not stay from one reading to the next."""
        return _noise(self.history, self.beliefs, rows)

    def now(self) -> tuple[float, Floats, Floats]:
        """[L] base and columns of the true content now, and columns of what was truly drawn."""
        here = np.array([self.history.now_min])
        zero = np.zeros(1)
        rows = Rows(at_min=here, litres=zero, per_kpa=zero, per_k=zero, along=zero, on_gauge=zero)
        base, columns, _ = self.of(rows)
        content, drawn = columns[0].copy(), -columns[0]
        content[_SCALE] = 0.0
        kept = [_METER, *range(_FIRST_SETTING, _FIRST_SETTING + len(self.history.draws))]
        mask = np.zeros(drawn.size, dtype=bool)
        mask[kept] = True
        return float(base[0]), content, np.where(mask, drawn, 0.0)

    def expected(self, at_min: Floats, litres: Floats, curve: Curve) -> Rows:
        """Rows of gauge readings that would be taken at some times with some contents."""
        kpa = np.maximum(curve.gauge_of_kpa(litres), 0.0)
        kelvin = np.full(kpa.size, self.history.sightings[-1].temperature_k)
        return _rows(self.history, at_min, kpa, kelvin)


# The columns, in their order.
_GAUGE, _METER, _CONTENT, _SPAN, _BEND, _WARMTH, _CAPACITY, _SCALE, _FIRST_SETTING = range(9)


def _overlap_min(draws: list[tuple[float, float]], first_min: float, at_min: Floats) -> Floats:
    starts, ends = np.array(draws).reshape(-1, 2).T
    begun = np.maximum(starts, first_min)[:, None]
    return np.asarray(np.maximum(np.minimum(ends[:, None], at_min) - begun, 0.0))


def _meant_l(draws: tuple[Draw, ...], first_min: float, at_min: Floats) -> Floats:
    """[L] what each flow was meant to draw up to each time; shape (draws, times)."""
    flows = np.array([one.flow_l_min for one in draws])
    spans = [(one.start_min, one.end_min) for one in draws]
    return np.asarray(flows[:, None] * _overlap_min(spans, first_min, at_min))


def _merged(draws: tuple[Draw, ...]) -> list[tuple[float, float]]:
    """Times with any flow, without overlaps."""
    found: list[tuple[float, float]] = []
    for one in sorted(draws, key=lambda draw: draw.start_min):
        if one.flow_l_min == 0.0:
            continue
        if found and one.start_min <= found[-1][1]:
            found[-1] = (found[-1][0], max(found[-1][1], one.end_min))
        else:
            found.append((one.start_min, one.end_min))
    return found


def idle_min(history: History) -> Floats:
    """[min] without any flow between the readings, and from the last one to now."""
    times = _times(history)
    running = _overlap_min(_merged(history.draws), float(times[0]), times).sum(axis=0)
    return np.diff(times) - np.diff(running)


def _times(history: History) -> Floats:
    return np.array([*(one.at_min for one in history.sightings), history.now_min])


def _patterns(history: History, idle: Floats) -> tuple[Bools, Floats]:
    """Ways in which the valve may have stood between readings, and how likely each is.

    A habit is learned from the pauses that were told; those that were not told follow it.
    """
    told = [one.is_open for one in history.sightings[1:]] + [None]
    long = idle >= PAUSE_MIN
    asked = [i for i, one in enumerate(told) if one is None and long[i]]
    known = [one for i, one in enumerate(told) if one is not None and long[i]]
    stood = np.array([one is not False for one in told])
    apart, older = asked[-MOST_APART:], asked[:-MOST_APART]
    ways, habit = _ways(len(apart))
    rows = np.repeat(stood[None, :], len(ways), axis=0)
    rows[:, apart] = ways
    rows[:, older] = habit[:, None]
    return rows, _habit_share(ways, sum(known), len(known) - sum(known))


def _ways(count: int) -> tuple[Bools, Bools]:
    """All ways for a few pauses; for more: all alike, or all alike but one. Then the habit."""
    if count <= MOST_APART // 2:
        ways = np.array(list(product([True, False], repeat=count)), dtype=bool)
        return ways.reshape(2**count, count), np.ones(2**count, dtype=bool)
    alike = np.array([[True] * count, [False] * count])
    one_off = ~np.eye(count, dtype=bool)
    ways = np.concatenate([alike, one_off, ~one_off])
    return ways, ways.sum(axis=1) > count / 2


def _habit_share(ways: Bools, opened: int, closed: int) -> Floats:
    from scipy.special import betaln

    left = ways.sum(axis=1)
    logs = betaln(left + opened + 0.5, ways.shape[1] - left + closed + 0.5)
    shares = np.exp(logs - logs.max())
    return np.asarray(shares / shares.sum())


def _exposure(history: History) -> tuple[Floats, Floats]:
    """[min] with the valve open up to each time, for each pattern; and the patterns' shares."""
    idle = idle_min(history)
    whole = np.diff(_times(history))
    rows, shares = _patterns(history, idle)
    spent = np.where(rows, whole, whole - idle)
    return np.pad(np.cumsum(spent, axis=1), ((0, 0), (1, 0))), shares


def _held_l(history: History, kpa: Floats, kelvin: Floats) -> Floats:
    """[L] contents; a liquefied gas is only weighed, so that its gauge counts for nothing."""
    if history.gas.liquefied:
        return np.zeros(kpa.size)
    return np.asarray(
        contents_many_l(history.gas, history.water_capacity_l, kpa, kelvin, history.ambient_kpa)
    )


def _rows(history: History, at_min: Floats, kpa: Floats, kelvin: Floats) -> Rows:
    """Gauge readings as rows: contents and their slopes over pressure and temperature."""
    up, down = kpa + 50.0, np.maximum(kpa - 50.0, 0.0)
    held = _held_l(
        history,
        np.concatenate([kpa, up, down, kpa, kpa]),
        np.concatenate([kelvin, kelvin, kelvin, kelvin + 1.0, kelvin - 1.0]),
    )
    middle, above, below, warm, cool = np.split(held, 5)
    return Rows(
        at_min=at_min,
        litres=middle,
        per_kpa=(above - below) / (up - down),
        per_k=(warm - cool) / 2.0,
        along=kpa / history.instrument.full_scale_kpa,
        on_gauge=np.ones(kpa.size),
    )


def _seen(history: History) -> Rows:
    """The readings of a history; those of a scale have no gauge and no warmth in them."""
    sightings = history.sightings
    kpa = np.array([one.gauge_kpa or 0.0 for one in sightings])
    kelvin = np.array([one.temperature_k for one in sightings])
    rows = _rows(history, _times(history)[:-1], kpa, kelvin)
    on_gauge = np.array([float(one.weighed_l is None) for one in sightings])
    weighed = np.array([one.weighed_l or 0.0 for one in sightings])
    return replace(
        rows,
        litres=np.where(on_gauge > 0, rows.litres, weighed),
        per_kpa=rows.per_kpa * on_gauge,
        per_k=rows.per_k * on_gauge,
        on_gauge=on_gauge,
    )


def _fading(night_ends: Floats, at_min: Floats, warming_min: float) -> Floats:
    """For each night: 1 at its end, fading as the room warms, gone at the end of the next."""
    after = at_min[None, :] - night_ends[:, None]
    until = np.append(night_ends[1:], np.inf)[:, None] - night_ends[:, None]
    lasting = (after >= 0.0) & (after < until)
    return np.where(lasting, np.exp(-np.maximum(after, 0.0) / warming_min), 0.0)


def _columns(
    history: History, beliefs: Beliefs, night_ends: Floats, rows: Rows
) -> tuple[Floats, Floats, Floats]:
    draws = history.draws
    meant = _meant_l(draws, history.sightings[0].at_min, rows.at_min)
    errors = np.array([one.error_share for one in draws])
    fading = _fading(night_ends, rows.at_min, beliefs.warming_min)
    columns = [
        rows.per_kpa,
        -errors @ meant,
        np.ones(rows.litres.size),
        rows.per_kpa * (rows.along - 0.5),
        rows.per_kpa * 4.0 * rows.along * (1.0 - rows.along),
        -rows.per_k,
        -rows.litres * rows.on_gauge,
        1.0 - rows.on_gauge,
        *(-meant),
        *(-rows.per_k * fading),
    ]
    return -meant.sum(axis=0), np.column_stack(columns), rows.per_k * fading.sum(axis=0)


def _noise(history: History, beliefs: Beliefs, rows: Rows) -> Floats:
    """A step read to the nearest, with an eye as unsure as a sixth of it; a room that wanders."""
    tool = history.instrument
    step = (rows.per_kpa * tool.gauge_step_kpa) ** 2 * (1 / 12 + 1 / 36)
    warmth = (rows.per_k * beliefs.reading_sd_k) ** 2
    scale = tool.scale_step_l**2 * (1 / 12 + 1 / 36) + 1e-6
    return np.where(rows.on_gauge > 0, step + warmth + 1e-6, scale)


def _spread(history: History, beliefs: Beliefs, nights: int, most_l: float) -> Floats:
    tool = history.instrument
    return np.array(
        [
            WIDE * tool.gauge_limit_kpa,
            WIDE if beliefs.flow_error_is_limit else 1.0,
            3.0 * most_l + 1.0,
            beliefs.span_sd_share * tool.full_scale_kpa,
            beliefs.bend_sd_share * tool.full_scale_kpa,
            tool.temperature_limit_k / _ROOT3,
            tool.capacity_limit_share / _ROOT3,
            tool.scale_limit_l / _ROOT3,
            *[beliefs.setting_sd_share] * len(history.draws),
            *[beliefs.night_sd_k] * nights,
        ]
    )


def laid_out(history: History, beliefs: Beliefs) -> Design:
    """The equations of a history under some beliefs."""
    seen, times = _seen(history), _times(history)
    night_ends = times[1:][idle_min(history) >= NIGHT_PAUSE_MIN]
    base, columns, cold = _columns(history, beliefs, night_ends, seen)
    exposure, shares = _exposure(history)
    most = float(np.max(np.abs(seen.litres)))
    meant = _meant_l(history.draws, float(times[0]), times[-1:])
    return Design(
        history=history,
        beliefs=beliefs,
        seen=seen,
        base_l=base,
        columns=columns,
        cold_l=cold,
        spread=_spread(history, beliefs, night_ends.size, most),
        noise_l2=_noise(history, beliefs, seen),
        times_min=times,
        exposure_min=exposure,
        pattern_share=shares,
        night_ends_min=night_ends,
        meant_l=float(meant.sum()),
        limits=(
            history.instrument.gauge_limit_kpa,
            _ROOT3 if beliefs.flow_error_is_limit else float("inf"),
        ),
    )


def curve_of(history: History, most_kpa: float) -> Curve:
    """Contents along the gauge at the temperature of the last reading."""
    kpa = np.linspace(0.0, most_kpa, 96)
    kelvin = np.full(kpa.size, history.sightings[-1].temperature_k)
    return Curve(gauge_kpa=kpa, contents_l=_held_l(history, kpa, kelvin))
