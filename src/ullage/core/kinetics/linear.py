"""Exact propagation of the linear equations between changes of setting.

Between two changes the equations have constant coefficients, so one matrix exponential carries
the state over any step; evenly spaced outputs are reached by doubling: the first k outputs
times the k-th power of the step give the next k.
"""

from collections.abc import Sequence

import numpy as np

from ullage.core.kinetics.body import Body, Floats
from ullage.core.kinetics.feedback import Model
from ullage.core.kinetics.matrices import FI, STATES, Streams, rates
from ullage.core.kinetics.run import Run
from ullage.core.kinetics.settings import Setting, System, SystemKind

__all__ = ["linear_course", "steady_streams"]

#: Outputs carried at once in an ensemble, so that the working block stays in the cache.
_BLOCK = 16


def steady_streams(body: Body, system: System, setting: Setting) -> Streams:
    """Flows of the linear model: no volume balance, ventilation as set.

    Parameters
    ----------
    body : n animals.
    system, setting : what the person has set.

    Returns
    -------
    [L/min] flows of shape (n,) each; overflow is fresh gas less oxygen used, not below 0.

    Source: uptake_base (equations 9 and 10).
    """
    alveolar = body.alveolar_l_min * setting.ventilation
    whole = body.minute_volume_l_min * setting.ventilation
    fresh = np.full(body.count, setting.fresh_gas_l_min)
    return Streams(
        into=alveolar,
        out_of=alveolar,
        fresh=fresh,
        recycled=np.maximum(whole - fresh, 0.0),
        excess=np.maximum(fresh - whole, 0.0),
        spill=np.maximum(fresh - body.oxygen_use_l_min, 0.0),
        dead=whole - alveolar,
        output=body.cardiac_output_l_min,
    )


def linear_course(model: Model, run: Run) -> Floats:
    """States of every gas at the times asked for, exact to rounding, feedbacks left out.

    Parameters
    ----------
    model : animals, gases and system.
    run : settings, times, start and the states wanted.

    Returns
    -------
    [1] fractions of one atmosphere, shape (n, t, g, states kept).

    Source: uptake_base (section 2.8).
    """
    shape = (model.body.count, run.times_min.size, len(model.names), len(run.kept))
    out = np.empty(shape)
    for number in range(len(model.names)):
        _course_of(model, number, run, out[:, :, number])
    return out


def _course_of(model: Model, number: int, run: Run, out: Floats) -> None:
    """Propagate one gas through all pieces."""
    state = np.concatenate(
        [run.first_state(model)[:, number], np.ones((model.body.count, 1))], axis=1
    )
    written = 0
    pieces = run.pieces()
    for piece, end in pieces:
        matrix = _augmented(model, number, piece)
        if model.system.kind is SystemKind.OPEN:
            state[:, FI] = piece.delivered.get(model.names[number], 0.0)
        ended = piece is not pieces[-1][0]
        last = int(np.searchsorted(run.times_min, end)) if ended else run.times_min.size
        if last > written:
            offsets = run.times_min[written:last] - piece.start_min
            out[:, written:last] = _states_at(matrix, state, offsets, run.kept)
            written = last
        if ended:
            state = _carried(matrix, state, end - piece.start_min)


def _augmented(model: Model, number: int, piece: Setting) -> Floats:
    """Matrix of one piece with the delivered fraction as one more state that stays 1."""
    body, system = model.body, model.system
    streams = steady_streams(body, system, piece)
    matrix, inflow = rates(body, model.gas(number), system, streams, model.effect_per_min)
    whole = np.zeros((body.count, STATES + 1, STATES + 1))
    whole[:, :STATES, :STATES] = matrix
    whole[:, :STATES, STATES] = inflow * piece.delivered.get(model.names[number], 0.0)
    return whole


def _exponential(matrix: Floats) -> Floats:
    from scipy.linalg import expm

    found: Floats = expm(matrix)
    return found


def _carried(matrix: Floats, state: Floats, minutes: float) -> Floats:
    """State after some minutes of constant settings."""
    carried: Floats = (_exponential(matrix * minutes) @ state[:, :, None])[:, :, 0]
    return carried


def _states_at(matrix: Floats, state: Floats, offsets: Floats, kept: Sequence[int]) -> Floats:
    """States kept at rising offsets from the start of a piece, shape (n, t, k)."""
    first = _carried(matrix, state, float(offsets[0]))
    steps = np.diff(offsets)
    if steps.size and np.allclose(steps, steps[0], rtol=1e-9, atol=1e-12):
        return _evenly(_exponential(matrix * float(steps.mean())), first, offsets.size, kept)
    out = np.empty((state.shape[0], offsets.size, len(kept)))
    out[:, 0] = first[:, kept]
    unique, which = np.unique(np.round(steps, 12), return_inverse=True)
    by_step = [_exponential(matrix * one) for one in unique]
    for number, step in enumerate(which):
        first = (by_step[step] @ first[:, :, None])[:, :, 0]
        out[:, number + 1] = first[:, kept]
    return out


def _evenly(step: Floats, first: Floats, count: int, kept: Sequence[int]) -> Floats:
    """Repeat one step: double a block while it is small, then move it on whole."""
    most = count if first.shape[0] == 1 else _BLOCK
    block = first[:, None, :]
    power = np.swapaxes(step, 1, 2)  # rows are states, so the step acts from the right
    while block.shape[1] < min(most, count):
        block = np.concatenate([block, block @ power], axis=1)
        power = power @ power
    out = np.empty((first.shape[0], count, len(kept)))
    width = block.shape[1]
    for start in range(0, count, width):
        stop = min(start + width, count)
        out[:, start:stop] = block[:, : stop - start, kept]
        if stop < count:
            block = block @ power
    return out
