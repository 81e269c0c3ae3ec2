"""How fast pieces are used, how long a delivery takes, and what is used meanwhile.

A piece is a cylinder, a canister, a bottle, a filling. Draws come at a rate that is known to a
share only; each takes a whole piece, or a case takes a part of one. How long a delivery takes
spreads too. Rate and time are taken as gamma distributed and are summed over; what is drawn in
a known time at a known rate is a Poisson count, or a wider one (negative binomial).
"""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from functools import lru_cache
from math import inf
from typing import TYPE_CHECKING, NamedTuple

from ullage.core.checks import not_negative, positive, within
from ullage.core.errors import InvalidQuantity

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    type Floats = NDArray[np.float64]

__all__ = [
    "LeadTime",
    "Use",
    "recorded_use",
    "shelf_mean",
    "used_mean",
    "used_more_chance",
    "used_sd",
    "used_up_after_days",
]

#: A spread is summed over panels at most this wide on a log scale, each with so many points.
_PANEL = 0.8
_PANELS = 5
_POINTS = 6
#: Chance left out at the low and the high end of a spread.
_CUTS = (1e-6, 1e-8)
#: A point of less weight than this is left out.
_NO_WEIGHT = 1e-11
#: Up to this mean the chances of counts are stepped from one to the next.
_MOST_STEPPED = 600.0
#: A share of spread smaller than this is none.
_NO_SPREAD = 1e-3
#: More than this in one lead time is no stock of pieces any more.
_MOST = 5000.0
#: Longer than this is never, for a shelf.
_LONGEST_DAYS = 36_500.0
#: So many periods, and pieces in them, before their scatter says anything.
_ENOUGH = 8


