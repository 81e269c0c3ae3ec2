"""The band of one cylinder without numpy: the same few errors, spread evenly, the same each time.

A printed limit ±a is uniform over ±a, a standard deviation is normal. Gauge, temperature, water
capacity and flow are independent; 1021 points of a lattice fill their four-dimensional box
evenly, and the 5 and 95 % points of what comes out are the band. Nothing is random, so the same
question has the same answer, and nothing heavy is loaded.
"""

from dataclasses import dataclass
from functools import cache
from math import erf, sqrt

from ullage.core.checks import not_negative, positive, within
from ullage.core.gas import Gas, contents_l
from ullage.core.supply.reserve import ReserveRule, kept_back_l
from ullage.core.supply.sources import endurance_min, usable_l
from ullage.core.units import STANDARD_ATMOSPHERE_KPA

__all__ = [
    "CylinderBands",
    "CylinderState",
    "Doubt",
    "Spread",
    "amount_bands",
    "cylinder_bands",
    "lattice",
]

_POINTS = 1021
#: Of Korobov's lattices of 1021 points the one that fills four dimensions most evenly.
_STEP = 270
_LEAST_SHARE = 0.05


@dataclass(frozen=True, slots=True, kw_only=True)
class CylinderState:
    """A cylinder of a gas that stays gas: what it is and what the gauge said."""

    gas: Gas
    water_capacity_l: float
    gauge_kpa: float
    temperature_k: float
    ambient_kpa: float = STANDARD_ATMOSPHERE_KPA
    count: int = 1


@dataclass(frozen=True, slots=True, kw_only=True)
class Doubt:
    """How far each number may be out: limits either way, and the flow by limit or by SD."""

    gauge_kpa: float = 0.0
    temperature_k: float = 0.0
    water_share: float = 0.0
    flow_sd_share: float = 0.0
    flow_limit_share: float = 0.0

    def __post_init__(self) -> None:
        not_negative("gauge_kpa", self.gauge_kpa)
        within("temperature_k", self.temperature_k, 0.0, 50.0)
        within("water_share", self.water_share, 0.0, 0.5)
        within("flow_sd_share", self.flow_sd_share, 0.0, 1.0)
        within("flow_limit_share", self.flow_limit_share, 0.0, 0.95)


@dataclass(frozen=True, slots=True)
class Spread:
    """A best value with the 5 and 95 % points around it."""

    low: float
    middle: float
    high: float


@dataclass(frozen=True, slots=True)
class CylinderBands:
    """Contents, usable gas, what is kept back, and minutes, each with its band."""

    contents_l: Spread
    kept_l: Spread
    usable_l: Spread
    minutes: Spread


@cache
def lattice() -> tuple[tuple[float, float, float, float], ...]:
    """Points that fill the unit box of four dimensions evenly; the last one standard normal.

    Returns
    -------
    [1] three coordinates over -1..1, and one of a standard normal.

    >>> points = lattice()
    >>> len(points), abs(sum(point[0] for point in points)) < 1e-9
    (1021, True)
    """
    from statistics import NormalDist

    quantile = NormalDist().inv_cdf
    found = []
    for index in range(_POINTS):
        first, second, third, fourth = (
            (index * pow(_STEP, power, _POINTS) % _POINTS + 0.5) / _POINTS for power in range(4)
        )
        found.append((2 * first - 1, 2 * second - 1, 2 * third - 1, quantile(fourth)))
    return tuple(found)


def cylinder_bands(
    state: CylinderState, doubt: Doubt, rule: ReserveRule, flow_l_min: float
) -> CylinderBands:
    """Contents, usable gas and minutes of one cylinder, each with its 90 % band.

    Parameters
    ----------
    state : the cylinder and its reading.
    doubt : how far each number may be out.
    rule : what is kept back.
    flow_l_min : [L/min] whole steady demand, above 0.

    Returns
    -------
    Best values from the numbers as they stand, bands from the lattice.

    >>> oxygen = CylinderState(gas=Gas.OXYGEN, water_capacity_l=4.76, gauge_kpa=6894.757,
    ...     temperature_k=293.15)
    >>> found = cylinder_bands(oxygen, Doubt(gauge_kpa=517.1), ReserveRule(pressure_kpa=1378.95), 1)
    >>> round(found.minutes.low), round(found.minutes.middle), round(found.minutes.high)
    (250, 273, 297)
    """
    positive("flow_l_min", flow_l_min)
    now, at_rule, at_zero = (
        _Surface(state, doubt, *ends)
        for ends in (
            (max(state.gauge_kpa - doubt.gauge_kpa, 0.0), state.gauge_kpa + doubt.gauge_kpa),
            (rule.pressure_kpa, rule.pressure_kpa),
            (0.0, 0.0),
        )
    )

    capacity_l = state.count * positive("water_capacity_l", state.water_capacity_l)
    outcomes = [_outcome(_exact(state, rule), capacity_l, rule, flow_l_min)]
    for gauge, warmth, water, flow in lattice():
        each_l = (
            now.at_kpa(state.gauge_kpa + doubt.gauge_kpa * gauge, warmth),
            at_rule(0.0, warmth),
            at_zero(0.0, warmth),
        )
        moved_l = capacity_l * (1.0 + doubt.water_share * water)
        drawn_l_min = flow_l_min * _flow_share(doubt, flow)
        now_l, kept_l, left_l, _ = _outcome(each_l, moved_l, rule, flow_l_min)
        outcomes.append((now_l, kept_l, left_l, endurance_min(left_l, drawn_l_min)))
    return _bands(outcomes)


