"""The exponential of many small matrices at once: a Taylor polynomial, scaled and squared."""

from math import ceil, factorial, log2

import numpy as np

from ullage.core.errors import InvalidQuantity
from ullage.core.kinetics.body import Floats

__all__ = ["exponential"]

#: Below this norm eight terms leave less than rounding: 0.1 ** 9 / 9! is 3e-15.
_SMALL = 0.1

_TERMS = [1.0 / factorial(k) for k in range(9)]


def exponential(matrices: Floats) -> Floats:
    """exp(A) for each of many square matrices.

    Parameters
    ----------
    matrices : [1] shape (n, k, k), finite.

    Returns
    -------
    [1] shape (n, k, k), exact to rounding times the squarings taken.

    Raises
    ------
    InvalidQuantity : a matrix with a value that is not finite.

    Source: arithmetic.

    >>> exponential(np.zeros((1, 2, 2))).tolist()
    [[[1.0, 0.0], [0.0, 1.0]]]
    """
    norm = float(np.abs(matrices).sum(axis=-1).max())
    if not np.isfinite(norm):
        raise InvalidQuantity("norm of a matrix of rates", norm, "finite")
    squarings = max(0, ceil(log2(norm / _SMALL))) if norm > 0.0 else 0
    one = np.ldexp(matrices, -squarings)
    two = one @ one
    three = two @ one
    four = two @ two
    low, high = _four_terms(0, (one, two, three)), _four_terms(4, (one, two, three))
    found: Floats = low + four @ (high + _TERMS[8] * four)
    for _ in range(squarings):
        found = found @ found
    return found


def _four_terms(first: int, powers: tuple[Floats, Floats, Floats]) -> Floats:
    """Four terms of the series without the power that they share."""
    one, two, three = powers
    c = _TERMS[first : first + 4]
    found: Floats = c[0] * np.eye(one.shape[-1]) + c[1] * one + c[2] * two + c[3] * three
    return found
