"""Draws from one seed, in the order in which they are asked for: same seed, same answer."""

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

__all__ = ["Dice"]

type Floats = NDArray[np.float64]


class Dice:
    """As many draws a time as were asked for at first.

    >>> Dice(1, 3).even().shape, Dice(1, 3).normal(2).shape
    ((3,), (2, 3))
    """

    def __init__(self, seed: int, draws: int) -> None:
        import numpy as np

        self._rng, self.draws = np.random.default_rng(seed), draws

    def even(self) -> "Floats":
        """Uniform over -1..1."""
        return self._rng.random(self.draws) * 2.0 - 1.0

    def normal(self, rows: int | None = None) -> "Floats":
        """Standard normal; a row for each of several things."""
        size = self.draws if rows is None else (rows, self.draws)
        return self._rng.standard_normal(size)

    def within(self, low: float, high: float) -> "Floats":
        """Uniform from low to high."""
        return low + (high - low) * self._rng.random(self.draws)