@dataclass(frozen=True, slots=True, kw_only=True)
class Use:
    """What is drawn from a shelf.

    ``per_day`` draws a day, known to ``rate_sd_share``; ``dispersion`` is the variance of a count
    over its mean: 1 for draws that know nothing of one another, more where they come in lots.
    A draw takes a whole piece where ``per_draw`` is 0; otherwise that part of a piece on average,
    spread by ``per_draw_sd_share``.
    """

    per_day: float
    rate_sd_share: float = 0.0
    dispersion: float = 1.0
    per_draw: float = 0.0
    per_draw_sd_share: float = 0.0

    def __post_init__(self) -> None:
        within("per_day", self.per_day, 0.0, 1000.0)
        within("rate_sd_share", self.rate_sd_share, 0.0, 1.0)
        within("dispersion", self.dispersion, 1.0, 100.0)
        within("per_draw", self.per_draw, 0.0, 1000.0)
        within("per_draw_sd_share", self.per_draw_sd_share, 0.0, 5.0)

    @property
    def pieces_per_day(self) -> float:
        """[1/d] pieces, whole or in parts."""
        return self.per_day * (self.per_draw or 1.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class LeadTime:
    """From the order to the shelf; ``review_days`` is how long a low shelf may stand unseen."""

    days: float
    sd_days: float = 0.0
    review_days: float = 0.0

    def __post_init__(self) -> None:
        within("days", self.days, 0.0, 1000.0)
        within("sd_days", self.sd_days, 0.0, self.days)
        within("review_days", self.review_days, 0.0, 1000.0)


def used_mean(use: Use, lead: LeadTime) -> float:
    """Pieces used from a look at the shelf until a delivery, on average.

    Parameters
    ----------
    use : what is drawn.
    lead : how long the delivery takes.

    Returns
    -------
    [1] pieces, parts counted.

    Source: arithmetic.

    >>> used_mean(use=Use(per_day=0.5), lead=LeadTime(days=6.0))
    3.0
    """
    return use.pieces_per_day * (lead.days + lead.review_days)


def used_sd(use: Use, lead: LeadTime) -> float:
    """Standard deviation of the pieces used until a delivery.

    Parameters
    ----------
    use : what is drawn.
    lead : how long the delivery takes.

    Returns
    -------
    [1] pieces.

    Source: arithmetic (variance of a mixture, by its parts).

    >>> round(used_sd(use=Use(per_day=0.5), lead=LeadTime(days=8.0)), 3)
    2.0
    >>> round(used_sd(use=Use(per_day=0.5), lead=LeadTime(days=8.0, sd_days=4.0)), 3)
    2.828
    """
    whole_days = lead.days + lead.review_days
    draws = use.per_day * whole_days
    piece = use.per_draw or 1.0
    size = use.per_draw_sd_share**2 if use.per_draw else 0.0
    scatter = piece**2 * draws * (use.dispersion + size)
    rate = use.rate_sd_share
    time = lead.sd_days / whole_days if whole_days else 0.0
    known = (piece * draws) ** 2 * ((1.0 + rate**2) * (1.0 + time**2) - 1.0)
    return float((scatter + known) ** 0.5)


def used_more_chance(use: Use, lead: LeadTime, pieces: int) -> float:
    """Chance that more full pieces are asked for than there are, until a delivery comes.

    Parameters
    ----------
    use : what is drawn; the order goes out as a draw opens a piece.
    lead : how long the delivery takes.
    pieces : [1] full ones, 0 or more.

    Returns
    -------
    [1]

    Raises
    ------
    InvalidQuantity : fewer than none, or more use than a shelf is for.

    Source: arithmetic (Poisson or negative binomial count, summed over rate and time).

    >>> round(used_more_chance(use=Use(per_day=0.5), lead=LeadTime(days=2.0), pieces=1), 4)
    0.2642
    """
    not_negative("pieces", pieces)
    return _chance(use, _times(lead), pieces + 1.0, _From.OPENED)


def shelf_mean(use: Use, lead: LeadTime, pieces: int) -> float:
    """Full pieces left a lead time after a moment that nobody chose, on average.

    Parameters
    ----------
    use : what is drawn.
    lead : how long the delivery takes.
    pieces : [1] full ones and those on order at that moment, 0 or more.

    Returns
    -------
    [1] pieces; who waits for one is not counted.

    Raises
    ------
    InvalidQuantity : fewer than none, or more use than a shelf is for.

    Source: arithmetic (sum of the chances that so many are not asked for).

    >>> round(shelf_mean(use=Use(per_day=0.5), lead=LeadTime(days=2.0), pieces=2), 4)
    1.1036
    """
    not_negative("pieces", pieces)
    times = _times(lead)
    asked = range(1, pieces + 1)
    return sum(1.0 - _chance(use, times, float(one), _From.ANYWHERE) for one in asked)


def used_up_after_days(use: Use, pieces: float, chance: float = 0.5) -> float:
    """Days after which so many pieces are used with a given chance.

    Parameters
    ----------
    use : what is drawn.
    pieces : [1] above 0; parts count where draws take parts.
    chance : [1] that it has come to that by then, above 0 and below 1.

    Returns
    -------
    [d] infinite where nothing, or hardly anything, is used.

    Raises
    ------
    InvalidQuantity : a value out of range.

    Source: arithmetic (the count, solved for its time).

    >>> round(used_up_after_days(use=Use(per_day=0.5), pieces=1.0), 3)
    1.386
    """
    positive("pieces", pieces)
    within("chance", chance, 1e-6, 1.0 - 1e-6)
    if use.per_day == 0.0:
        return inf
    limit = min(_LONGEST_DAYS, _MOST / use.per_day)
    low, high = 0.0, min(limit, max(pieces / use.pieces_per_day, 1e-3))
    while _used_by(use, high, pieces) < chance:
        low, high = high, 2.0 * high
        if high > limit:
            return inf
    for _ in range(50):
        middle = (low + high) / 2.0
        low, high = (middle, high) if _used_by(use, middle, pieces) < chance else (low, middle)
    return high


def recorded_use(counts: Sequence[int], period_days: float) -> Use:
    """The rate of use that counts of equal periods speak for.

    Parameters
    ----------
    counts : [1] whole pieces drawn in each period, one after the other; none left out.
    period_days : [d] length of a period, above 0.

    Returns
    -------
    The use, as if one piece more had been drawn: its rate is known as well as that many pieces
    can tell. With too few to show more scatter than chance, none is taken.

    Raises
    ------
    InvalidQuantity : no period, a count below 0.

    Source: arithmetic (gamma posterior of a Poisson rate, prior of one piece).

    >>> found = recorded_use([2, 1, 3, 2], 7.0)
    >>> round(found.per_day, 3), round(found.rate_sd_share, 3), found.dispersion
    (0.321, 0.333, 1.0)
    """
    if not counts:
        raise InvalidQuantity("periods", 0, "1 or more")
    for one in counts:
        not_negative("count", one)
    whole_days = len(counts) * positive("period_days", period_days)
    seen = float(sum(counts))
    scatter = _scatter(counts, seen)
    return Use(
        per_day=(seen + 1.0) / whole_days,
        rate_sd_share=min(1.0, (scatter / (seen + 1.0)) ** 0.5),
        dispersion=scatter,
    )


def _scatter(counts: Sequence[int], seen: float) -> float:
    """Variance of the counts over their mean; 1 while they are too few to tell, at most 4."""
    if len(counts) < _ENOUGH or seen < _ENOUGH:
        return 1.0
    mean = seen / len(counts)
    variance = sum((one - mean) ** 2 for one in counts) / (len(counts) - 1)
    return min(4.0, max(1.0, variance / mean))


class _Times(NamedTuple):
    """A time and its spread, and a fixed time after it; hashable, so that sums are kept."""

    days: float
    sd_days: float = 0.0
    more_days: float = 0.0


def _times(lead: LeadTime) -> _Times:
    return _Times(lead.days, lead.sd_days, lead.review_days)


def _used_by(use: Use, days: float, pieces: float) -> float:
    return _chance(use, _Times(days), pieces, _From.UNTOUCHED)


class _From(StrEnum):
    """Where in a piece the count begins; it matters where draws take parts or come in lots."""

    UNTOUCHED = "untouched"  # the piece in use is full, and nothing is owed
    OPENED = "opened"  # a draw has just opened it, and has taken what it takes
    ANYWHERE = "anywhere"  # at a moment that nobody chose


def _chance(use: Use, times: _Times, amount: float, begin: _From) -> float:
    """Chance that at least an amount of pieces is drawn, over rates and times."""
    import numpy as np

    if not use.per_draw:
        count = int(np.ceil(amount - 1e-9)) - 1
        if begin is _From.OPENED and use.dispersion > 1.0:
            return _clipped(_after_a_lot(use, times, count))
        return _clipped(float(_draws_above(use, times, _room(count + 1))[count]))
    means, _ = _means(use, times)
    most = float(means.max())
    above = _draws_above(use, times, _room(int(most + 10.0 * (use.dispersion * most) ** 0.5 + 40)))
    draws = np.arange(0.0, above.size + 1.0)
    steps = np.diff(1.0 - _not_reached_from(use, draws, amount, begin), prepend=0.0)
    return _clipped(float(steps[0] + steps[1:] @ above))


def _clipped(chance: float) -> float:
    return min(1.0, max(0.0, chance))


def _room(size: int) -> int:
    """The next power of two from 32 on, so that sums for one count serve the next as well."""
    return max(32, 1 << (size - 1).bit_length())


def _means(use: Use, times: _Times) -> "tuple[Floats, Floats]":
    """Mean counts of draws over rates and times, with their weights."""
    import numpy as np

    whole_days = times.days + times.more_days
    within("pieces used in the lead time", use.per_day * whole_days, 0.0, _MOST)
    days, of_day = _gamma_points(times.days, times.sd_days)
    rates, of_rate = _gamma_points(use.per_day, use.per_day * use.rate_sd_share)
    means = np.outer(days + times.more_days, rates).ravel()
    weights = np.outer(of_day, of_rate).ravel()
    counts = weights > _NO_WEIGHT
    return means[counts], weights[counts] / weights[counts].sum()


@lru_cache(maxsize=512)
def _draws_above(use: Use, times: _Times, size: int) -> "Floats":
    """Chance of more draws than 0, 1, 2..., below a size, over rates and times.

    The chances of each count follow from one another, for all means at once; where the
    first of them is too small for a number, each is worked out by itself.
    """
    import numpy as np

    means, weights = _means(use, times)
    if means.max() > _MOST_STEPPED:
        each = [weights @ _count_above(use.dispersion, means, one) for one in range(size)]
        return np.array(each)
    spread = 1.0 - 1.0 / use.dispersion
    shapes = means / (use.dispersion - 1.0) if spread else means
    of_count = np.exp(shapes * np.log1p(-spread)) if spread else np.exp(-means)
    found = np.empty(size)
    for count in range(size):
        found[count] = weights @ of_count
        step = (count + shapes) * spread if spread else means
        of_count = of_count * step / (count + 1.0)
    above = np.maximum(0.0, 1.0 - np.cumsum(found))
    above.flags.writeable = False  # it is kept and handed out again
    return above


def _gamma_points(mean: float, sd: float) -> "tuple[Floats, Floats]":
    """Points and weights that stand for a gamma distribution; one point without a spread."""
    import numpy as np
    from scipy.special import gammaincinv, gammaln

    if sd <= _NO_SPREAD * mean:
        return np.array([mean]), np.array([1.0])
    shape = (mean / sd) ** 2
    low, high = np.log(gammaincinv(shape, [_CUTS[0], 1.0 - _CUTS[1]]))
    nodes, weights = np.polynomial.legendre.leggauss(_POINTS)
    panels = max(_PANELS, int(np.ceil((high - low) / _PANEL)))
    edges = np.linspace(low, high, panels + 1)
    half = (edges[1] - edges[0]) / 2.0
    logs = ((edges[:-1] + half)[:, None] + half * nodes[None, :]).ravel()
    density = np.exp(shape * logs - np.exp(logs) - gammaln(shape))
    weights = np.tile(weights, edges.size - 1) * density
    return np.exp(logs) * mean / shape, weights / weights.sum()


def _not_reached(use: Use, draws: "Floats", amount: float, more: int) -> "Floats":
    """Chance that draws of gamma size stay below an amount, their shape larger by ``more``."""
    import numpy as np
    from scipy.special import gammainc

    share = use.per_draw_sd_share
    if share == 0.0:
        return np.asarray(draws * use.per_draw < amount - 1e-9, dtype=float)
    shape = share**-2.0
    below = gammainc(np.maximum(draws * shape, 1e-300) + more, amount * shape / use.per_draw)
    return np.where(draws == 0, 1.0, below)


def _not_reached_from(use: Use, draws: "Floats", amount: float, begin: _From) -> "Floats":
    """The same from where the count begins.

    What the draw before took beyond its mark is spread as its size is above each height, and a
    moment that nobody chose lies anywhere in a piece; either turns the chance of staying below
    into a difference of mean shortfalls.
    """
    if begin is _From.OPENED:
        less = _shortfall(use, draws, amount) - _shortfall(use, draws + 1.0, amount)
        return less / use.per_draw
    if begin is _From.ANYWHERE:
        return _shortfall(use, draws, amount) - _shortfall(use, draws, amount - 1.0)
    return _not_reached(use, draws, amount, 0)


def _shortfall(use: Use, draws: "Floats", amount: float) -> "Floats":
    """Pieces by which draws stay below an amount, on average; 0 where they do not."""
    if amount <= 0.0:
        return 0.0 * draws
    mean = draws * use.per_draw
    found: Floats = amount * _not_reached(use, draws, amount, 0)
    found -= mean * _not_reached(use, draws, amount, 1)
    return found


def _after_a_lot(use: Use, times: _Times, count: int) -> float:
    """Chance of more draws than a count, when the last lot may have passed the mark already.

    A negative binomial count is a Poisson number of lots of logarithmic size; what a lot takes
    beyond a mark is spread as its size is above each number.
    """
    import numpy as np

    share = 1.0 - 1.0 / use.dispersion
    sizes = np.arange(1.0, count + 2.0)
    chance = -(share**sizes) / (sizes * np.log1p(-share))
    mean_size = -share / ((1.0 - share) * np.log1p(-share))
    beyond = (1.0 - np.concatenate([[0.0], np.cumsum(chance)[:-1]])) / mean_size
    above = _draws_above(use, times, _room(count + 1))[: count + 1]
    return float(beyond @ above[::-1] + 1.0 - beyond.sum())


def _count_above(dispersion: float, means: "Floats", count: int) -> "Floats":
    """Chance of more draws than a count: Poisson, or negative binomial of that dispersion."""
    import numpy as np
    from scipy.special import betainc, gammainc

    if dispersion == 1.0:
        return np.asarray(gammainc(count + 1.0, means))
    shapes = np.maximum(means, 1e-12) / (dispersion - 1.0)
    return np.asarray(betainc(count + 1.0, shapes, 1.0 - 1.0 / dispersion))
