"""Exact propagation of the linear equations between changes of setting.

Between two changes the equations have constant coefficients, so one matrix exponential carries
the state over any step; evenly spaced outputs are reached by doubling: the first k outputs
times the k-th power of the step give the next k.
"""

from collections.abc import Sequence

import numpy as np

from ullage.core.kinetics.body import Body, Floats
from ullage.core.kinetics.exponential import exponential
from ullage.core.kinetics.feedback import Model
from ullage.core.kinetics.matrices import FI, STATES, Streams, rates
from ullage.core.kinetics.run import Run
from ullage.core.kinetics.settings import Setting, System, SystemKind

__all__ = ["linear_course", "propagated", "steady_streams"]

#: Outputs carried at once, for one animal and for an ensemble: the block stays in the cache, and
#: the products stay below the size from which the library starts threads, which cost more.
_ALONE, _BLOCK = 1024, 16


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
    fresh = setting.fresh_gas_l_min
    recycled = np.maximum(whole - fresh, 0.0)
    return Streams(
        into=alveolar,
        out_of=alveolar,
        fresh=fresh,
        recycled=recycled,
        past=recycled + fresh - alveolar,
        spill=np.maximum(fresh - body.oxygen_use_l_min, 0.0),
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
    [1] fractions of one atmosphere, shape (n, t, g, states kept); at a change of setting the state
    just before it.

    Source: uptake_base (section 2.8).
    """
    shape = (model.body.count, run.times_min.size, len(model.names), len(run.kept))
    out = np.empty(shape)
    for number in range(len(model.names)):
        _course_of(model, number, run, out[:, :, number])
    return out


def propagated(rates_per_min: Floats, state: Floats, times_min: Floats) -> Floats:
    """States that follow from constant rates, without anything that is brought from outside.

    Parameters
    ----------
    rates_per_min : [/min] matrices of n animals, shape (n, 12, 12).
    state : [1] at minute 0, shape (n, 12).
    times_min : [min] rising, the first 0 or later, shape (t,).

    Returns
    -------
    [1] shape (n, t, 12), exact to rounding.

    Source: uptake_base (section 2.8).
    """
    out = np.empty((state.shape[0], times_min.size, state.shape[1]))
    _states_at(rates_per_min, state, times_min, (out, range(state.shape[1])))
    return out


def _course_of(model: Model, number: int, run: Run, out: Floats) -> None:
    """Propagate one gas through all pieces."""
    state = np.concatenate(
        [run.first_state(model)[:, number], np.ones((model.body.count, 1))], axis=1
    )
    written = 0
    for piece, end in run.pieces():
        matrix = _augmented(model, number, piece)
        if model.system.kind is SystemKind.OPEN:
            state[:, FI] = piece.delivered.get(model.names[number], 0.0)
        last = int(np.searchsorted(run.times_min, end, side="right"))
        offsets = run.times_min[written:last] - piece.start_min
        reached = 0.0
        if last > written:
            state, reached = _states_at(matrix, state, offsets, (out[:, written:last], run.kept))
            written = last
        if end - piece.start_min > reached:
            state = _carried(matrix, state, end - piece.start_min - reached)


def _augmented(model: Model, number: int, piece: Setting) -> Floats:
    """Matrix of one piece with the delivered fraction as one more state that stays 1."""
    body, system = model.body, model.system
    streams = steady_streams(body, system, piece)
    matrix, inflow = rates(body, model.gas(number), system, streams, model.effect_per_min)
    whole = np.zeros((body.count, STATES + 1, STATES + 1))
    whole[:, :STATES, :STATES] = matrix
    whole[:, :STATES, STATES] = inflow * piece.delivered.get(model.names[number], 0.0)
    return whole


def _carried(matrix: Floats, state: Floats, minutes: float) -> Floats:
    """State after some minutes of constant settings."""
    return _moved(exponential(matrix * minutes), state)


def _moved(step: Floats, state: Floats) -> Floats:
    moved: Floats = (step @ state[:, :, None])[:, :, 0]
    return moved


def _states_at(
    matrix: Floats, state: Floats, offsets: Floats, written: tuple[Floats, Sequence[int]]
) -> tuple[Floats, float]:
    """Write the states kept at rising offsets; the state at the last one, and that offset."""
    out, kept = written
    steps = np.diff(offsets, prepend=0.0)
    if steps.size > 1 and np.allclose(steps[1:], steps[1], rtol=1e-9, atol=1e-12):
        step = exponential(matrix * float(steps[1:].mean()))
        even = abs(steps[0] - steps[1]) <= 1e-9 * steps[1]
        first = _moved(step, state) if even else _carried(matrix, state, float(steps[0]))
        return _evenly(step, first, out, kept), float(offsets[-1])
    unique, which = np.unique(np.round(steps, 12), return_inverse=True)
    by_step = [exponential(matrix * one) for one in unique]
    for number, step in enumerate(which):
        state = _moved(by_step[step], state)
        out[:, number] = state[:, kept]
    return state, float(offsets[-1])


def _evenly(step: Floats, first: Floats, out: Floats, kept: Sequence[int]) -> Floats:
    """Repeat one step: double a block while it is small, then move it on whole."""
    count = out.shape[1]
    most = _ALONE if first.shape[0] == 1 else _BLOCK
    block = first[:, None, :]
    power = np.swapaxes(step, 1, 2)  # rows are states, so the step acts from the right
    while block.shape[1] < min(most, count):
        block = np.concatenate([block, block @ power], axis=1)
        power = power @ power
    width = block.shape[1]
    for start in range(0, count, width):
        stop = min(start + width, count)
        out[:, start:stop] = block[:, : stop - start, kept]
        if stop < count:
            block = block @ power
    last: Floats = block[:, stop - start - 1].copy()
    return last
