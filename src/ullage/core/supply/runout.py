"""When a source runs out or changes over, for many draws of one day at once.

Nothing here is random: the caller hands in the draws. Arrays have one column a draw. Demand of a
draw is a broken line of litres taken over time, kept at its corners, so that a time is found by
counting corners and one division. Loops run over corners, a few dozen, never over draws.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from ullage.core.checks import positive, within
from ullage.core.errors import InvalidQuantity
from ullage.core.supply.demand import CaseDemand, MachineDemand

if TYPE_CHECKING:
    import numpy as np
    import numpy.typing as npt

__all__ = [
    "Band",
    "DemandCurve",
    "Flowing",
    "Loss",
    "Timeline",
    "band_of",
    "chance_before",
    "demand_curve",
    "drawn_shares",
    "timeline",
    "worst_minute_min",
]

type Floats = npt.NDArray[np.float64]

#: A drawn length or flow is never less than this share of what was meant.
SMALLEST_SHARE = 0.05


@dataclass(frozen=True, slots=True)
class Timeline:
    """When the stretches of one machine's cases begin and end: a row a corner, a column a draw."""

    corners_min: "Floats"
    minutes: "Floats"
    ends_min: "Floats"
    first_corner: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Flowing:
    """One machine's demand with its timeline and its drawn errors, a number a draw."""

    demand: MachineDemand
    when: Timeline
    flow_share: "Floats"
    drive_factor: "Floats"
    flush_l_min: "Floats"


@dataclass(frozen=True, slots=True)
class Loss:
    """A steady loss between two times, a number a draw."""

    opens_min: "Floats"
    closes_min: "Floats"
    l_min: "Floats"


@dataclass(frozen=True, slots=True)
class Band:
    """The 5, 50 and 95 % points of draws; infinite where it never happens."""

    low: float
    middle: float
    high: float


@dataclass(frozen=True, slots=True)
class DemandCurve:
    """Litres taken from a source over the day: corners, litres there, and the flow after each."""

    corners_min: "Floats"
    taken_l: "Floats"
    rates_l_min: "Floats"

    @property
    def total_l(self) -> "Floats":
        """[L] taken over the whole day, a number a draw."""
        found: Floats = self.taken_l[-1]
        return found

    def taken_by_l(self, at_min: "Floats | float") -> "Floats":
        """Litres taken by a time.

        Parameters
        ----------
        at_min : [min] one time, or one for each draw.

        Returns
        -------
        [L] one for each draw.
        """
        import numpy as np

        when = np.broadcast_to(np.asarray(at_min, dtype=float), self.corners_min.shape[1:])
        after = np.maximum((self.corners_min <= when).sum(axis=0) - 1, 0)
        since = np.maximum(when - self._at(self.corners_min, after), 0.0)
        return self._at(self.taken_l, after) + self._at(self.rates_l_min, after) * since

    def reached_min(self, litres_l: "Floats") -> "Floats":
        """The time at which so much has been taken.

        Parameters
        ----------
        litres_l : [L] one for each draw.

        Returns
        -------
        [min] one for each draw; infinite where it is never taken, minus infinite where nothing
        had to be taken.
        """
        import numpy as np

        after = (self.taken_l < litres_l).sum(axis=0) - 1
        none = after < 0
        after = np.maximum(after, 0)
        rate = self._at(self.rates_l_min, after)
        missing = litres_l - self._at(self.taken_l, after)
        with np.errstate(divide="ignore", invalid="ignore"):
            found = self._at(self.corners_min, after) + missing / rate
        found[rate <= 0.0] = np.inf
        found[none] = -np.inf
        return found

    @staticmethod
    def _at(table: "Floats", row: "npt.NDArray[np.intp]") -> "Floats":
        import numpy as np

        draws = table.shape[1]
        found: Floats = np.ascontiguousarray(table).ravel().take(row * draws + np.arange(draws))
        return found


