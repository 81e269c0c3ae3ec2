"""What the readings leave possible: a few thousand equally likely worlds, the same each time.

The explanations are visited in proportion to their weights; inside each one the unknowns are normal
and are taken from an evenly spread sequence of points, so that nothing is random.
"""

from dataclasses import dataclass
from functools import cache

import numpy as np
from scipy.special import ndtr, ndtri

from ullage.core.supply._design import BOUNDED, Curve, Design, Floats, Ints, laid_out
from ullage.core.supply._likelihood import (
    NO_LEAK,
    Course,
    Events,
    Explanations,
    courses_of,
    events_of,
    leaks_at,
    weighed,
)
from ullage.core.supply.history import Beliefs, History

__all__ = ["Fit", "Worlds", "expected_kpa", "fitted", "quantiles", "worlds_of"]

WORLDS = 2048
_SIDES = 6


@dataclass(frozen=True, slots=True, kw_only=True)
class Fit:
    """A history solved: its equations, and all explanations with their weights."""

    design: Design
    events: Events
    courses: tuple[Course, ...]
    explained: Explanations


@dataclass(frozen=True, slots=True, kw_only=True)
class Worlds:
    """Possible states of the cylinder now, with their weights."""

    contents_l: Floats
    meter: Floats  # error of the flowmeter, in units of the error each flow carries
    flow_scale: Floats
    leak_l_min: Floats
    fresh: Floats  # a standard normal for what is set next
    weight: Floats


@dataclass(frozen=True, slots=True, kw_only=True)
class _Picks:
    """Explanations taken as they are: which one, at which leak, with how much of its event."""

    course: Ints
    event: Ints
    leak: Ints
    leak_l_min: Floats
    weight: Floats


@dataclass(frozen=True, slots=True, kw_only=True)
class _Asked:
    """Quantities asked for: base and columns like those of a reading; leak and event on them."""

    base_l: Floats
    columns: Floats  # (quantities, unknowns)
    cold_l: Floats
    leaks: Floats  # (leaks, quantities): what 1 L/min takes; the last row is no leak
    events: Floats  # (events, quantities): what one L of it adds


def fitted(history: History, beliefs: Beliefs) -> Fit:
    """Solve a history for all its explanations."""
    design = laid_out(history, beliefs)
    events = events_of(design)
    courses = courses_of(design, events)
    explained = weighed(courses, events, design)
    return Fit(design=design, events=events, courses=courses, explained=explained)


@cache
def _points() -> Floats:
    """Evenly spread points in a box, by steps of a generalised golden ratio."""
    ratio = 2.0
    for _ in range(40):
        ratio = (1.0 + ratio) ** (1.0 / (_SIDES + 1))
    steps = ratio ** -np.arange(1.0, _SIDES + 1)
    found = (0.5 + np.arange(1.0, WORLDS + 1)[:, None] * steps) % 1.0
    return np.clip(found, 1e-9, 1.0 - 1e-9)


def quantiles(values: Floats, weight: Floats, shares: tuple[float, ...]) -> Floats:
    """Values below which the given shares of the weight lie."""
    order = np.argsort(values, kind="stable")
    summed = np.cumsum(weight[order])
    return np.interp(shares, (summed - 0.5 * weight[order]) / summed[-1], values[order])


def _picked(fit: Fit) -> _Picks:
    """Explanations in proportion to their weights, their leak spread over its cell."""
    found = fit.explained
    even = (np.arange(WORLDS) + 0.5) / WORLDS
    chosen = np.searchsorted(np.cumsum(found.weight), even).clip(max=found.weight.size - 1)
    spread = (_points()[:, 5] - 0.5) * found.width_l_min[chosen]
    return _Picks(
        course=found.course[chosen],
        event=found.event[chosen],
        leak=found.leak[chosen],
        leak_l_min=np.maximum(found.leak_l_min[chosen] + spread, 0.0),
        weight=np.ones(WORLDS),
    )


