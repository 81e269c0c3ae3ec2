"""What measured levels say of one animal: draws weighed by how well they foretell what was read.

Each draw is an animal with a course of its own. A reading departs from it for three reasons: the
engine is off by what stays through the case, by what comes and goes, and the analyser is off.
These errors are normal in the logarithm and are integrated out, so that nothing is random here.
A reading that no draw foretells is not believed, and not used.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field
from enum import StrEnum
from itertools import groupby
from math import erfc, hypot, inf, log, sqrt

import numpy as np
from scipy.special import ndtr

from ullage.core.checks import not_negative, positive, within
from ullage.core.errors import InvalidQuantity
from ullage.core.kinetics.band import widened_bands
from ullage.core.kinetics.body import Floats

__all__ = [
    "Belief",
    "Doubt",
    "Foretold",
    "LevelKind",
    "Measured",
    "Narrowed",
    "effective_draws",
    "narrowed",
    "reading_chance",
]

#: Levels below this fraction count as this much: an analyser tells no less.
_LEAST_FRACTION = 2e-4

#: No reading is taken to be better than this; below it nothing but rounding is left.
_LEAST_ERROR_SHARE = 1e-4

#: With such an error a reading may be anything.
_ANYTHING_SHARE = 10.0

#: Halvings of the power to which a likelihood is raised.
_HALVINGS = 20


class LevelKind(StrEnum):
    """What an analyser reads."""

    INSPIRED = "inspired"
    END_TIDAL = "end-tidal"


@dataclass(frozen=True, slots=True, kw_only=True)
class Measured:
    """One value read off an analyser; its error is new at each reading, and may be infinite."""

    at_min: float
    kind: LevelKind
    fraction: float
    error_share: float

    def __post_init__(self) -> None:
        within("at_min", self.at_min, -1e9, 1e9)
        within("fraction", self.fraction, 0.0, 1.0)
        if not self.error_share > 0.0:
            raise InvalidQuantity("error_share", self.error_share, "a number above 0")


@dataclass(frozen=True, slots=True, kw_only=True)
class Doubt:
    """How far engine and analyser may be off in one case: standard deviations of the logarithm.

    ``staying_share`` is one error of all levels alike; ``passing_share`` is of each level by
    itself and is forgotten over ``passing_min``; ``calibration_share`` is one of the analyser.
    """

    staying_share: float
    passing_share: float
    passing_min: float
    calibration_share: float

    def __post_init__(self) -> None:
        not_negative("staying_share", self.staying_share)
        not_negative("passing_share", self.passing_share)
        positive("passing_min", self.passing_min)
        not_negative("calibration_share", self.calibration_share)

    def of_engine(self, minutes_apart: Floats, alike: Floats) -> Floats:
        """[1] covariance of two errors of the engine; ``alike`` 1 where the levels are the same."""
        fading = np.exp(-np.abs(minutes_apart) / self.passing_min) * alike
        found: Floats = self.staying_share**2 + self.passing_share**2 * fading
        return found


@dataclass(frozen=True, slots=True, kw_only=True)
class Belief:
    """A reading less likely than ``least_chance`` is not believed.

    The likelihood is flattened until ``least_effective_share`` of the draws still count.
    """

    least_chance: float
    least_effective_share: float

    def __post_init__(self) -> None:
        within("least_chance", self.least_chance, 0.0, 1.0)
        within("least_effective_share", self.least_effective_share, 0.0, 1.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Foretold:
    """What was to be read, by the readings before: 90 % of values, and the chance of this one."""

    low_fraction: float
    middle_fraction: float
    high_fraction: float
    chance: float
    believed: bool


@dataclass(slots=True)
class _Solved:
    """Readings believed so far: times, levels, and the residuals of the draws, whitened.

    ``inverse`` is that of the root of their covariance, a lower triangle that grows by a row.
    """

    doubt: Doubt
    times_min: list[float]
    kinds: list[LevelKind]
    inverse: Floats
    residuals: Floats

    def projected(self, times_min: Floats, kind: LevelKind) -> Floats:
        """Covariance of the engine's errors at some times with the readings, whitened (k, t)."""
        count = len(self.times_min)
        apart = np.asarray(self.times_min)[:, None] - times_min
        alike = np.array([1.0 if one is kind else 0.0 for one in self.kinds])
        covariance = self.doubt.of_engine(apart, alike[:, None])
        found: Floats = self.inverse[:count, :count] @ covariance
        return found

    def expected(self, one: Measured) -> tuple[Floats, float, Floats]:
        """Shift and spread of a reading about each draw, and its row among those believed."""
        count, doubt = len(self.times_min), self.doubt
        row = self.projected(np.array([one.at_min]), one.kind)[:, 0]
        row = row + doubt.calibration_share**2 * self.inverse[:count, :count].sum(axis=1)
        whole = doubt.staying_share**2 + doubt.passing_share**2 + doubt.calibration_share**2
        left = sqrt(max(whole - float(row @ row), 0.0))
        spread = hypot(left, max(one.error_share, _LEAST_ERROR_SHARE))
        return self.residuals[:, :count] @ row, spread, row

    def take(self, one: Measured, off: Floats) -> Floats:
        """Add a reading; its residuals, whitened, in each draw."""
        shift, spread, row = self.expected(one)
        count = len(self.times_min)
        self.inverse[count, :count] = -row @ self.inverse[:count, :count] / spread
        self.inverse[count, count] = 1.0 / spread
        self.residuals[:, count] = (off - shift) / spread
        self.times_min.append(one.at_min)
        self.kinds.append(one.kind)
        return self.residuals[:, count]