def drawn_shares(sd_share: float, normal: "Floats") -> "Floats":
    """Shares of what was meant, normal about 1 and never nothing.

    Parameters
    ----------
    sd_share : [1] one standard deviation, 0 to 1.
    normal : [1] standard normal draws.

    Returns
    -------
    [1] as many as draws.

    >>> import numpy as np
    >>> drawn_shares(0.1, np.array([0.0, 1.0, -20.0])).round(3)
    array([1.  , 1.1 , 0.05])
    """
    import numpy as np

    within("sd_share", sd_share, 0.0, 1.0)
    return np.maximum(1.0 + sd_share * normal, SMALLEST_SHARE)


def timeline(cases: Sequence[CaseDemand], length_normal: "Floats") -> Timeline:
    """When each stretch begins and ends; a case that overruns pushes the next one back.

    Parameters
    ----------
    cases : in the order of their start, at least one.
    length_normal : [1] standard normal draws, a row a case and a column a draw.

    Returns
    -------
    The times, a row a corner and a column a draw.
    """
    import numpy as np

    lengths: list[Floats] = []
    corners: list[Floats] = []
    ends: list[Floats] = []
    first: list[int] = []
    free_min = np.full(length_normal.shape[1], -np.inf)
    for normal, case in zip(length_normal, cases, strict=True):
        share = drawn_shares(case.minutes_sd_share, normal)
        first.append(len(corners))
        at_min = np.maximum(case.begin_min, free_min)
        corners.append(at_min)
        for place, stretch in enumerate(case.stretches):
            exact = place < case.exact
            minutes = np.full_like(share, stretch.minutes) if exact else share * stretch.minutes
            at_min = at_min + minutes
            lengths.append(minutes)
            corners.append(at_min)
        free_min = at_min
        ends.append(at_min)
    return Timeline(
        corners_min=np.stack(corners),
        minutes=np.stack(lengths),
        ends_min=np.stack(ends),
        first_corner=tuple(first),
    )


def demand_curve(flowing: Sequence[Flowing], losses: Sequence[Loss] = ()) -> DemandCurve:
    """Litres taken over the day by several machines and losses together.

    Parameters
    ----------
    flowing : one for each machine that the source feeds.
    losses : steady losses beside them.

    Returns
    -------
    The curve, a row a corner and a column a draw.
    """
    import numpy as np

    corners, step = _merged([(one.when.corners_min, _rate_steps(one)) for one in flowing])
    for loss in losses:
        corners, step = _with_loss(corners, step, loss)
    rates, taken = np.empty_like(step), np.zeros_like(step)
    rate = np.zeros(step.shape[1])
    for place, up in enumerate(step):
        if place:
            taken[place] = taken[place - 1] + rates[place - 1] * (
                corners[place] - corners[place - 1]
            )
        rate = rate + up
        # What rounding leaves when every flow has ended is no flow.
        np.multiply(rate, rate > 1e-9, out=rates[place])
    return DemandCurve(corners, taken, rates)


def _merged(parts: Sequence[tuple["Floats", "Floats"]]) -> tuple["Floats", "Floats"]:
    """Corners and steps of several machines as one, in the order of time."""
    import numpy as np

    if not parts:
        return np.empty((0, 0)), np.empty((0, 0))
    if len(parts) == 1:
        return parts[0]
    corners, steps = zip(*parts, strict=True)
    return _in_order(np.concatenate(corners), np.concatenate(steps))


def _with_loss(corners: "Floats", step: "Floats", loss: Loss) -> tuple["Floats", "Floats"]:
    """The same with a loss; one that spans the whole day needs no sorting."""
    import numpy as np

    opens, closes, up = (one[None] for one in (loss.opens_min, loss.closes_min, loss.l_min))
    if not len(corners):
        return np.concatenate([opens, closes]), np.concatenate([up, -up])
    spans = bool((opens <= corners[:1]).all() and (closes >= corners[-1:]).all())
    wider = np.concatenate([opens, corners, closes]), np.concatenate([up, step, -up])
    return wider if spans else _in_order(*wider)


