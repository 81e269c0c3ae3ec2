"""Radau IIA collocation on elements that grow after each change of setting.

All moments of an element are found together by simplified Newton steps. The differentiation
matrix of the moments is diagonalised once and for all, one value of each conjugate pair is kept,
and for each value the frozen Jacobian of a gas is an arrowhead that is solved in O(states).
"""

from functools import cache
from typing import NamedTuple

import numpy as np
from numpy.polynomial import legendre
from numpy.typing import NDArray

from ullage.core.kinetics.body import Floats

__all__ = ["STAGES", "Scheme", "interpolated", "scheme"]

#: Moments in an element; the order of the method is twice this less one.
STAGES = 7


class Scheme(NamedTuple):
    """Moments on [0, 1] with 0 in front, their barycentric weights, and the matrices."""

    moments: Floats
    weights: Floats
    difference: Floats
    values: NDArray[np.complex128]
    vectors: NDArray[np.complex128]
    inverse: NDArray[np.complex128]


@cache
def scheme() -> Scheme:
    """The collocation scheme, worked out once from the roots of its Legendre polynomial."""
    coefficients = np.zeros(STAGES + 1)
    coefficients[STAGES - 1 :] = -1.0, 1.0
    roots = np.sort(legendre.legroots(coefficients).real)
    roots[-1] = 1.0
    moments = np.concatenate([[0.0], (roots + 1.0) / 2.0])
    apart = moments[:, None] - moments[None, :]
    np.fill_diagonal(apart, 1.0)
    weights = 1.0 / apart.prod(axis=1)
    whole = weights[None, :] / weights[:, None] / apart
    np.fill_diagonal(whole, 0.0)
    np.fill_diagonal(whole, -whole.sum(axis=1))
    inner = whole[1:, 1:]
    values, vectors = np.linalg.eig(inner)
    upper = values.imag >= -1e-9  # the other one of a pair adds the same real part again
    twice = np.where(values.imag[upper] > 1e-9, 2.0, 1.0)
    return Scheme(
        moments=moments,
        weights=weights,
        difference=whole[1:],
        values=values[upper],
        vectors=vectors[:, upper] * twice,
        inverse=np.linalg.inv(vectors)[upper],
    )


def interpolated(at: Floats) -> Floats:
    """Weights that turn the values at the moments into values at other places.

    Parameters
    ----------
    at : [1] places, 0 to 1 inside the element, above 1 beyond it; shape (m,).

    Returns
    -------
    [1] shape (m, STAGES + 1), each row adds to 1.
    """
    moments, weights = scheme().moments, scheme().weights
    apart = at[:, None] - moments[None, :]
    hit = apart == 0.0
    found = weights / np.where(hit, 1.0, apart)
    found = np.where(hit.any(axis=1, keepdims=True), hit.astype(float), found)
    rows: Floats = found / found.sum(axis=1, keepdims=True)
    return rows
