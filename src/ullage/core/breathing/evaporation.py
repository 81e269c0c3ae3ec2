"""A drop of liquid in a still chamber: how the level rises, and how much liquid a level takes."""

from math import exp

from ullage.core.checks import not_negative, positive, within

__all__ = ["evaporated_fraction", "liquid_for_level_ml"]


def evaporated_fraction(final_fraction: float, evaporation_min: float, after_min: float) -> float:
    """Mean level in a closed chamber while a drop of liquid evaporates.

    Parameters
    ----------
    final_fraction : [1] once all has evaporated, 0 to 1.
    evaporation_min : [min] time constant of the evaporation, above 0.
    after_min : [min] since the drop fell, 0 or more.

    Returns
    -------
    [1] the mean; vapour is heavy, so layers near the floor are richer and those above poorer.

    Raises
    ------
    InvalidQuantity : a value out of range.

    Source: uptake_base (equation 12, still chamber).

    >>> round(evaporated_fraction(0.027, 0.6, 1.0), 4)
    0.0219
    """
    within("final_fraction", final_fraction, 0.0, 1.0)
    positive("evaporation_min", evaporation_min)
    return final_fraction * (1.0 - exp(-not_negative("after_min", after_min) / evaporation_min))


def liquid_for_level_ml(
    volume_l: float, final_fraction: float, vapour_per_liquid_l_l: float
) -> float:
    """Liquid that brings a closed chamber to a level once all of it has evaporated.

    Parameters
    ----------
    volume_l : [L] of the chamber, above 0.
    final_fraction : [1] wanted, 0 to 1.
    vapour_per_liquid_l_l : [L/L] vapour of the liquid at the temperature of the chamber, above 0.

    Returns
    -------
    [mL] of liquid; nothing leaks and no animal takes any.

    Raises
    ------
    InvalidQuantity : a value out of range.

    Source: arithmetic.

    >>> round(liquid_for_level_ml(1.0, 0.0195, 195.0), 3)
    0.1
    """
    positive("volume_l", volume_l)
    within("final_fraction", final_fraction, 0.0, 1.0)
    return (
        1000.0
        * volume_l
        * final_fraction
        / positive("vapour_per_liquid_l_l", vapour_per_liquid_l_l)
    )