def _in_order(corners: "Floats", step: "Floats") -> tuple["Floats", "Floats"]:
    """Corners in the order of time, draw by draw."""
    import numpy as np

    by_draw = np.ascontiguousarray(corners.T)
    order = np.argsort(by_draw, axis=1)
    order += np.arange(len(order))[:, None] * order.shape[1]  # places in the flat table
    sorted_step = np.ascontiguousarray(step.T).ravel().take(order)
    sorted_corners = by_draw.ravel().take(order)
    return np.ascontiguousarray(sorted_corners.T), np.ascontiguousarray(sorted_step.T)


def _rate_steps(one: Flowing) -> "Floats":
    """By how much the flow steps up or down at each corner of a machine's day."""
    import numpy as np

    steps = np.zeros_like(one.when.corners_min)
    lengths = iter(one.when.minutes)
    for first, case in zip(one.when.first_corner, one.demand.cases, strict=True):
        for place, stretch in enumerate(case.stretches):
            minutes, rate = next(lengths), one.flow_share * stretch.metered_l_min
            if stretch.steady_l_min:
                rate = rate + stretch.steady_l_min
            if stretch.minute_volume_l_min:
                rate = rate + one.drive_factor * stretch.minute_volume_l_min
            if stretch.litres or stretch.flush_min:
                rate = rate + (stretch.litres + one.flush_l_min * stretch.flush_min) / minutes
            steps[first + place] += rate
            steps[first + place + 1] -= rate
    return steps


def band_of(values: "Floats") -> Band:
    """The 5, 50 and 95 % points of draws, infinite ones counted.

    Parameters
    ----------
    values : [1] in any unit, one for each draw.

    Returns
    -------
    The three points in the unit of the values.

    >>> import numpy as np
    >>> band_of(np.arange(101.0))
    Band(low=5.0, middle=50.0, high=95.0)
    """
    import numpy as np

    last = len(values) - 1
    places = [round(share * last) for share in (0.05, 0.5, 0.95)]
    ranked = np.partition(values, places)
    return Band(*(float(ranked[place]) for place in places))


def chance_before(reached_min: "Floats", ends_min: "Floats") -> float:
    """Share of draws in which something is reached before something ends.

    Parameters
    ----------
    reached_min : [min] one for each draw, infinite where never.
    ends_min : [min] one for each draw.

    Returns
    -------
    [1]

    Raises
    ------
    InvalidQuantity : no draw, or not one end for each.

    >>> import numpy as np
    >>> chance_before(np.array([10.0, 30.0, np.inf, 20.0]), np.full(4, 25.0))
    0.5
    """
    import numpy as np

    draws = positive("draws", np.size(reached_min))
    if np.size(ends_min) != draws:
        raise InvalidQuantity("number of ends_min", np.size(ends_min), f"{draws:g}, one a draw")
    return float(np.mean(reached_min < ends_min))


def worst_minute_min(
    curve: DemandCurve, usable_l: float, earliest_min: float = 0.0
) -> tuple[float, float]:
    """The minute of the planned day at which a reserve, if it had to take over, lasts shortest.

    Parameters
    ----------
    curve : of one draw: the day as it is meant to be.
    usable_l : [L] what the reserve can give, above 0.
    earliest_min : [min] minutes before this one are past.

    Returns
    -------
    [min] the minute, and how long the reserve lasts from it; infinite where it outlasts the day
    from every minute.
    """
    import numpy as np

    corners, taken = curve.corners_min[:, 0], curve.taken_l[:, 0]
    rows = len(corners)
    once = DemandCurve(
        *(
            np.repeat(one[:, :1], rows, axis=1)
            for one in (curve.corners_min, curve.taken_l, curve.rates_l_min)
        )
    )
    # Shortest where the flow rises at the start, or falls just when the reserve ends.
    begins = np.concatenate([corners, once.reached_min(taken - usable_l)])
    begins = np.maximum(np.where(np.isfinite(begins), begins, corners[0]), earliest_min)
    lasts = np.concatenate(
        [
            once.reached_min(once.taken_by_l(half) + usable_l) - half
            for half in (begins[:rows], begins[rows:])
        ]
    )
    worst = int(np.argmin(lasts))
    return float(begins[worst]), float(lasts[worst])
