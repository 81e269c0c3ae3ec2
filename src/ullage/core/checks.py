"""Guards at the top of public functions; they refuse NaN and infinity too."""

from math import isfinite

from ullage.core.errors import InvalidQuantity

__all__ = ["not_negative", "positive", "within"]


def positive(name: str, value: float) -> float:
    """Return value when it is finite and above zero; refuse it otherwise.

    >>> positive("flow_l_min", 2.0)
    2.0
    """
    if not (isfinite(value) and value > 0):
        raise InvalidQuantity(name, value, "a number above 0")
    return value


def not_negative(name: str, value: float) -> float:
    """Return value when it is finite and 0 or more; refuse it otherwise.

    >>> not_negative("leak_l_min", 0.0)
    0.0
    """
    if not (isfinite(value) and value >= 0):
        raise InvalidQuantity(name, value, "0 or more")
    return value


def within(name: str, value: float, low: float, high: float) -> float:
    """Return value when low <= value <= high; refuse it otherwise (NaN too).

    >>> within("oxygen_fraction", 0.4, 0.21, 1.0)
    0.4
    """
    if not low <= value <= high:
        raise InvalidQuantity(name, value, f"between {low:g} and {high:g}")
    return value
