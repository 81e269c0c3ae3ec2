"""Vapour in a room over time, with a second box for the air that the operator breathes.

A room is one well-mixed box, or two: the near box round head and hands, in which things escape,
and the far box, all the rest, which the fresh air sweeps. Air goes to and fro between both.
Sources are steady between two times, or come at once. Between two changes the equations are
linear with constant coefficients, so levels and their integrals over time are exact:

    near:  Vn dN/dt = Gn + B (F - N)
    far:   Vf dF/dt = Gf + B (N - F) - Q F
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ullage.core.checks import not_negative, positive, within
from ullage.core.errors import InvalidQuantity

__all__ = [
    "NearBox",
    "Puff",
    "RoomAir",
    "RoomCourse",
    "Stream",
    "near_box_of",
    "near_steady_ppm",
    "room_course",
]

type Floats = NDArray[np.float64]

_L_PER_M3 = 1000.0
_MIN_PER_H = 60.0
_MILLION = 1e6

#: Below this product of rate and time the closed forms lose digits, and their series is used.
_SMALL = 1e-2
_TERMS = 8


@dataclass(frozen=True, slots=True, kw_only=True)
class NearBox:
    """The air round the operator: its volume, and what it exchanges with the rest of the room."""

    volume_m3: float
    exchange_m3_min: float

    def __post_init__(self) -> None:
        positive("volume_m3", self.volume_m3)
        positive("exchange_m3_min", self.exchange_m3_min)


@dataclass(frozen=True, slots=True, kw_only=True)
class RoomAir:
    """A room: its air, its fresh air, how badly it mixes, and the near box where there is one."""

    room_m3: float
    air_changes_per_h: float
    mixing_factor: float = 1.0
    near: NearBox | None = None

    def __post_init__(self) -> None:
        positive("room_m3", self.room_m3)
        not_negative("air_changes_per_h", self.air_changes_per_h)
        within("mixing_factor", self.mixing_factor, 1.0, 100.0)
        if self.near is not None and not self.near.volume_m3 < self.room_m3:
            raise InvalidQuantity("near box", self.near.volume_m3, f"below {self.room_m3:g} m³")

    @property
    def fresh_l_min(self) -> float:
        """[L/min] of fresh air that does its work."""
        whole = self.room_m3 * _L_PER_M3 * self.air_changes_per_h / _MIN_PER_H
        return whole / self.mixing_factor


@dataclass(frozen=True, slots=True, kw_only=True)
class Stream:
    """Vapour that escapes steadily from one minute to another."""

    start_min: float
    end_min: float
    vapour_l_min: float
    near: bool = True

    def __post_init__(self) -> None:
        within("start_min", self.start_min, -1e9, 1e9)
        within("end_min", self.end_min, self.start_min, 1e9)
        not_negative("vapour_l_min", self.vapour_l_min)


@dataclass(frozen=True, slots=True, kw_only=True)
class Puff:
    """Vapour that escapes all at once."""

    at_min: float
    vapour_l: float
    near: bool = True

    def __post_init__(self) -> None:
        within("at_min", self.at_min, -1e9, 1e9)
        not_negative("vapour_l", self.vapour_l)


@dataclass(frozen=True, slots=True, kw_only=True)
class RoomCourse:
    """Levels [ppm] at the times, and their integrals [ppm min] since the first; near, far.

    A level at the time of a puff is the one just after it. Of a room without a near box both are
    the same. ``peak_ppm`` are the highest levels met at the times, before or after a puff.
    ``held_l`` is the vapour in the room, ``swept_l`` what the fresh air took away.
    """

    times_min: Floats
    near_ppm: Floats
    far_ppm: Floats
    near_dose: Floats
    far_dose: Floats
    held_l: Floats
    swept_l: Floats
    peak_ppm: tuple[float, float]

    def average_ppm(self, start_min: float, end_min: float) -> tuple[float, float]:
        """Mean level between two of the times [ppm]: near, far.

        Parameters
        ----------
        start_min : [min] one of the times.
        end_min : [min] a later one.

        Raises
        ------
        InvalidQuantity : a time that was not asked for, or no time between both.
        """
        first, last = self._index(start_min), self._index(end_min)
        long = positive("time between", end_min - start_min)
        near, far = (
            float(dose[last] - dose[first]) / long for dose in (self.near_dose, self.far_dose)
        )
        return near, far

    def _index(self, at_min: float) -> int:
        found = int(np.searchsorted(self.times_min, at_min - 1e-9))
        if found >= self.times_min.size or abs(self.times_min[found] - at_min) > 1e-9:
            raise InvalidQuantity("at_min", at_min, "one of the times of the course")
        return found


def near_box_of(radius_m: float, air_speed_m_min: float) -> NearBox:
    """The half ball round head and hands over a bench, through whose surface air drifts.

    Parameters
    ----------
    radius_m : [m] about an arm's length, above 0.
    air_speed_m_min : [m/min] of the air in the room, above 0; still rooms have 3, draughty ones 15.

    Returns
    -------
    Volume, and the exchange through half of the open surface: the other half lets air out.

    Raises
    ------
    InvalidQuantity : a number not above 0.

    Source: waste_memory (near-field box of industrial hygiene).

    >>> round(near_box_of(0.8, 6.0).exchange_m3_min, 1)
    12.1
    """
    radius = positive("radius_m", radius_m)
    surface = 2.0 * np.pi * radius**2
    return NearBox(
        volume_m3=float(surface * radius / 3.0),
        exchange_m3_min=float(0.5 * surface * positive("air_speed_m_min", air_speed_m_min)),
    )


def near_steady_ppm(
    vapour_l_min: float, fresh_air_l_min: float, exchange_m3_min: float, mixing_factor: float = 1.0
) -> float:
    """Level in the near box that a steady source in it comes to in the end.

    Parameters
    ----------
    vapour_l_min : [L/min] of vapour that escapes in the near box, 0 or more.
    fresh_air_l_min : [L/min] of fresh air in the room, above 0.
    exchange_m3_min : [m³/min] between near box and room, above 0.
    mixing_factor : [1] of the room.

    Returns
    -------
    [ppm] by volume: that of the room, and what the exchange adds.

    Raises
    ------
    InvalidQuantity : a number outside its range.

    Source: waste_memory (two-box model at rest).

    >>> round(near_steady_ppm(0.006, 12500.0, 12.0), 2)
    0.98
    """
    vapour = _MILLION * not_negative("vapour_l_min", vapour_l_min)
    within("mixing_factor", mixing_factor, 1.0, 100.0)
    far = vapour * mixing_factor / positive("fresh_air_l_min", fresh_air_l_min)
    return far + vapour / (positive("exchange_m3_min", exchange_m3_min) * _L_PER_M3)


def room_course(
    air: RoomAir,
    sources: Sequence[Stream | Puff],
    times_min: Sequence[float] | Floats,
    start_ppm: float = 0.0,
) -> RoomCourse:
    """Levels in a room over time, exact to rounding.

    Parameters
    ----------
    air : the room.
    sources : what escapes, when, and into which box; what lies before the first time is left out.
    times_min : [min] rising; the first is the start.
    start_ppm : [ppm] everywhere at the start, 0 or more.

    Raises
    ------
    InvalidQuantity : times that do not rise, a level below 0.

    Source: waste_memory (two-box model, solved between changes).

    >>> bench = RoomAir(room_m3=50.0, air_changes_per_h=15.0)
    >>> leak = Stream(start_min=0.0, end_min=600.0, vapour_l_min=0.006)
    >>> room_course(bench, [leak], [0.0, 600.0]).far_ppm.round(2).tolist()
    [0.0, 0.48]
    """
    times = _rising(times_min)
    matrix = _Matrix(air)
    level = np.full(matrix.volumes.size, not_negative("start_ppm", start_ppm))
    dose = np.zeros_like(level)
    levels, doses = np.empty((times.size, level.size)), np.empty((times.size, level.size))
    peak = level.copy()
    for piece in _pieces(matrix, sources, times):
        level = level + piece.puffs
        peak = np.maximum(peak, level)
        asked = times[piece.inside]
        since = np.append(asked - piece.start_min, piece.end_min - piece.start_min)
        over, gathered = matrix.propagated(level, piece.rates, since)
        levels[piece.inside], doses[piece.inside] = over[:-1], dose + gathered[:-1]
        peak = np.maximum(peak, over.max(axis=0))
        level, dose = over[-1], dose + gathered[-1]
    return RoomCourse(
        times_min=times,
        near_ppm=levels[:, 0],
        far_ppm=levels[:, -1],
        near_dose=doses[:, 0],
        far_dose=doses[:, -1],
        held_l=levels @ matrix.volumes / _MILLION,
        swept_l=air.fresh_l_min * doses[:, -1] / _MILLION,
        peak_ppm=(float(peak[0]), float(peak[-1])),
    )


def _rising(times_min: Sequence[float] | Floats) -> Floats:
    times = np.asarray(times_min, dtype=float)
    if times.ndim != 1 or times.size == 0 or not np.all(np.isfinite(times)):
        raise InvalidQuantity("times", float(times.size), "some minutes, all of them finite")
    if np.any(np.diff(times) < 0.0):
        raise InvalidQuantity("step of the times", float(np.diff(times).min()), "0 or more")
    return times


@dataclass(frozen=True, slots=True)
class _Piece:
    """A time without a change: what comes at its start, what escapes during it, times inside."""

    start_min: float
    end_min: float
    puffs: Floats
    rates: Floats
    inside: slice


def _pieces(matrix: "_Matrix", sources: Sequence[Stream | Puff], times: Floats) -> Iterator[_Piece]:
    """Every stretch between two changes, the last one ending with the last time."""
    streams = [one for one in sources if isinstance(one, Stream) and one.end_min > one.start_min]
    puffs = [one for one in sources if isinstance(one, Puff)]
    kept = _changes(streams, puffs, times)
    for number, start in enumerate(kept):
        end = kept[number + 1] if number + 1 < len(kept) else start
        low = int(np.searchsorted(times, start))
        high = times.size if end == start else int(np.searchsorted(times, end))
        came = [(one.near, one.vapour_l) for one in puffs if one.at_min == start]
        runs = [
            (one.near, one.vapour_l_min) for one in streams if one.start_min <= start < one.end_min
        ]
        yield _Piece(start, end, matrix.per_box(came), matrix.per_box(runs), slice(low, high))


def _changes(streams: Sequence[Stream], puffs: Sequence[Puff], times: Floats) -> list[float]:
    """Every minute at which something changes, with the first and the last time."""
    first, last = float(times[0]), float(times[-1])
    edges = {first, last, *(one.at_min for one in puffs)}
    for one in streams:
        edges |= {one.start_min, one.end_min}
    return sorted(one for one in edges if first <= one <= last)


class _Matrix:
    """Rates of change of the boxes, with their two rate constants and the volumes [L]."""

    def __init__(self, air: RoomAir) -> None:
        room, fresh = air.room_m3 * _L_PER_M3, air.fresh_l_min
        if air.near is None:
            self.volumes = np.array([room])
            self.roots = np.array([-fresh / room])
            self.shares = np.ones((1, 1, 1))
            return
        near, swap = air.near.volume_m3 * _L_PER_M3, air.near.exchange_m3_min * _L_PER_M3
        far = room - near
        self.volumes = np.array([near, far])
        rates = np.array([[-swap / near, swap / near], [swap / far, -(swap + fresh) / far]])
        slow, fast = _roots(rates, swap * fresh / (near * far))
        self.roots = np.array([slow, fast])
        one = np.eye(2)
        self.shares = np.array([rates - fast * one, slow * one - rates]) / (slow - fast)

    def per_box(self, amounts: Sequence[tuple[bool, float]]) -> Floats:
        """Litres, or litres a minute, as ppm of the box that they go to."""
        found = np.zeros_like(self.volumes)
        for near, amount in amounts:
            found[0 if near else -1] += amount
        scaled: Floats = _MILLION * found / self.volumes
        return scaled

    def propagated(self, level: Floats, rate: Floats, since: Floats) -> tuple[Floats, Floats]:
        """Levels and their integrals after some minutes of steady sources; shape (t, boxes)."""
        from_level, from_rate = self.shares @ level, self.shares @ rate
        after = self.roots * since[:, None]
        decay, once, twice = np.exp(after), *_integrals(after, since[:, None])
        return decay @ from_level + once @ from_rate, once @ from_level + twice @ from_rate


def _roots(rates: Floats, determinant: float) -> tuple[float, float]:
    """Both rate constants, the slow one from the product, so that it keeps its digits."""
    middle = 0.5 * (rates[0, 0] + rates[1, 1])
    apart = np.hypot(0.5 * (rates[0, 0] - rates[1, 1]), np.sqrt(rates[0, 1] * rates[1, 0]))
    fast = float(middle - apart)
    return determinant / fast, fast


def _integrals(after: Floats, since: Floats) -> tuple[Floats, Floats]:
    """First and second integral of exp(root t) from 0, with the series where root t is small."""
    large = np.abs(after) > _SMALL
    safe = np.where(large, after, 1.0)
    once = np.where(large, np.expm1(safe) / safe, _series(after, 1)) * since
    twice = np.where(large, (np.expm1(safe) - safe) / safe**2, _series(after, 2)) * since**2
    return once, twice


def _series(small: Floats, first: int) -> Floats:
    """Sum of x^k / (k + first)!, which is what the closed form comes to near 0."""
    term = np.full_like(small, 1.0 if first == 1 else 0.5)
    found = term.copy()
    for power in range(1, _TERMS):
        term = term * small / (power + first)
        found += term
    return found
