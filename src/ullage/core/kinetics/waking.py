"""When a level falls to what an animal wakes at, or rises to what it sleeps at."""

import numpy as np

from ullage.core.checks import positive
from ullage.core.errors import InvalidQuantity
from ullage.core.kinetics.body import Floats

__all__ = ["falls_to_min", "rises_to_min"]


def falls_to_min(times_min: Floats, level: Floats, threshold: float) -> Floats:
    """First time at which a level is down at a threshold, between the times by a straight line.

    Parameters
    ----------
    times_min : [min] rising, shape (t,).
    level : [1] of each animal at those times, shape (n, t).
    threshold : [1] above 0.

    Returns
    -------
    [min] shape (n,); infinite for an animal whose level stays above it.

    Raises
    ------
    InvalidQuantity : a threshold not above 0, or times that do not match the levels.

    Source: uptake_base (equation 20).

    >>> falls_to_min(np.array([0.0, 10.0]), np.array([[1.0, 0.5]]), 0.75).tolist()
    [5.0]
    """
    return rises_to_min(times_min, -np.asarray(level), -positive("threshold", threshold))


def rises_to_min(times_min: Floats, level: Floats, threshold: float) -> Floats:
    """First time at which a level is up at a threshold, between the times by a straight line.

    Parameters
    ----------
    times_min : [min] rising, shape (t,).
    level : [1] of each animal at those times, shape (n, t).
    threshold : [1] finite.

    Returns
    -------
    [min] shape (n,); infinite for an animal whose level stays below it.

    Raises
    ------
    InvalidQuantity : times that do not match the levels.

    Source: arithmetic.

    >>> rises_to_min(np.array([0.0, 10.0]), np.array([[0.0, 0.5], [0.0, 0.1]]), 0.2).tolist()
    [4.0, inf]
    """
    if level.ndim != 2 or level.shape[1] != times_min.size:
        raise InvalidQuantity("times of the levels", times_min.size, f"{level.shape[-1]}")
    there = level >= threshold
    first = there.argmax(axis=1)
    before = np.maximum(first - 1, 0)
    rows = np.arange(level.shape[0])
    low, high = level[rows, before], level[rows, first]
    rise = np.where(high > low, high - low, 1.0)
    share = np.where(first > 0, (threshold - low) / rise, 0.0)
    at = times_min[before] + share * (times_min[first] - times_min[before])
    return np.where(there.any(axis=1), at, np.inf)
