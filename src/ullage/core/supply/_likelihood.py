"""Marginal likelihood of each explanation of a history: no leak, a leak, a late leak, an event.

Everything but the leak and the kind of explanation is integrated on paper, since it is linear; the
leak is integrated on a grid that is laid around the peak of each explanation.
"""

from dataclasses import dataclass, replace

import numpy as np

from ullage.core.supply._design import Design, Floats, Ints
from ullage.core.supply.history import Beliefs

__all__ = ["Course", "Events", "Explanations", "courses_of", "events_of", "leaks_at", "weighed"]

#: Points of the grid around a peak [SD], and along the whole range of leaks.
_AROUND = np.linspace(-4.5, 4.5, 25)
_ALONG = 32
#: Events and late leaks are looked for in so many of the last readings.
_RECENT = 40
_TINY = 1e-9
#: Logarithm of a weight that cannot count any more, whatever the grid adds.
_FAR = 35.0
NO_LEAK = -1


@dataclass(frozen=True, slots=True, kw_only=True)
class Events:
    """What may have happened once: its direction in the readings, its size and its chance.

    The first one is nothing at all. ``from_reading`` is the first reading that feels it; ``stays``
    is 0 where a single reading was misread.
    """

    direction: Floats  # (events, sightings), per L
    from_reading: Ints
    stays: Floats
    size_l: Floats
    sd_l: Floats
    share: Floats


def events_of(design: Design) -> Events:
    """All that may have happened once: nothing, a flush, a jump, one reading misread."""
    beliefs, count = design.beliefs, design.seen.litres.size
    recent = np.arange(max(1, count - _RECENT), count)
    single = np.arange(max(0, count - _RECENT), count)
    gone = -(np.arange(count)[None, :] >= recent[:, None]).astype(float)
    most = float(np.max(np.abs(design.seen.litres))) + 1.0
    kinds = [
        # direction, reading, stays, size, spread, chance of the kind
        (np.zeros((1, count)), np.zeros(1, dtype=int), 0.0, 0.0, 0.0, 0.0),
        (gone, recent, 1.0, beliefs.flush_l, beliefs.flush_sd_l, beliefs.flush_share),
        (gone, recent, 1.0, 0.0, most / 3.0, beliefs.jump_share),
        (np.eye(count)[single], single, 0.0, 0.0, most / 6.0, beliefs.misread_share),
    ]
    sizes = [len(one[1]) for one in kinds]
    share = np.repeat(
        [one[5] / max(size, 1) for one, size in zip(kinds, sizes, strict=True)], sizes
    )
    share[0] = 1.0 - share.sum()
    return Events(
        direction=np.concatenate([one[0] for one in kinds]),
        from_reading=np.concatenate([one[1] for one in kinds]),
        stays=np.repeat([one[2] for one in kinds], sizes),
        size_l=np.repeat([one[3] for one in kinds], sizes),
        sd_l=np.repeat([one[4] for one in kinds], sizes),
        share=share,
    )


def _onsets(design: Design) -> Ints:
    """Readings after which a leak may have begun; the first stands for 'from the start'."""
    count = design.seen.litres.size
    return np.array([0, *range(max(1, count - _RECENT), count - 1)])


def leaks_at(design: Design, at_min: Floats) -> Floats:
    """[min] what 1 L/min takes up to some times; rows: onsets, and within them the patterns."""
    total = design.exposure_at_min(at_min)
    begun = design.exposure_min[:, _onsets(design)]
    return np.concatenate([np.maximum(total - one[:, None], 0.0) for one in begun.T])


@dataclass(frozen=True, slots=True, kw_only=True)
class Course:
    """One course of the nights, solved: residual, leaks and events in units of their errors."""

    share: float
    residual: Floats  # (sightings,)
    leaks: Floats  # (sightings, leaks); the last column is no leak
    events: Floats  # (sightings, events)
    root: Floats
    scaled: Floats  # columns times their spread
    cold: tuple[float, float]  # [K] mean and spread of a cold night


