"""The whole course of a case with feedbacks: elements of collocation, one after the other."""

from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import cache
from math import inf

import numpy as np

from ullage.core.errors import SolveFailed
from ullage.core.kinetics.body import Floats
from ullage.core.kinetics.collocation import STAGES, interpolated, scheme
from ullage.core.kinetics.feedback import Model, slopes, streams_at
from ullage.core.kinetics.matrices import FI
from ullage.core.kinetics.newton import Newton
from ullage.core.kinetics.run import Run
from ullage.core.kinetics.settings import Setting, SystemKind

__all__ = ["Accuracy", "feedback_course"]

#: Outputs written at once: the library starts threads for larger products, which cost more.
_ROWS = 256


@dataclass(frozen=True, slots=True, kw_only=True)
class Accuracy:
    """How fine the search is.

    ``rough`` is the largest highest coefficient of an element's polynomial that is let pass,
    ``tolerance`` what a Newton step may still leave. Below ``shortest_min`` a rough element is a
    kink (the overflow opens or shuts), and is let pass. ``at_once`` gases of animals are carried
    together, so that the working arrays stay in the cache.
    """

    first_min: float = 0.3
    growth: float = 4.0
    longest_min: float = 60.0
    shortest_min: float = 0.003
    rough: float = 2e-7
    tolerance: float = 1e-7
    most_steps: int = 14
    at_once: int = 192


#: One animal: errors stay below 1e-6 of one atmosphere.
_ONE = Accuracy()

#: Many animals: below 1e-4, far less than they differ.
_MANY = Accuracy(shortest_min=0.1, rough=1e-5, tolerance=5e-6)


@dataclass(slots=True)
class _Walk:
    """Where the search stands: minute, state, the last element for a first guess."""

    minute: float
    state: Floats
    out: Floats
    guess: Floats | None = None
    length: float = 0.0
    written: int = 0
    margins: tuple[Floats, ...] = ()
    delivered: Floats = field(default_factory=lambda: np.empty(0))


def feedback_course(model: Model, run: Run, accuracy: Accuracy | None = None) -> Floats:
    """States of every gas at the times asked for, feedbacks included.

    Parameters
    ----------
    model : animals, gases, system and feedbacks.
    run : settings, times, start and the states wanted.
    accuracy : how fine; by default the error stays below 1e-6 of one atmosphere for one animal,
        below 1e-4 for many.

    Returns
    -------
    [1] fractions of one atmosphere, shape (n, t, g, states kept); at a change of setting the state
    just before it.

    Raises
    ------
    SolveFailed : Newton steps that do not become small on the shortest element.

    Source: uptake_base (equations 1 to 18).
    """
    fine = accuracy or (_ONE if model.body.count == 1 else _MANY)
    start = run.first_state(model)
    out = np.empty((start.shape[0], run.times_min.size, start.shape[1], len(run.kept)))
    for chosen in _blocks(start.shape[0], start.shape[1], fine.at_once):
        part = model if chosen == slice(0, start.shape[0]) else model.part(chosen)
        walk = _Walk(minute=run.settings[0].start_min, state=start[chosen], out=out[chosen])
        for piece, end in run.pieces():
            _one_piece(part, piece, (walk, end), run, fine)
        walk.out[:, walk.written :] = walk.state[:, None, :, run.kept]  # a run of no length
    return out


