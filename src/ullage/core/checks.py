"""Guards at the top of public functions; they refuse NaN and infinity too."""

from collections.abc import Callable
from math import isfinite

from ullage.core.errors import InvalidQuantity

__all__ = ["each_said", "not_negative", "positive", "within"]


def positive(name: str, value: float) -> float:
    """Return value when it is finite and above zero; refuse it otherwise.

    Parameters
    ----------
    name : of the quantity, for the sentence of a refusal.
    value : [1] in whatever unit the name says.

    Returns
    -------
    [1] the value as it came.

    Raises
    ------
    InvalidQuantity : anything else, NaN and infinity too.

    >>> positive("flow_l_min", 2.0)
    2.0
    """
    if not (isfinite(value) and value > 0):
        raise InvalidQuantity(name, value, "a number above 0")
    return value


def not_negative(name: str, value: float) -> float:
    """Return value when it is finite and 0 or more; refuse it otherwise.

    Parameters
    ----------
    name : of the quantity, for the sentence of a refusal.
    value : [1] in whatever unit the name says.

    Returns
    -------
    [1] the value as it came.

    Raises
    ------
    InvalidQuantity : anything else, NaN and infinity too.

    >>> not_negative("leak_l_min", 0.0)
    0.0
    """
    if not (isfinite(value) and value >= 0):
        raise InvalidQuantity(name, value, "0 or more")
    return value


def within(name: str, value: float, low: float, high: float) -> float:
    """Return value when low <= value <= high; refuse it otherwise (NaN too).

    Parameters
    ----------
    name : of the quantity, for the sentence of a refusal.
    value : [1] in whatever unit the name says.
    low : [1] least allowed.
    high : [1] most allowed.

    Returns
    -------
    [1] the value as it came.

    Raises
    ------
    InvalidQuantity : anything else, NaN and infinity too.

    >>> within("oxygen_fraction", 0.4, 0.21, 1.0)
    0.4
    """
    if not low <= value <= high:
        raise InvalidQuantity(name, value, f"between {low:g} and {high:g}")
    return value


def each_said(thing: object, guard: Callable[[str, float], object], *names: str) -> None:
    """Hold each field of a thing that somebody has filled to a guard.

    Parameters
    ----------
    thing : whose fields are looked at.
    guard : `positive` or `not_negative`, or another of name and value.
    names : of the fields; one that holds None was not said and is passed over.

    Raises
    ------
    InvalidQuantity : from the guard, with the name of the field.

    >>> from types import SimpleNamespace
    >>> each_said(SimpleNamespace(mass_kg=1.0, hours_h=None), positive, "mass_kg", "hours_h")
    """
    for name in names:
        given = getattr(thing, name)
        if given is not None:
            guard(name, given)