def _event_sizes(course: Course, events: Events, picks: _Picks, normal: Floats) -> Floats:
    """[L] of the event of each pick: what the readings and the belief about it leave open."""
    along = course.residual @ course.events
    beside = course.events.T @ course.leaks
    seen = along[picks.event] + picks.leak_l_min * beside[picks.event, picks.leak]
    doubt = 1.0 / np.maximum(events.sd_l[picks.event], 1e-6) ** 2
    precision = doubt + (course.events**2).sum(axis=0)[picks.event]
    middle = (events.size_l[picks.event] * doubt + seen) / precision
    return middle + normal / np.sqrt(precision)


def _answered(
    course: Course, asked: _Asked, spread: Floats, picks: _Picks, event_l: Floats
) -> tuple[Floats, Floats]:
    """Means of the quantities asked for, for each pick, and their common covariance."""
    scaled = np.column_stack([asked.columns * spread, course.cold[1] * asked.cold_l])
    gain = np.linalg.solve(course.root, course.scaled @ scaled.T)
    means = asked.base_l + course.cold[0] * asked.cold_l + course.residual @ gain
    by_leak = course.leaks.T @ gain - asked.leaks
    by_event = asked.events - course.events.T @ gain
    means = means + picks.leak_l_min[:, None] * by_leak[picks.leak]
    means = means + event_l[:, None] * by_event[picks.event]
    return means, scaled @ scaled.T - gain.T @ gain


def _asked_now(fit: Fit) -> _Asked:
    """Gauge, meter, content now, and what was drawn beyond what was meant."""
    design, events = fit.design, fit.events
    base, content, drawn = design.now()
    picked = np.eye(BOUNDED, content.size)
    leaks = np.append(leaks_at(design, design.times_min[-1:])[:, 0], 0.0)
    zero = np.zeros((leaks.size, 1)), np.zeros((events.stays.size, 1))
    return _Asked(
        base_l=np.array([0.0, 0.0, base, 0.0]),
        columns=np.concatenate([picked, [content], [drawn]]),
        cold_l=np.zeros(4),
        leaks=np.concatenate([zero[0], zero[0], leaks[:, None], zero[0]], axis=1),
        events=np.concatenate([zero[1], zero[1], -events.stays[:, None], zero[1]], axis=1),
    )


def _drawn(
    means: Floats, covariance: Floats, limits: tuple[float, float], points: Floats
) -> tuple[Floats, Floats]:
    """One world for each mean; the first two quantities are cut off at their limits."""
    floor = np.diag(np.maximum(np.diag(covariance), 1e-12) * 1e-9)
    root = np.linalg.cholesky(covariance + floor)
    found, weight = means.copy(), np.ones(len(means))
    for side, limit in enumerate(limits):
        low = ndtr((-limit - found[:, side]) / root[side, side])
        high = ndtr((limit - found[:, side]) / root[side, side])
        share = np.clip(low + (high - low) * points[:, side], 1e-12, 1.0 - 1e-12)
        found = found + ndtri(share)[:, None] * root[:, side]
        weight = weight * np.maximum(high - low, 1e-12)
    rest = ndtri(points[:, BOUNDED : len(root)])
    return found + rest @ root[:, BOUNDED:].T, weight


def worlds_of(fit: Fit) -> Worlds:
    """Possible states of the cylinder now, in proportion to their chances."""
    picks, points, asked = _picked(fit), _points(), _asked_now(fit)
    found, weight = np.zeros((WORLDS, 4)), np.zeros(WORLDS)
    for number, course in enumerate(fit.courses):
        mine = np.flatnonzero(picks.course == number)
        if not mine.size:
            continue
        part = _taken(picks, mine)
        event_l = _event_sizes(course, fit.events, part, ndtri(points[mine, 4]))
        means, covariance = _answered(course, asked, fit.design.spread, part, event_l)
        found[mine], weight[mine] = _drawn(means, covariance, fit.design.limits, points[mine])
    meant = fit.design.meant_l
    return Worlds(
        contents_l=np.maximum(found[:, 2], 0.0),
        meter=found[:, 1],
        flow_scale=1.0 + found[:, 3] / meant if meant > 0 else np.ones(WORLDS),
        leak_l_min=picks.leak_l_min,
        fresh=ndtri(points[:, 4]),
        weight=weight / weight.sum(),
    )