def courses_of(design: Design, events: Events) -> tuple[Course, ...]:
    """Nights as the thermometer says; and, where there was one, nights that were colder."""
    beliefs = design.beliefs
    if not np.any(design.cold_l):
        return (_solved(design, events, 1.0, (0.0, 0.0)),)
    cold = (beliefs.cold_drop_k, beliefs.cold_sd_k)
    return (
        _solved(design, events, 1.0 - beliefs.cold_share, (0.0, 0.0)),
        _solved(design, events, beliefs.cold_share, cold),
    )


def _solved(design: Design, events: Events, share: float, cold: tuple[float, float]) -> Course:
    residual = design.seen.litres - design.base_l - cold[0] * design.cold_l
    scaled = np.column_stack([design.columns * design.spread, cold[1] * design.cold_l])
    root = np.linalg.cholesky(scaled @ scaled.T + np.diag(design.noise_l2))
    leaks = leaks_at(design, design.seen.at_min).T
    sides = np.column_stack([residual, leaks, np.zeros(residual.size), events.direction.T])
    solved = np.linalg.solve(root, sides)
    last = leaks.shape[1] + 2
    return Course(
        share=share,
        residual=solved[:, 0],
        leaks=solved[:, 1:last],
        events=solved[:, last:],
        root=root,
        scaled=scaled,
        cold=cold,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Sums:
    """Sums of squares of explanations, so that each is a parabola in the leak."""

    log_share: Floats
    rest: Floats
    cross: Floats
    square: Floats
    event: Ints
    leak: Ints


@dataclass(frozen=True, slots=True, kw_only=True)
class Explanations:
    """Explanations with their weights, which sum to 1; a row is one of them at one leak."""

    course: Ints
    event: Ints
    leak: Ints  # column of the leaks; -1 without one
    leak_l_min: Floats
    width_l_min: Floats
    weight: Floats


def _without_leak(course: Course, events: Events) -> _Sums:
    """Each event, integrated over its size, without a leak."""
    squares = (course.events**2).sum(axis=0)
    along = course.residual @ course.events
    shrink = events.sd_l**2 / (1.0 + events.sd_l**2 * squares)
    whole = course.residual @ course.residual
    rest = whole - 2.0 * events.size_l * along + events.size_l**2 * squares
    rest -= shrink * (along - events.size_l * squares) ** 2
    log_share = np.log(events.share + 1e-300) - 0.5 * np.log1p(events.sd_l**2 * squares)
    number = np.arange(rest.size)
    return _Sums(
        log_share=log_share,
        rest=rest,
        cross=np.zeros(rest.size),
        square=np.zeros(rest.size),
        event=number,
        leak=np.full(rest.size, NO_LEAK),
    )


def _from_start(course: Course, events: Events, dry: _Sums, patterns: int) -> _Sums:
    """Each event beside a leak from the start, for each pattern of the valve."""
    tau = course.leaks[:, :patterns]
    squares = (course.events**2).sum(axis=0)
    shrink = events.sd_l**2 / (1.0 + events.sd_l**2 * squares)
    off = course.residual @ course.events - events.size_l * squares
    both = tau.T @ course.events
    cross = (tau.T @ course.residual)[:, None] - events.size_l * both - shrink * off * both
    square = (tau**2).sum(axis=0)[:, None] - shrink * both**2
    return _Sums(
        log_share=np.tile(dry.log_share, patterns),
        rest=np.tile(dry.rest, patterns),
        cross=cross.ravel(),
        square=square.ravel(),
        event=np.tile(dry.event, patterns),
        leak=np.repeat(np.arange(patterns), dry.event.size),
    )


def _late(course: Course, patterns: int) -> _Sums:
    """A leak that began at a later reading, and nothing else."""
    tau = course.leaks[:, patterns:-1]
    number = tau.shape[1]
    return _Sums(
        log_share=np.zeros(number),
        rest=np.full(number, course.residual @ course.residual),
        cross=tau.T @ course.residual,
        square=(tau**2).sum(axis=0),
        event=np.zeros(number, dtype=int),
        leak=patterns + np.arange(number),
    )


def _with_leak(course: Course, events: Events, dry: _Sums, design: Design) -> _Sums:
    """All explanations with a leak, each with its chance before any reading."""
    patterns, beliefs = design.pattern_share.size, design.beliefs
    early, late = _from_start(course, events, dry, patterns), _late(course, patterns)
    late_share = beliefs.late_leak_share if late.leak.size else 0.0
    each = late_share * patterns / max(late.leak.size, 1)
    chance = np.concatenate(
        [
            (1.0 - late_share) * design.pattern_share[early.leak],
            each * design.pattern_share[late.leak % patterns],
        ]
    )
    names = ("log_share", "rest", "cross", "square", "event", "leak")
    joined = {one: np.concatenate([getattr(early, one), getattr(late, one)]) for one in names}
    sums = _Sums(**joined)
    sums = replace(sums, log_share=sums.log_share + np.log(beliefs.leak_share * chance + 1e-300))
    return _worth_a_grid(sums, float(np.max(dry.log_share - 0.5 * dry.rest)))


def _worth_a_grid(sums: _Sums, dry_log: float) -> _Sums:
    """Those that at their very best come near the best of all; the others weigh nothing."""
    at_best = np.maximum(-sums.cross, 0.0) ** 2 / np.maximum(sums.square, 1e-12)
    best = sums.log_share - 0.5 * (sums.rest - at_best)
    kept = best > max(float(best.max()), dry_log) - _FAR
    names = ("log_share", "rest", "cross", "square", "event", "leak")
    return _Sums(**{one: getattr(sums, one)[kept] for one in names})


def _on_grid(sums: _Sums, beliefs: Beliefs) -> tuple[Floats, Floats, Floats]:
    """Leaks, widths and log weights of each explanation on a grid of its own."""
    low, high = beliefs.leak_low_l_min, beliefs.leak_high_l_min
    square = np.maximum(sums.square, 1e-12)
    peak, width = -sums.cross / square, 1.0 / np.sqrt(square)
    around = np.clip(peak[:, None] + width[:, None] * _AROUND, low, high)
    along = np.broadcast_to(np.geomspace(low, high, _ALONG), (peak.size, _ALONG))
    grid = np.sort(np.concatenate([around, along], axis=1), axis=1)
    halves = 0.5 * np.diff(grid, axis=1)
    step = np.pad(halves, ((0, 0), (1, 0))) + np.pad(halves, ((0, 0), (0, 1)))
    parabola = sums.rest[:, None] + 2.0 * sums.cross[:, None] * grid + square[:, None] * grid**2
    share = step / (grid * np.log(high / low))
    return grid, step, sums.log_share[:, None] - 0.5 * parabola + np.log(share + 1e-300)


def _weighed_course(
    number: int, course: Course, events: Events, design: Design
) -> tuple[Explanations, Explanations]:
    """Explanations of one course of the nights, with the logarithm of their weights."""
    start = float(np.log(course.share + 1e-300) - np.log(np.diag(course.root)).sum())
    dry = _without_leak(course, events)
    leaking = _with_leak(course, events, dry, design)
    grid, step, logs = _on_grid(leaking, design.beliefs)
    nothing = np.zeros(dry.event.size)
    without = Explanations(
        course=np.full(dry.event.size, number),
        event=dry.event,
        leak=dry.leak,
        leak_l_min=nothing,
        width_l_min=nothing,
        weight=start + np.log1p(-design.beliefs.leak_share) + dry.log_share - 0.5 * dry.rest,
    )
    leaks = Explanations(
        course=np.full(grid.size, number),
        event=np.repeat(leaking.event, grid.shape[1]),
        leak=np.repeat(leaking.leak, grid.shape[1]),
        leak_l_min=grid.ravel(),
        width_l_min=step.ravel(),
        weight=start + logs.ravel(),
    )
    return without, leaks


def weighed(courses: tuple[Course, ...], events: Events, design: Design) -> Explanations:
    """Every explanation of a history with its weight; those without any are left out."""
    parts = [
        part
        for number, course in enumerate(courses)
        for part in _weighed_course(number, course, events, design)
    ]
    names = ("course", "event", "leak", "leak_l_min", "width_l_min", "weight")
    joined = {name: np.concatenate([getattr(one, name) for one in parts]) for name in names}
    weight = np.exp(joined["weight"] - joined["weight"].max())
    kept = weight > _TINY * weight.sum()
    chosen = {name: column[kept] for name, column in joined.items()}
    chosen["weight"] = weight[kept] / weight[kept].sum()
    return Explanations(**chosen)
