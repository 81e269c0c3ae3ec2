"""Powers of body weight: what a mouse and a horse have in common."""

from ullage.core.checks import positive, within

__all__ = ["exponent_between", "power_of_weight", "respiration_l_min"]


def power_of_weight(coefficient: float, exponent: float, weight_kg: float) -> float:
    """A coefficient times a power of body weight.

    Parameters
    ----------
    coefficient : [1] value at 1 kg, in the unit of the result, above 0.
    exponent : [1] from -1 to 2.
    weight_kg : [kg] above 0.

    Returns
    -------
    [1] in the unit of the coefficient.

    Raises
    ------
    InvalidQuantity : a coefficient or weight not above 0; an exponent out of range.

    Source: physiology_base (section 1).

    >>> round(power_of_weight(241.0, -0.25, 0.025))
    606
    """
    positive("coefficient", coefficient)
    positive("weight_kg", weight_kg)
    within("exponent", exponent, -1.0, 2.0)
    return float(coefficient * weight_kg**exponent)


def exponent_between(value: float, weight_kg: float, other: float, other_kg: float) -> float:
    """The exponent that carries one animal's value to that of another.

    Parameters
    ----------
    value : [1] of the first animal, above 0.
    weight_kg : [kg] of the first animal, above 0.
    other : [1] the same quantity of the second animal, above 0.
    other_kg : [kg] of the second animal, above 0 and not the weight of the first.

    Returns
    -------
    [1] the exponent.

    Raises
    ------
    InvalidQuantity : a value or weight not above 0; two equal weights.

    Source: arithmetic.

    >>> round(exponent_between(1.0, 1.0, 8.0, 16.0), 2)
    0.75
    """
    from math import log

    positive("value", value)
    positive("other", other)
    positive("weight_kg", weight_kg)
    positive("other_kg", other_kg)
    apart = log(other_kg / weight_kg)
    positive("difference of the weights", abs(apart))
    return log(other / value) / apart


def respiration_l_min(tidal_l: float, breaths_per_min: float) -> float:
    """Minute volume from tidal volume and rate.

    Parameters
    ----------
    tidal_l : [L] above 0.
    breaths_per_min : [/min] above 0.

    Returns
    -------
    [L/min] what is breathed in a minute.

    Raises
    ------
    InvalidQuantity : a volume or rate not above 0.

    Source: arithmetic.

    >>> respiration_l_min(0.04, 25.0)
    1.0
    """
    return positive("tidal_l", tidal_l) * positive("breaths_per_min", breaths_per_min)
