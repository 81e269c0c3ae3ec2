"""The whole course of a case with feedbacks: elements of collocation, one after the other."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from ullage.core.errors import InvalidQuantity, SolveFailed
from ullage.core.kinetics.body import Floats
from ullage.core.kinetics.collocation import STAGES, interpolated, scheme
from ullage.core.kinetics.feedback import Model, slopes
from ullage.core.kinetics.matrices import FI
from ullage.core.kinetics.newton import Newton
from ullage.core.kinetics.settings import Setting, SystemKind, ordered

__all__ = ["Accuracy", "feedback_course"]

#: Below this a rough element is a kink (the overflow opens or shuts), and is let pass.
SHORTEST_MIN = 0.01


@dataclass(frozen=True, slots=True, kw_only=True)
class Accuracy:
    """How fine the search is.

    ``rough`` is the largest highest coefficient of an element's polynomial that is let pass;
    ``tolerance`` is when a Newton step counts as small.
    """

    first_min: float = 0.1
    growth: float = 4.0
    longest_min: float = 60.0
    rough: float = 1e-7
    tolerance: float = 2e-7
    most_steps: int = 14


@dataclass(slots=True)
class _Walk:
    """Where the search stands: minute, state, the last element for a first guess."""

    minute: float
    state: Floats
    guess: Floats | None = None
    length: float = 0.0


def feedback_course(
    model: Model,
    settings: Sequence[Setting],
    start: Floats,
    times_min: Floats,
    accuracy: Accuracy | None = None,
) -> Floats:
    """Every state of every gas at the times asked for, feedbacks included.

    Parameters
    ----------
    model : animals, gases, system and feedbacks.
    settings : in force from their start on.
    start : [1] state at the first setting, shape (n, g, 12).
    times_min : [min] shape (t,), rising, none before the first setting.
    accuracy : how fine; the default keeps the error below 1e-6 of one atmosphere.

    Returns
    -------
    [1] fractions of one atmosphere, shape (n, t, g, 12).

    Raises
    ------
    InvalidQuantity : times that fall, or lie before the first setting.
    SolveFailed : Newton steps that do not become small on the shortest element.
    """
    pieces = ordered(settings)
    times = np.asarray(times_min, dtype=float)
    if times.size == 0 or np.any(np.diff(times) < 0) or times[0] < pieces[0].start_min:
        raise InvalidQuantity("times_min", float(times[0]) if times.size else 0.0, "rising times")
    fine = accuracy or Accuracy()
    walk = _Walk(minute=pieces[0].start_min, state=start.copy())
    ends = [one.start_min for one in pieces[1:]] + [max(float(times[-1]), pieces[-1].start_min)]
    chunks = [
        _one_piece(model, piece, (walk, end), times, fine)
        for piece, end in zip(pieces, ends, strict=True)
    ]
    at_end = np.repeat(walk.state[:, None], np.count_nonzero(times >= walk.minute), axis=1)
    return np.concatenate([*(one for chunk in chunks for one in chunk), at_end], axis=1)


def _one_piece(
    model: Model, piece: Setting, walked: tuple[_Walk, float], times: Floats, fine: Accuracy
) -> list[Floats]:
    """Walk through one setting; return the states at the times inside each element."""
    walk, end = walked
    delivered = np.array([piece.delivered.get(name, 0.0) for name in model.names])
    if model.system.kind is SystemKind.OPEN:
        walk.state[..., FI] = delivered
    walk.guess, length, found = None, fine.first_min, []
    while end - walk.minute > 1e-9:
        length = min(length, end - walk.minute)
        if end - walk.minute - length < 0.2 * length:
            length = end - walk.minute
        moments = _element(model, piece, (walk, length), delivered, fine)
        if moments is not None:
            whole = np.concatenate([walk.state[:, None], moments], axis=1)
            rough = max(_roughness(whole) / fine.rough, 1e-9)
        if moments is None or (rough > 1.0 and length > SHORTEST_MIN):
            length = length / 4.0 if moments is None else max(length * _room(rough), SHORTEST_MIN)
            walk.guess = None
            if length < 1e-5:
                raise SolveFailed(f"No course found after minute {walk.minute:.3f}.")
            continue
        found.append(_inside(whole, walk.minute, length, times))
        walk.minute, walk.state = walk.minute + length, moments[:, -1].copy()
        walk.guess, walk.length = whole, length
        length = min(length * min(_room(rough), fine.growth), fine.longest_min)
    walk.minute = end
    return found


def _roughness(whole: Floats) -> float:
    """Largest highest coefficient of the polynomials through the moments of an element."""
    weights = scheme().weights
    top = np.tensordot(weights / np.abs(weights).sum(), whole, axes=(0, 1))
    return float(np.abs(top).max())


def _room(rough: float) -> float:
    """Factor for the next length, from how far the roughness is from what is let pass."""
    return 0.85 * float(rough ** (-1.0 / (STAGES + 1)))


def _inside(whole: Floats, minute: float, length: float, times: Floats) -> Floats:
    """States at the times that lie in an element, its end left to the next."""
    first, last = np.searchsorted(times, [minute, minute + length])
    weights = interpolated((times[first:last] - minute) / length)
    n, _, g, states = whole.shape
    flat = weights @ whole.reshape(n, STAGES + 1, g * states)
    return flat.reshape(n, last - first, g, states)


def _element(
    model: Model,
    piece: Setting,
    walked: tuple[_Walk, float],
    delivered: Floats,
    fine: Accuracy,
) -> Floats | None:
    """States at the moments of one element; None when the Newton steps do not become small."""
    walk, length = walked
    solve = Newton(model, walk.state, piece, length)
    moments = _first_guess(walk, length)
    change = np.empty_like(moments)
    before = np.inf
    for _ in range(fine.most_steps):
        step = solve.step(moments, slopes(model, moments, piece, delivered, change))
        moments += step
        size = float(np.abs(step).max())
        if size < fine.tolerance:
            return moments
        if not np.isfinite(size) or size > 2.0 * before:
            return None
        before = size
    return None


def _first_guess(walk: _Walk, length: float) -> Floats:
    """Carry the last element on beyond its end; without one, everything stays as it is."""
    if walk.guess is None:
        return np.repeat(walk.state[:, None], STAGES, axis=1)
    n, _, g, states = walk.guess.shape
    weights = interpolated(1.0 + scheme().moments[1:] * length / walk.length)
    return (weights @ walk.guess.reshape(n, STAGES + 1, g * states)).reshape(n, STAGES, g, states)
