"""Exact propagation of the linear equations between changes of setting.

Between two changes the equations have constant coefficients, so one matrix exponential carries
the state over any step; evenly spaced outputs are reached by doubling: the first k outputs
times the k-th power of the step give the next k.
"""

from collections.abc import Mapping, Sequence

import numpy as np

from ullage.core.errors import InvalidQuantity
from ullage.core.kinetics.body import Body, Floats, Solubility
from ullage.core.kinetics.matrices import FI, STATES, Streams, rates
from ullage.core.kinetics.settings import Setting, System, SystemKind, ordered

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


def linear_course(
    body: Body,
    gases: Mapping[str, Solubility],
    system: System,
    settings: Sequence[Setting],
    times_min: Floats,
    effect_per_min: Floats | float = 0.0,
) -> dict[str, Floats]:
    """Every state of every gas at the times asked for, exact to rounding.

    Parameters
    ----------
    body : n animals.
    gases : solubility of each gas; all start at zero.
    system : breathing system.
    settings : in force from their start on.
    times_min : [min] shape (t,), rising, none before the first setting.
    effect_per_min : [1/min] rate of the effect site.

    Returns
    -------
    [1] fractions of one atmosphere for each gas, shape (n, t, 12).

    Raises
    ------
    InvalidQuantity : times that fall, or lie before the first setting.

    Source: uptake_base (section 2.8).
    """
    pieces = ordered(settings)
    times = np.asarray(times_min, dtype=float)
    if times.size == 0 or np.any(np.diff(times) < 0) or times[0] < pieces[0].start_min:
        raise InvalidQuantity("times_min", float(times[0]) if times.size else 0.0, "rising times")
    effect = np.broadcast_to(np.asarray(effect_per_min, dtype=float), (body.count,))
    return {
        name: _course_of(body, gas, (system, pieces), times, (name, effect))
        for name, gas in gases.items()
    }


def _course_of(
    body: Body,
    gas: Solubility,
    plan: tuple[System, tuple[Setting, ...]],
    times: Floats,
    named: tuple[str, Floats],
) -> Floats:
    """Propagate one gas through all pieces."""
    system, pieces = plan
    name, effect = named
    out = np.empty((body.count, times.size, STATES))
    state = np.zeros((body.count, STATES + 1))
    state[:, -1] = 1.0
    for number, piece in enumerate(pieces):
        last = number + 1 == len(pieces)
        end = np.inf if last else pieces[number + 1].start_min
        matrix = _augmented(body, gas, system, piece, (name, effect))
        if system.kind is SystemKind.OPEN:
            state[:, FI] = piece.delivered.get(name, 0.0)
        inside = (times >= piece.start_min) & ((times < end) | last)
        offsets = times[inside] - piece.start_min
        if offsets.size:
            out[:, inside] = _states_at(matrix, state, offsets)[..., :STATES]
        if not last:
            state = _carried(matrix, state, end - piece.start_min)
    return out


def _augmented(
    body: Body, gas: Solubility, system: System, piece: Setting, named: tuple[str, Floats]
) -> Floats:
    """Matrix of one piece with the delivered fraction as one more state that stays 1."""
    name, effect = named
    matrix, inflow = rates(body, gas, system, steady_streams(body, system, piece), effect)
    whole = np.zeros((body.count, STATES + 1, STATES + 1))
    whole[:, :STATES, :STATES] = matrix
    whole[:, :STATES, STATES] = inflow * piece.delivered.get(name, 0.0)
    return whole


def _exponential(matrix: Floats) -> Floats:
    from scipy.linalg import expm

    found: Floats = expm(matrix)
    return found


def _carried(matrix: Floats, state: Floats, minutes: float) -> Floats:
    """State after some minutes of constant settings."""
    carried: Floats = (_exponential(matrix * minutes) @ state[:, :, None])[:, :, 0]
    return carried


def _states_at(matrix: Floats, state: Floats, offsets: Floats) -> Floats:
    """States at rising offsets from the start of a piece, shape (n, t, 13)."""
    first = _carried(matrix, state, float(offsets[0]))
    steps = np.diff(offsets)
    if steps.size == 0:
        return first[:, None]
    if np.allclose(steps, steps[0], rtol=1e-9, atol=1e-12):
        return _evenly(_exponential(matrix * float(steps.mean())), first, offsets.size)
    out = np.empty((state.shape[0], offsets.size, state.shape[1]))
    out[:, 0] = first
    unique, which = np.unique(np.round(steps, 12), return_inverse=True)
    by_step = [_exponential(matrix * one) for one in unique]
    for number, step in enumerate(which):
        out[:, number + 1] = (by_step[step] @ out[:, number, :, None])[:, :, 0]
    return out


def _evenly(step: Floats, first: Floats, count: int) -> Floats:
    """Repeat one step: double a block while it is small, then move it on whole."""
    most = count if first.shape[0] == 1 else _BLOCK
    block = first[:, None, :]
    power = np.swapaxes(step, 1, 2)  # rows are states, so the step acts from the right
    while block.shape[1] < min(most, count):
        block = np.concatenate([block, block @ power], axis=1)
        power = power @ power
    out = np.empty((first.shape[0], count, first.shape[1]))
    width = block.shape[1]
    for start in range(0, count, width):
        stop = min(start + width, count)
        out[:, start:stop] = block[:, : stop - start]
        if stop < count:
            block = block @ power
    return out