@dataclass(frozen=True, slots=True, kw_only=True)
class Narrowed:
    """Draws with their weights, and what each reading was foretold to be, in the order given.

    ``effective`` is how many equal draws would tell as much; ``power`` is 1 where the readings
    count in full, and less where too few draws would be left.
    """

    weights: Floats
    effective: float
    power: float
    foretold: tuple[Foretold, ...]
    solved: _Solved = field(repr=False)

    def moved(self, times_min: Floats, kind: LevelKind) -> tuple[Floats, Floats]:
        """Factor on each draw at some times, and how far the engine may still be off there.

        Parameters
        ----------
        times_min : [min] shape (t,).
        kind : the level; brain goes with end-tidal.

        Returns
        -------
        [1] factors of shape (n, t), and standard deviations of the logarithm of shape (t,).

        Source: proposal (conditional normal distribution).
        """
        row, doubt = self.solved.projected(times_min, kind), self.solved.doubt
        shift = self.solved.residuals[:, : row.shape[0]] @ row
        whole = doubt.staying_share**2 + doubt.passing_share**2
        left = np.maximum(whole - (row**2).sum(axis=0), 0.0)
        return np.exp(shift), np.sqrt(left)

    def bands(self, levels: Floats, times_min: Floats, kind: LevelKind) -> Floats:
        """Low, middle and high of a level at some times.

        Parameters
        ----------
        levels : [1] of the draws, shape (n, t).
        times_min : [min] shape (t,).
        kind : the level; brain goes with end-tidal.

        Returns
        -------
        [1] shape (3, t), ends of 90 %.

        Source: proposal (weighted draws, see `widened_bands`).
        """
        factors, spread = self.moved(times_min, kind)
        return widened_bands(levels * factors, spread, self.weights)


def narrowed(
    levels: Floats, measured: Sequence[Measured], doubt: Doubt, belief: Belief
) -> Narrowed:
    """Weigh the draws by what was measured; readings at one minute are judged side by side.

    Parameters
    ----------
    levels : [1] of each draw at each reading, shape (n, k), in the order of the readings.
    measured : k readings in any order.
    doubt : how far engine and analyser may be off.
    belief : when a reading is not believed.

    Raises
    ------
    InvalidQuantity : no draws, levels that do not match the readings, or one below 0.

    Source: proposal (importance weights, normal errors integrated out).

    >>> read = [Measured(at_min=20, kind=LevelKind.END_TIDAL, fraction=0.012, error_share=0.05)]
    >>> doubt = Doubt(staying_share=0.0, passing_share=0.0, passing_min=30, calibration_share=0.0)
    >>> both = Belief(least_chance=0.01, least_effective_share=0.1)
    >>> narrowed(np.array([[0.012], [0.0132]]), read, doubt, both).weights.round(2).tolist()
    [0.86, 0.14]
    """
    drawn = np.asarray(levels, dtype=float)
    if drawn.ndim != 2 or drawn.shape[0] == 0 or drawn.shape[1] != len(measured):
        raise InvalidQuantity("levels", drawn.size, f"of each draw at {len(measured)} readings")
    if not np.all(np.isfinite(drawn) & (drawn >= 0.0)):
        raise InvalidQuantity("levels", float(drawn.min()), "finite, each 0 or more")
    count, most = drawn.shape
    logs = np.log(np.maximum(drawn, _LEAST_FRACTION))
    solved = _Solved(doubt, [], [], np.zeros((most, most)), np.zeros((count, most)))
    likelihood, found = np.zeros(count), dict[int, Foretold]()
    for _, together in groupby(_in_order(measured), key=lambda k: measured[k].at_min):
        group = list(together)
        weights, _ = _flattened(likelihood, belief)
        for k in group:
            found[k] = _foretold(solved, (measured[k], logs[:, k]), weights, belief)
        for k in group:
            if found[k].believed and measured[k].error_share < inf:
                off = log(max(measured[k].fraction, _LEAST_FRACTION)) - logs[:, k]
                likelihood = likelihood - 0.5 * solved.take(measured[k], off) ** 2
    weights, power = _flattened(likelihood, belief)
    return Narrowed(
        weights=weights,
        effective=effective_draws(weights),
        power=power,
        foretold=tuple(found[k] for k in range(most)),
        solved=solved,
    )


