"""The type of many numbers, and the guard that refuses one that lies outside."""

from typing import TYPE_CHECKING

from ullage.core.errors import InvalidQuantity

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

__all__ = ["Floats", "inside"]

#: Worked out only by type checkers: numpy is not loaded for a single number.
type Floats = NDArray[np.float64]


def inside(name: str, values: Floats, low: float, high: float) -> None:
    """Refuse an array of which one number lies outside, or is none."""
    if values.size and not (low <= values.min() and values.max() <= high):
        wrong = values[~((values >= low) & (values <= high))]
        raise InvalidQuantity(name, float(wrong[0]), f"between {low:g} and {high:g}")