def _taken(picks: _Picks, mine: Ints) -> _Picks:
    return _Picks(
        course=picks.course[mine],
        event=picks.event[mine],
        leak=picks.leak[mine],
        leak_l_min=picks.leak_l_min[mine],
        weight=picks.weight[mine],
    )


def _nothing_wrong(fit: Fit) -> _Picks:
    """No leak and no event, with each course of the nights at its weight."""
    number = len(fit.courses)
    plain = (fit.explained.event == 0) & (fit.explained.leak == NO_LEAK)
    weight = np.bincount(
        fit.explained.course[plain], weights=fit.explained.weight[plain], minlength=number
    )
    return _Picks(
        course=np.arange(number),
        event=np.zeros(number, dtype=int),
        leak=np.full(number, NO_LEAK),
        leak_l_min=np.zeros(number),
        weight=weight if weight.sum() > 0 else np.ones(number),
    )


def _asked_at(fit: Fit, at_min: Floats, litres: Floats, curve: Curve) -> tuple[_Asked, Floats]:
    """Gauge readings that would be taken at some times, and their own noise [L²]."""
    design, events = fit.design, fit.events
    rows = design.expected(at_min, litres, curve)
    base, columns, cold = design.of(rows)
    leaks = np.concatenate([leaks_at(design, at_min), np.zeros((1, at_min.size))])
    felt = at_min[None, :] >= design.seen.at_min[events.from_reading][:, None]
    asked = _Asked(
        base_l=base,
        columns=columns,
        cold_l=cold,
        leaks=leaks,
        events=-felt.astype(float) * events.stays[:, None],
    )
    return asked, design.noise_of(rows)


def _moments(fit: Fit, asked: _Asked, picks: _Picks) -> tuple[Floats, Floats]:
    """Mean and variance of the quantities asked for over some explanations."""
    means, variances = [], []
    weights = []
    for number, course in enumerate(fit.courses):
        mine = np.flatnonzero(picks.course == number)
        if not mine.size:
            continue
        part = _taken(picks, mine)
        event_l = _event_sizes(course, fit.events, part, np.zeros(mine.size))
        found, covariance = _answered(course, asked, fit.design.spread, part, event_l)
        means.append(found)
        variances.append(np.broadcast_to(np.diag(covariance), found.shape))
        weights.append(part.weight)
    weight = np.concatenate(weights)[:, None] / np.sum(np.concatenate(weights))
    mean = (weight * np.concatenate(means)).sum(axis=0)
    square = (weight * (np.concatenate(variances) + np.concatenate(means) ** 2)).sum(axis=0)
    return mean, np.maximum(square - mean**2, 0.0)


def expected_kpa(
    fit: Fit, at_min: Floats, curve: Curve, *, nothing_wrong: bool
) -> tuple[Floats, Floats]:
    """[kPa] gauge readings to expect at some times: middle, and one standard deviation.

    With ``nothing_wrong`` only explanations without a leak or an event count.
    """
    picks = _nothing_wrong(fit) if nothing_wrong else _picked(fit)
    litres = np.full(at_min.size, float(fit.design.seen.litres[-1]))
    for _ in range(2):  # the slopes are taken at what is expected, so look twice
        asked, noise = _asked_at(fit, at_min, litres, curve)
        litres, variance = _moments(fit, asked, picks)
    middle = curve.gauge_of_kpa(litres)
    above = curve.gauge_of_kpa(litres + 1.0) - curve.gauge_of_kpa(litres - 1.0)
    return middle, np.sqrt(variance + noise) * above / 2.0