def _exact(state: CylinderState, rule: ReserveRule) -> tuple[float, float, float]:
    """Free gas in each litre of water now, at the pressure of the rule, and at zero gauge."""
    now, at_rule, at_zero = (
        contents_l(state.gas, 1.0, gauge_kpa, state.temperature_k, state.ambient_kpa)
        for gauge_kpa in (state.gauge_kpa, rule.pressure_kpa, 0.0)
    )
    return now, at_rule, at_zero


def _outcome(
    each_l: tuple[float, float, float], capacity_l: float, rule: ReserveRule, flow_l_min: float
) -> tuple[float, float, float, float]:
    """Contents, kept back, usable and minutes from what each litre of water holds."""
    now_l, at_rule_l, at_zero_l = (capacity_l * one for one in each_l)
    kept_l = kept_back_l(rule, at_rule_l, at_zero_l, flow_l_min)
    left_l = usable_l(now_l, kept_l)
    return now_l, kept_l, left_l, endurance_min(left_l, flow_l_min)


class _Surface:
    """Free gas in each litre of water over the box of gauge and temperature.

    Exact on three gauges and three temperatures, a parabola each way between them: over the few
    bar and degrees of a reading's error it is right to 0.005 %, and cheap.
    """

    def __init__(self, state: CylinderState, doubt: Doubt, low_kpa: float, high_kpa: float) -> None:
        self._middle_kpa = (low_kpa + high_kpa) / 2.0
        self._half_kpa = max((high_kpa - low_kpa) / 2.0, 1e-9)
        gauges = (low_kpa, self._middle_kpa, high_kpa)
        half_k = max(doubt.temperature_k, 0.01)
        rows = (
            _parabola(
                [
                    contents_l(state.gas, 1.0, gauge_kpa, kelvin, state.ambient_kpa)
                    for gauge_kpa in gauges
                ]
            )
            for kelvin in (state.temperature_k + half_k * side for side in (-1.0, 0.0, 1.0))
        )
        self._across = [_parabola(list(column)) for column in zip(*rows, strict=True)]
        self._warm = min(doubt.temperature_k / half_k, 1.0)

    def __call__(self, gauge: float, warmth: float) -> float:
        """[L/L] at places from -1 to 1."""
        warm = self._warm * warmth
        level, slope, bend = (one + warm * (two + warm * three) for one, two, three in self._across)
        return level + gauge * (slope + gauge * bend)

    def at_kpa(self, gauge_kpa: float, warmth: float) -> float:
        """[L/L] at a gauge inside the box; below 0 there is no gauge."""
        return self((max(gauge_kpa, 0.0) - self._middle_kpa) / self._half_kpa, warmth)


def _parabola(values: list[float]) -> tuple[float, float, float]:
    """Level, slope and bend of the parabola through values at -1, 0 and 1."""
    low, middle, high = values
    return middle, (high - low) / 2.0, (high + low) / 2.0 - middle


def amount_bands(
    contents_l: float, contents_band_l: float, kept_l: float, doubt: Doubt, flow_l_min: float
) -> CylinderBands:
    """The same for an amount that was weighed or read as a level.

    Parameters
    ----------
    contents_l : [L] now, 0 or more.
    contents_band_l : [L] how far that may be out, either way.
    kept_l : [L] kept back.
    doubt : of the flow; its other parts do not count here.
    flow_l_min : [L/min] whole steady demand, above 0.

    Returns
    -------
    Best values from the numbers as they stand, bands from the lattice.

    >>> found = amount_bands(765.0, 50.0, 100.0, Doubt(), 1.0).minutes
    >>> round(found.low), round(found.middle), round(found.high)
    (620, 665, 710)
    """
    positive("flow_l_min", flow_l_min)
    not_negative("contents_band_l", contents_band_l)

    def outcome(now_l: float, flow_share: float) -> tuple[float, float, float, float]:
        left_l = usable_l(now_l, kept_l)
        return now_l, kept_l, left_l, endurance_min(left_l, flow_l_min * flow_share)

    outcomes = [outcome(contents_l, 1.0)]
    for amount, _, _, flow in lattice():
        now_l = max(contents_l + contents_band_l * amount, 0.0)
        outcomes.append(outcome(now_l, _flow_share(doubt, flow)))
    return _bands(outcomes)


def _bands(outcomes: list[tuple[float, float, float, float]]) -> CylinderBands:
    """Bands of outcomes of which the first is the best one and not a point of the lattice."""
    return CylinderBands(
        *(_spread(column[0], list(column[1:])) for column in zip(*outcomes, strict=True))
    )


def _flow_share(doubt: Doubt, normal: float) -> float:
    even = erf(normal / sqrt(2.0))  # the same coordinate, uniform over -1..1
    return max(1.0 + doubt.flow_sd_share * normal + doubt.flow_limit_share * even, _LEAST_SHARE)


def _spread(middle: float, values: list[float]) -> Spread:
    low, high = (_point(sorted(values), share) for share in (0.05, 0.95))
    return Spread(min(low, middle), middle, max(high, middle))


def _point(ranked: list[float], share: float) -> float:
    """The point below which a share lies; each value stands for the middle of its own share."""
    place = share * len(ranked) - 0.5
    below = int(place)
    return ranked[below] + (place - below) * (ranked[below + 1] - ranked[below])
