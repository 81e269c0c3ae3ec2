"""The same equations through a general-purpose integrator, setting after setting."""

import numpy as np
from scipy.integrate import solve_ivp

from ullage.core.kinetics import FI, STATES, SystemKind
from ullage.core.kinetics.feedback import slopes


def integrated(model, pieces, start, times, *, rtol=1e-10, atol=1e-13):
    """States at the times of one animal, shape (1, t, g, 12), by LSODA."""
    state, found = start.copy(), []
    ends = [piece.start_min for piece in pieces[1:]] + [times[-1]]
    for piece, end in zip(pieces, ends, strict=True):
        delivered = np.array([piece.delivered.get(name, 0.0) for name in model.names])
        if model.system.kind is SystemKind.OPEN:
            state[..., FI] = delivered

        def slope(_minute, flat, piece=piece, delivered=delivered):
            whole = flat.reshape(1, 1, -1, STATES)
            return slopes(model, whole, piece, delivered, np.empty_like(whole))[0].ravel()

        inside = times[(times > piece.start_min) & (times <= end)]
        at = np.union1d(inside, [end])
        span = (piece.start_min, end)
        solved = solve_ivp(
            slope, span, state.ravel(), "LSODA", rtol=rtol, atol=atol, t_eval=at, max_step=1.0
        )
        found.append(solved.y.T[: inside.size])
        state = solved.y[:, -1].reshape(state.shape)
    return np.concatenate(found).reshape(1, times.size, -1, STATES)