def _blocks(count: int, gases: int, at_once: int) -> Iterator[slice]:
    """Slices of nearly equal size that keep the working arrays small."""
    parts = -(-count * gases // at_once)
    edges = np.linspace(0, count, parts + 1).round().astype(int)
    for first, last in zip(edges[:-1].tolist(), edges[1:].tolist(), strict=True):
        yield slice(first, last)


def _one_piece(
    model: Model, piece: Setting, walked: tuple[_Walk, float], run: Run, fine: Accuracy
) -> None:
    """Walk through one setting and write the states at the times inside each element."""
    walk, end = walked
    walk.delivered = np.array([piece.delivered.get(name, 0.0) for name in model.names])
    if model.system.kind is SystemKind.OPEN:
        walk.state[..., FI] = walk.delivered
    walk.margins = streams_at(model, walk.state[:, None], piece)[0].margins
    walk.guess, length = None, fine.first_min
    while walk.minute < end:
        left = end - walk.minute
        length = left if length >= left else left / 2.0 if length > left / 2.0 else length
        whole, margins = _element(model, piece, (walk, length), fine)
        rough = _roughness(whole) / fine.rough if margins else inf
        shorter = _shorter(walk, (margins, rough), length, fine)
        if shorter:
            length, walk.guess = shorter, None
            continue
        stop = end if length == left else walk.minute + length
        _write(walk, whole, (length, stop), run)
        walk.minute, walk.state = stop, whole[:, -1].copy()
        walk.guess, walk.length = whole, length
        walk.margins = tuple(one[:, -1:] for one in margins)
        length = min(length * min(_room(rough), fine.growth), fine.longest_min)


def _shorter(
    walk: _Walk, found: tuple[tuple[Floats, ...], float], length: float, fine: Accuracy
) -> float:
    """Length of a shorter element to try in place of this one; 0 when this one is good."""
    margins, rough = found
    if not margins:
        if length < 1e-5:
            raise SolveFailed(f"No course found after minute {walk.minute:.3f}.")
        return length / 4.0
    if length <= fine.shortest_min:
        return 0.0
    kink = length * _bend(walk.margins, margins) if walk.state.shape[0] == 1 else length
    if fine.shortest_min < kink < length - fine.shortest_min:
        return kink
    return max(length * _room(rough), fine.shortest_min) if rough > 1.0 else 0.0


@cache
def _grid() -> Floats:
    """Weights of the places at which a margin is looked at when its sign changes."""
    return interpolated(np.linspace(0.0, 1.0, 65))


def _bend(before: tuple[Floats, ...], margins: tuple[Floats, ...]) -> float:
    """Place in an element at which the first margin changes its sign; 1 where none does."""
    place = 1.0
    for start, inside in zip(before, margins, strict=True):
        if inside.shape[1] == 1:
            continue
        values = np.concatenate([start[0], inside[0]])
        if values.min() < 0.0 < values.max():
            fine = _grid() @ values
            crossed = np.flatnonzero((fine[1:] > 0.0) != (fine[:-1] > 0.0))
            if crossed.size:
                k = int(crossed[0])
                place = min(place, (k + fine[k] / (fine[k] - fine[k + 1])) / (fine.size - 1))
    return place


def _roughness(whole: Floats) -> float:
    """Largest highest coefficient of the polynomials through the moments of an element."""
    weights = scheme().weights
    n, moments = whole.shape[:2]
    top = (weights / np.abs(weights).sum()) @ whole.reshape(n, moments, -1)
    return max(float(np.abs(top).max()), 1e-300)


def _room(rough: float) -> float:
    """Factor for the next length, from how far the roughness is from what is let pass."""
    return 0.85 * float(rough ** (-1.0 / (STAGES + 1)))


def _write(walk: _Walk, whole: Floats, reach: tuple[float, float], run: Run) -> None:
    """Write the states at the times that lie in an element of a length, its end included."""
    length, stop = reach
    last = int(np.searchsorted(run.times_min, stop, side="right"))
    if last == walk.written:
        return
    weights = interpolated((run.times_min[walk.written : last] - walk.minute) / length)
    wanted = whole if run.keep is None else whole[..., run.kept]
    flat = wanted.reshape(wanted.shape[0], STAGES + 1, -1)
    out = walk.out.reshape(*walk.out.shape[:2], -1)
    for first in range(0, last - walk.written, _ROWS):
        rows = weights[first : first + _ROWS]
        start = walk.written + first
        np.matmul(rows, flat, out=out[:, start : start + rows.shape[0]])
    walk.written = last


def _element(
    model: Model, piece: Setting, walked: tuple[_Walk, float], fine: Accuracy
) -> tuple[Floats, tuple[Floats, ...]]:
    """States at start and moments of one element, and margins; none where no course was found."""
    walk, length = walked
    whole = _first_guess(walk, length)
    moments = whole[:, 1:]
    change = np.empty_like(moments)
    solve, before = None, 0.0
    for _ in range(fine.most_steps):
        _, streams = slopes(model, moments, piece, walk.delivered, change)
        if solve is None:
            solve = Newton(model, walk.state, streams, length)
        step = solve.step(whole, change)
        moments += step
        size = float(np.abs(step).max())
        ratio = size / before if before else 0.5
        if size * ratio <= fine.tolerance * (1.0 - ratio):  # what the next steps would still add
            return whole, streams.margins
        if not ratio < 2.0:
            break
        before = size
    return whole, ()


def _first_guess(walk: _Walk, length: float) -> Floats:
    """Carry the last element on beyond its end; without one, everything stays as it is."""
    if walk.guess is None:
        return np.repeat(walk.state[:, None], STAGES + 1, axis=1)
    n, moments, g, states = walk.guess.shape
    weights = interpolated(1.0 + scheme().moments * length / walk.length)
    whole = (weights @ walk.guess.reshape(n, moments, g * states)).reshape(walk.guess.shape)
    whole[:, 0] = walk.state
    return whole
