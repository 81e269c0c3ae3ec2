"""The whole course of a case with feedbacks: elements of collocation, one after the other."""

from dataclasses import dataclass, field

import numpy as np

from ullage.core.errors import SolveFailed
from ullage.core.kinetics.body import Floats
from ullage.core.kinetics.collocation import STAGES, interpolated, scheme
from ullage.core.kinetics.feedback import Model, slopes
from ullage.core.kinetics.matrices import FI
from ullage.core.kinetics.newton import Newton
from ullage.core.kinetics.run import Run
from ullage.core.kinetics.settings import Setting, SystemKind

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
    out: Floats = field(default_factory=lambda: np.empty(0))
    written: int = 0


def feedback_course(model: Model, run: Run, accuracy: Accuracy | None = None) -> Floats:
    """States of every gas at the times asked for, feedbacks included.

    Parameters
    ----------
    model : animals, gases, system and feedbacks.
    run : settings, times, start and the states wanted.
    accuracy : how fine; the default keeps the error below 1e-6 of one atmosphere.

    Returns
    -------
    [1] fractions of one atmosphere, shape (n, t, g, states kept).

    Raises
    ------
    SolveFailed : Newton steps that do not become small on the shortest element.

    Source: uptake_base (equations 1 to 18).
    """
    fine = accuracy or Accuracy()
    walk = _Walk(minute=run.settings[0].start_min, state=run.first_state(model))
    shape = (model.body.count, run.times_min.size, len(model.names), len(run.kept))
    walk.out = np.empty(shape)
    for piece, end in run.pieces():
        _one_piece(model, piece, (walk, end), run, fine)
    walk.out[:, walk.written :] = walk.state[:, None, :, run.kept]
    return walk.out


def _one_piece(
    model: Model, piece: Setting, walked: tuple[_Walk, float], run: Run, fine: Accuracy
) -> None:
    """Walk through one setting and write the states at the times inside each element."""
    walk, end = walked
    delivered = np.array([piece.delivered.get(name, 0.0) for name in model.names])
    if model.system.kind is SystemKind.OPEN:
        walk.state[..., FI] = delivered
    walk.guess, length = None, fine.first_min
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
        _write(walk, whole, length, run)
        walk.minute, walk.state = walk.minute + length, moments[:, -1].copy()
        walk.guess, walk.length = whole, length
        length = min(length * min(_room(rough), fine.growth), fine.longest_min)
    walk.minute = end


def _roughness(whole: Floats) -> float:
    """Largest highest coefficient of the polynomials through the moments of an element."""
    weights = scheme().weights
    top = np.tensordot(weights / np.abs(weights).sum(), whole, axes=(0, 1))
    return float(np.abs(top).max())


def _room(rough: float) -> float:
    """Factor for the next length, from how far the roughness is from what is let pass."""
    return 0.85 * float(rough ** (-1.0 / (STAGES + 1)))


def _write(walk: _Walk, whole: Floats, length: float, run: Run) -> None:
    """Write the states at the times that lie in an element, its end left to the next."""
    last = int(np.searchsorted(run.times_min, walk.minute + length))
    if last > walk.written:
        inside = run.times_min[walk.written : last]
        weights = interpolated((inside - walk.minute) / length)
        wanted = whole[..., run.kept] if run.keep is not None else whole
        n, _, g, states = wanted.shape
        flat = weights @ wanted.reshape(n, STAGES + 1, g * states)
        walk.out[:, walk.written : last] = flat.reshape(n, -1, g, states)
        walk.written = last


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