def _in_order(measured: Sequence[Measured]) -> list[int]:
    """Places of the readings by time; at one minute always in the same order."""

    def key(k: int) -> tuple[float, str, float, float]:
        one = measured[k]
        return one.at_min, one.kind.value, one.fraction, one.error_share

    return sorted(range(len(measured)), key=key)


def _foretold(
    solved: _Solved, read: tuple[Measured, Floats], weights: Floats, belief: Belief
) -> Foretold:
    """What a reading was to be, and how likely one as far off as this is."""
    one, logs = read
    shift, spread, _ = solved.expected(one)
    middle = logs + shift
    off = (log(max(one.fraction, _LEAST_FRACTION)) - middle) / spread
    tails = float(weights @ ndtr(off)), float(weights @ ndtr(-off))
    chance = min(1.0, 2.0 * min(tails))
    shown = widened_bands(np.exp(middle)[:, None], min(spread, _ANYTHING_SHARE), weights)
    low, level, high = (float(end) for end in shown[:, 0])
    return Foretold(
        low_fraction=low,
        middle_fraction=level,
        high_fraction=min(high, max(1.0, level)),
        chance=chance,
        believed=chance >= belief.least_chance,
    )


def _flattened(likelihood: Floats, belief: Belief) -> tuple[Floats, float]:
    """Weights that add to one, and the power that leaves enough draws to count."""
    least = belief.least_effective_share * likelihood.size
    whole = _weights(likelihood)
    if effective_draws(whole) >= least:
        return whole, 1.0
    low, high = 0.0, 1.0
    for _ in range(_HALVINGS):
        power = 0.5 * (low + high)
        enough = effective_draws(_weights(power * likelihood)) >= least
        low, high = (power, high) if enough else (low, power)
    return _weights(low * likelihood), low


def _weights(likelihood: Floats) -> Floats:
    raised = np.exp(likelihood - likelihood.max())
    found: Floats = raised / raised.sum()
    return found


def effective_draws(weights: Floats) -> float:
    """How many draws of equal weight would tell as much as these.

    Parameters
    ----------
    weights : [1] 0 or more, not all 0.

    Returns
    -------
    [1] from 1 to the number of draws.

    Raises
    ------
    InvalidQuantity : no weights, one below 0, or none above 0.

    Source: arithmetic (square of the sum over the sum of squares).

    >>> effective_draws(np.array([0.5, 0.5, 0.0]))
    2.0
    """
    given = np.asarray(weights, dtype=float)
    total = float(given.sum())
    if not (np.all(given >= 0.0) and np.isfinite(total) and total > 0.0):
        raise InvalidQuantity("weights", total, "numbers from 0 on, not all 0")
    return total**2 / float((given**2).sum())


def reading_chance(measured_fraction: float, expected_fraction: float, sd_share: float) -> float:
    """How likely a reading is that lies at least as far from what is expected, on either side.

    Parameters
    ----------
    measured_fraction : [1] read, above 0.
    expected_fraction : [1] expected, above 0.
    sd_share : [1] one standard deviation of the logarithm, above 0.

    Returns
    -------
    [1] from 0 to 1.

    Raises
    ------
    InvalidQuantity : a number not above 0.

    Source: arithmetic (two tails of a normal distribution of the logarithm).

    >>> round(reading_chance(0.015, 0.012, 0.1), 3)
    0.026
    """
    off = log(
        positive("measured_fraction", measured_fraction)
        / positive("expected_fraction", expected_fraction)
    )
    return erfc(abs(off) / positive("sd_share", sd_share) / sqrt(2.0))
