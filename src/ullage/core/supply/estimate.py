"""What is in a cylinder, how true its flowmeter is and whether it leaks, from all its readings.

By marginal likelihood: every explanation (no leak, a leak, a leak that began later, a flush nobody
wrote down, a reading misread, a cold night, the valve open or closed) is weighed by how well it
foretells the readings, with the errors of gauge, room and flowmeter integrated out.
"""

from dataclasses import dataclass, field
from itertools import pairwise

import numpy as np

from ullage.core.checks import not_negative, positive, within
from ullage.core.supply._design import PAUSE_MIN, Floats, curve_of, idle_min
from ullage.core.supply._likelihood import NO_LEAK
from ullage.core.supply._posterior import (
    Fit,
    Worlds,
    expected_kpa,
    fitted,
    quantiles,
    worlds_of,
)
from ullage.core.supply.band import Spread
from ullage.core.supply.history import Beliefs, Draw, History

__all__ = [
    "Estimate",
    "ExpectedReading",
    "LeakRule",
    "Outlook",
    "estimate",
    "expected_readings",
    "reserve_outlook",
    "untold_pauses",
]

_NINETY = (0.05, 0.5, 0.95)
_NORMAL_95 = 1.6448536269514722
_NEVER_MIN = 1e9


@dataclass(frozen=True, slots=True, kw_only=True)
class LeakRule:
    """When a leak is reported: when one above so much is at least so likely."""

    above_l_min: float
    chance: float

    def __post_init__(self) -> None:
        positive("above_l_min", self.above_l_min)
        within("chance", self.chance, 0.0, 1.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Estimate:
    """What the readings say of one cylinder; each spread holds 90 % of what is left possible.

    The band of the leak starts at 0, and has its 10 % above it alone, where there may be none.
    """

    contents_l: Spread
    flow_scale: Spread
    leak_l_min: Spread
    leak_chance: float
    reported: bool
    may_hide_l_min: float
    trade_off: float
    history: History
    worlds: Worlds = field(repr=False)
    fit: Fit = field(repr=False)

    @property
    def step_l(self) -> float:
        """[L] what one step of the gauge, or of the scale, is worth at the last reading."""
        on_gauge = self.fit.design.seen.per_kpa[self.fit.design.seen.on_gauge > 0]
        if on_gauge.size:
            return float(on_gauge[-1]) * self.history.instrument.gauge_step_kpa
        return self.history.instrument.scale_step_l

    def closed_flow_min(self, leak_l_min: float) -> float:
        """[min] with all flows off and the valve open until a leak has moved the needle 3 steps."""
        return 3.0 * self.step_l / positive("leak_l_min", leak_l_min)


@dataclass(frozen=True, slots=True, kw_only=True)
class Outlook:
    """Minutes from now until what is kept back is reached; None: not by the flows given."""

    low_min: float | None
    middle_min: float | None
    high_min: float | None
    until_min: float
    chance: float


@dataclass(frozen=True, slots=True, kw_only=True)
class ExpectedReading:
    """What the gauge should show at a minute, with the range that holds 9 readings of 10."""

    at_min: float
    low_kpa: float
    middle_kpa: float
    high_kpa: float
    sd_kpa: float


def estimate(history: History, beliefs: Beliefs, rule: LeakRule) -> Estimate:
    """Weigh all explanations of a history and say what they leave possible.

    Parameters
    ----------
    history : readings and flows since the cylinder was opened, in order.
    beliefs : what is held likely before any reading.
    rule : when a leak is reported.

    Returns
    -------
    Contents now, flow scale and leak with their 90 % bands, and how likely a leak is.
    """
    fit = fitted(history, beliefs)
    worlds = worlds_of(fit)
    chance = _share_above(fit, rule.above_l_min)
    return Estimate(
        contents_l=_spread(worlds.contents_l, worlds.weight),
        flow_scale=_spread(worlds.flow_scale, worlds.weight),
        leak_l_min=_leak_spread(worlds),
        leak_chance=chance,
        reported=chance >= rule.chance,
        may_hide_l_min=_hidden(fit),
        trade_off=_trade_off(worlds),
        history=history,
        worlds=worlds,
        fit=fit,
    )


def _spread(values: Floats, weight: Floats) -> Spread:
    return Spread(*(float(one) for one in quantiles(values, weight, _NINETY)))


def _leak_spread(worlds: Worlds) -> Spread:
    """Two-sided where zero is out of the question, otherwise from zero to the 90 % point."""
    both = _spread(worlds.leak_l_min, worlds.weight)
    if both.low > 0.0:
        return both
    high = float(quantiles(worlds.leak_l_min, worlds.weight, (0.9,))[0])
    return Spread(0.0, min(both.middle, high), high)


def _share_above(fit: Fit, above_l_min: float) -> float:
    found = fit.explained
    return float(found.weight[found.leak_l_min > above_l_min].sum())


def _hidden(fit: Fit) -> float:
    """[L/min] the largest leak that the readings leave room for, should there be one at all."""
    leaking = fit.explained.leak != NO_LEAK
    if not leaking.any():
        return 0.0
    leaks, weight = fit.explained.leak_l_min[leaking], fit.explained.weight[leaking]
    return float(quantiles(leaks, weight, (0.95,))[0])


def _trade_off(worlds: Worlds) -> float:
    """Correlation of flow scale and leak where it leaks: near -1, one stands for the other."""
    leaking = worlds.leak_l_min > 0.0
    if np.count_nonzero(leaking) < 20:
        return 0.0
    leaks, scales = worlds.leak_l_min[leaking], worlds.flow_scale[leaking]
    if np.ptp(leaks) == 0.0 or np.ptp(scales) == 0.0:
        return 0.0
    return float(np.corrcoef(np.log(leaks), scales)[0, 1])


def expected_readings(
    found: Estimate, at_min: tuple[float, ...], *, nothing_wrong: bool
) -> tuple[ExpectedReading, ...]:
    """What the gauge should show at some times.

    Parameters
    ----------
    found : the estimate of the readings up to now.
    at_min : [min] times of readings that nobody took.
    nothing_wrong : foretell as if there were no leak and nothing unwritten; otherwise with them.

    Returns
    -------
    Middle and 90 % range of each, the gauge's own error and its rounding included.
    """
    if not at_min or found.history.gas.liquefied:
        return ()
    times = np.array(at_min, dtype=float)
    read = [one.gauge_kpa for one in found.history.sightings if one.gauge_kpa is not None]
    top_kpa = max([1.25 * max(read, default=0.0), 0.2 * found.history.instrument.full_scale_kpa])
    curve = curve_of(found.history, min(top_kpa, 30_000.0))
    middle, sd = expected_kpa(found.fit, times, curve, nothing_wrong=nothing_wrong)
    return tuple(
        ExpectedReading(
            at_min=float(at),
            low_kpa=float(max(0.0, kpa - _NORMAL_95 * off)),
            middle_kpa=float(max(0.0, kpa)),
            high_kpa=float(max(0.0, kpa + _NORMAL_95 * off)),
            sd_kpa=float(off),
        )
        for at, kpa, off in zip(times, middle, sd, strict=True)
    )


def reserve_outlook(found: Estimate, ahead: tuple[Draw, ...], kept_l: float) -> Outlook:
    """When what is kept back is reached, by flows that lie ahead and the leak that goes on.

    Parameters
    ----------
    found : the estimate of the readings up to now.
    ahead : flows meant to run from now on.
    kept_l : [L] contents at which the cylinder counts as used up.

    Returns
    -------
    Minutes from now with their 90 % band, and the chance that it comes within those flows.
    """
    not_negative("kept_l", kept_l)
    now = found.history.now_min
    marks = sorted({now, *(m for one in ahead for m in (one.start_min, one.end_min) if m > now)})
    left = found.worlds.contents_l - kept_l
    reached = np.where(left <= 0.0, 0.0, _NEVER_MIN)
    for begin, end in pairwise(marks):
        running = [one for one in ahead if one.start_min <= begin and one.end_min >= end]
        rate = found.worlds.leak_l_min + sum((_truly(found, one) for one in running), np.zeros(1))
        takes = left / np.maximum(rate, 1e-12)
        inside = (reached == _NEVER_MIN) & (takes <= end - begin)
        reached[inside] = begin - now + takes[inside]
        left = left - rate * (end - begin)
    share = float(found.worlds.weight[reached < _NEVER_MIN].sum())
    points = _steps(reached, found.worlds.weight)
    low, middle, high = (None if one >= _NEVER_MIN else one for one in points)
    return Outlook(
        low_min=low,
        middle_min=middle,
        high_min=high,
        until_min=marks[-1] - now,
        chance=min(share, 1.0),
    )


def _truly(found: Estimate, one: Draw) -> Floats:
    """[L/min] what a flow still to come will draw in each world."""
    beliefs = found.fit.design.beliefs
    factor = 1.0 + one.error_share * found.worlds.meter
    factor = factor + beliefs.setting_sd_share * found.worlds.fresh
    return one.flow_l_min * np.maximum(factor, 0.05)


def _steps(values: Floats, weight: Floats) -> list[float]:
    """The points of the band taken from the values themselves, since some are 'never'."""
    order = np.argsort(values, kind="stable")
    summed = np.cumsum(weight[order])
    places = np.searchsorted(summed, np.array(_NINETY) * summed[-1]).clip(max=values.size - 1)
    return [float(one) for one in values[order][places]]


def untold_pauses(history: History) -> tuple[tuple[float, float], ...]:
    """Pauses without flow of which nobody said whether the valve was closed.

    Parameters
    ----------
    history : readings and flows.

    Returns
    -------
    Minutes of the reading before and of the reading after each such pause.
    """
    seen = history.sightings
    idle = idle_min(history)
    return tuple(
        (before.at_min, after.at_min)
        for before, after, pause in zip(seen, seen[1:], idle, strict=False)
        if after.is_open is None and pause >= PAUSE_MIN
    )
