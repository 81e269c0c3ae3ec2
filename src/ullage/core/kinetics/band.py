"""The band of a forecast: what the draws spread, and how far the engine itself may be off."""

from math import exp, hypot, inf, isfinite

import numpy as np

from ullage.core.checks import not_negative, positive, within
from ullage.core.errors import InvalidQuantity
from ullage.core.kinetics.body import Floats

__all__ = ["even_half_width_share", "weighted_middle", "widened_band", "widened_bands"]

#: Ends of 90 % of a normal distribution, in standard deviations.
_ENDS = 1.6448536269514722

#: A draw below this share of the median counts as this share.
_LEAST_SHARE = 1e-3

#: Rounding that a sum of weights may have.
_ROUNDING = 1e-9

#: When more draws than this never come, the high end is open.
_NEVER_SHARE = 0.05


def widened_band(
    middle: float,
    draws: Floats,
    model_error_share: float,
    most: float = inf,
    weights: Floats | None = None,
) -> tuple[float, float]:
    """Low and high end of the 90 % band of a quantity that is above 0.

    Each half of the draws gives its end, as far from their median as a normal distribution of the
    logarithm with the spread of that half; the model error widens both, as independent errors add.

    Parameters
    ----------
    middle : [1] the value of the middle animal, above 0, in any unit.
    draws : [1] values of the drawn animals, shape (n,); infinite where something never comes.
    model_error_share : [1] one standard deviation of the logarithm, 0 or more.
    most : [1] above which the quantity cannot be, at least the middle.
    weights : [1] of the draws, shape (n,); none counts them alike.

    Returns
    -------
    Low and high end in the unit of the middle; the high end may be infinite.

    Raises
    ------
    InvalidQuantity : a middle not above 0, no draws, or a draw that is not a number above 0.

    Source: uptake_base (section 7, typical errors; the sum of independent errors).

    >>> [round(one, 2) for one in widened_band(2.0, np.array([2.0]), 0.08)]
    [1.75, 2.28]
    """
    positive("middle", middle)
    not_negative("model_error_share", model_error_share)
    within("most", most, middle, inf)
    drawn = np.asarray(draws, dtype=float)
    if drawn.size == 0 or not np.all(drawn > 0.0):
        raise InvalidQuantity("draws", float(drawn.size), "one or more, each above 0")
    weight = _weighed(weights, drawn.size)
    median = float(weighted_middle(drawn[:, None], weight)[0])
    if not isfinite(median):
        return min(middle, float(drawn[weight > 0.0].min())), most
    off = np.log(drawn / median)
    never = float(weight[np.isinf(off)].sum()) > _NEVER_SHARE
    finite = np.isfinite(off)
    down, up = _spreads(off[finite, None], weight[finite])
    low = _ENDS * hypot(float(down[0]), model_error_share)
    high = inf if never else _ENDS * hypot(float(up[0]), model_error_share)
    return middle * exp(-low), min(middle * exp(high), most)


def weighted_middle(draws: Floats, weights: Floats) -> Floats:
    """The lowest draw up to which half of the weight lies, for each of many times.

    Parameters
    ----------
    draws : [1] shape (n, t).
    weights : [1] of the draws, 0 or more, shape (n,).

    Returns
    -------
    [1] shape (t,).

    Source: arithmetic.

    >>> weighted_middle(np.array([[1.0], [2.0], [3.0]]), np.array([0.2, 0.2, 0.6])).tolist()
    [3.0]
    """
    order = np.argsort(draws, axis=0, kind="stable")
    summed = np.cumsum(weights[order], axis=0)
    first = (summed >= 0.5 * summed[-1] * (1.0 - _ROUNDING)).argmax(axis=0)
    rows = np.take_along_axis(order, first[None], axis=0)
    found: Floats = np.take_along_axis(draws, rows, axis=0)[0]
    return found


def _weighed(weights: Floats | None, count: int) -> Floats:
    """Weights that add to one; alike where none are given."""
    if weights is None:
        return np.full(count, 1.0 / count)
    kept = np.asarray(weights, dtype=float)
    total = float(kept.sum())
    if kept.shape != (count,) or not np.all(kept >= 0.0) or not (isfinite(total) and total > 0.0):
        raise InvalidQuantity("weights", total, f"{count} numbers from 0 on, not all 0")
    return kept / total


def _spreads(off: Floats, weights: Floats) -> tuple[Floats, Floats]:
    """Root mean square distance from the median of the draws below it, and of those above."""
    found = []
    for side in (off <= 0.0, off >= 0.0):
        weight = np.where(side, weights[:, None], 0.0)
        whole = np.maximum(weight.sum(axis=0), np.finfo(float).tiny)
        found.append(np.sqrt((weight * off**2).sum(axis=0) / whole))
    return found[0], found[1]


def widened_bands(
    draws: Floats, model_error_share: Floats | float, weights: Floats | None = None
) -> Floats:
    """Low, middle and high at each of many times, as `widened_band` gives them for one.

    Parameters
    ----------
    draws : [1] values of the drawn animals, finite and 0 or more, shape (n, t).
    model_error_share : [1] one standard deviation of the logarithm, 0 or more; one, or shape (t,).
    weights : [1] of the draws, shape (n,); none counts them alike.

    Returns
    -------
    [1] low, median and high, shape (3, t); 0 where the median is 0.

    Raises
    ------
    InvalidQuantity : no draws, or a draw that is not a number from 0 on.

    Source: uptake_base (section 7, typical errors; the sum of independent errors).

    >>> widened_bands(np.array([[2.0, 0.0]]), 0.08).round(2).tolist()
    [[1.75, 0.0], [2.0, 0.0], [2.28, 0.0]]
    """
    share = np.asarray(model_error_share, dtype=float)
    not_negative("model_error_share", float(share.min(initial=np.inf)) if share.size else 0.0)
    drawn = np.asarray(draws, dtype=float)
    if drawn.size == 0 or not np.all(np.isfinite(drawn) & (drawn >= 0.0)):
        raise InvalidQuantity("draws", float(drawn.size), "one or more, finite, each 0 or more")
    weight = _weighed(weights, drawn.shape[0])
    middle = weighted_middle(drawn, weight)
    above = np.where(middle > 0.0, middle, 1.0)
    off = np.log(np.maximum(drawn / above, _LEAST_SHARE))
    down, up = _spreads(off, weight)
    low = middle * np.exp(-_ENDS * np.hypot(down, share))
    found: Floats = np.stack([low, middle, middle * np.exp(_ENDS * np.hypot(up, share))])
    return found


def even_half_width_share(errors: Floats, held_share: float) -> float:
    """Half width of the one relative band that would hold a share of the errors.

    Parameters
    ----------
    errors : [1] logarithms of published over computed value, shape (n,).
    held_share : [1] share to hold, above 0 to 1.

    Returns
    -------
    [1] half the width, as a share of the value, of the band from -x to x of the logarithm.

    Raises
    ------
    InvalidQuantity : no errors, or a share out of range.

    Source: arithmetic.

    >>> round(even_half_width_share(np.array([0.1, -0.2, 0.05, 0.4]), 0.75), 3)
    0.201
    """
    positive("held_share", within("held_share", held_share, 0.0, 1.0))
    sizes = np.sort(np.abs(np.asarray(errors, dtype=float)))
    if sizes.size == 0:
        raise InvalidQuantity("errors", 0, "one or more")
    last = float(sizes[max(0, int(np.ceil(held_share * sizes.size - 1e-9)) - 1)])
    return 0.5 * (exp(last) - exp(-last))
