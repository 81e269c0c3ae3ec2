"""Liquid oxygen: what a vessel holds as gas, and what it loses by standing."""

from ullage.core.checks import not_negative, positive, within
from ullage.core.errors import InvalidQuantity
from ullage.core.gas import tables
from ullage.core.gas.density import litres_per_kg
from ullage.core.gas.species import F70, Gas, ReferenceCondition

__all__ = [
    "liquid_oxygen_gas_l",
    "liquid_oxygen_kg",
    "liquid_oxygen_lasts_min",
    "liquid_oxygen_left_kg",
    "liquid_to_gas_ratio",
]

_DAY_MIN = 1440.0


def liquid_oxygen_kg(liquid_l: float) -> float:
    """Mass of liquid oxygen that boils at one standard atmosphere.

    Parameters
    ----------
    liquid_l : [L] of liquid, 0 or more; under pressure a litre is warmer and lighter.

    Returns
    -------
    [kg]

    Raises
    ------
    InvalidQuantity : a negative volume.

    Source: coolprop (density of the saturated liquid at one atmosphere).

    >>> round(liquid_oxygen_kg(1.0), 3)
    1.141
    """
    return not_negative("liquid_l", liquid_l) * tables.LIQUID_OXYGEN_KG_M3 / 1000.0


def liquid_to_gas_ratio(condition: ReferenceCondition = F70) -> float:
    """Litres of free gas from a litre of liquid oxygen that boils at one atmosphere.

    Parameters
    ----------
    condition : the temperature at which a litre of gas is counted.

    Returns
    -------
    [1]

    Source: coolprop (ratio of two densities).

    >>> from ullage.core.gas.species import C15
    >>> round(liquid_to_gas_ratio()), round(liquid_to_gas_ratio(C15))
    (861, 843)
    """
    return liquid_oxygen_kg(1.0) * litres_per_kg(Gas.OXYGEN, condition)


def liquid_oxygen_gas_l(liquid_l: float, condition: ReferenceCondition = F70) -> float:
    """Free gas that a volume of liquid oxygen makes.

    Parameters
    ----------
    liquid_l : [L] of liquid that boils at one atmosphere, 0 or more.
    condition : the temperature at which a litre of gas is counted.

    Returns
    -------
    [L] dry free gas.

    Raises
    ------
    InvalidQuantity : a negative volume.

    Source: coolprop (ratio of two densities).

    >>> round(liquid_oxygen_gas_l(30.0), -1)
    25820.0
    """
    return not_negative("liquid_l", liquid_l) * liquid_to_gas_ratio(condition)


def liquid_oxygen_left_kg(
    filled_kg: float, capacity_kg: float, daily_loss_share: float, elapsed_min: float
) -> float:
    """Liquid oxygen left in a vessel that only stands.

    Parameters
    ----------
    filled_kg : [kg] in it at first, 0 to the capacity.
    capacity_kg : [kg] of a full vessel, above 0.
    daily_loss_share : [1] of a full vessel lost by venting each day, 0 to 1.
    elapsed_min : [min] since then, 0 or more.

    Returns
    -------
    [kg] never below 0; the loss is steady, since the heat that enters is.

    Raises
    ------
    InvalidQuantity : a number outside its range.

    Source: arithmetic (a steady share of a full vessel each day).

    >>> round(liquid_oxygen_left_kg(30.0, 40.0, 0.015, 5 * 1440.0), 1)
    27.0
    """
    lost = _loss_kg_min(capacity_kg, daily_loss_share) * not_negative("elapsed_min", elapsed_min)
    return max(0.0, within("filled_kg", filled_kg, 0.0, capacity_kg) - lost)


def liquid_oxygen_lasts_min(
    filled_kg: float, capacity_kg: float, daily_loss_share: float, flow_l_min: float
) -> float:
    """How long liquid oxygen lasts when gas is drawn and the vessel vents all the same.

    Parameters
    ----------
    filled_kg : [kg] in it now, 0 to the capacity.
    capacity_kg : [kg] of a full vessel, above 0.
    daily_loss_share : [1] of a full vessel lost by venting each day, 0 to 1.
    flow_l_min : [L/min] drawn, at 70 °F and one standard atmosphere, 0 or more.

    Returns
    -------
    [min] the early end: gas drawn steadily takes the place of gas that would be vented.

    Raises
    ------
    InvalidQuantity : a number outside its range, or neither flow nor loss.

    Source: arithmetic (mass over the sum of both rates).

    >>> round(liquid_oxygen_lasts_min(30.0, 40.0, 0.015, 5.0) / 1440.0, 2)
    2.96
    """
    within("filled_kg", filled_kg, 0.0, positive("capacity_kg", capacity_kg))
    drawn = not_negative("flow_l_min", flow_l_min) / litres_per_kg(Gas.OXYGEN)
    rate = drawn + _loss_kg_min(capacity_kg, daily_loss_share)
    if rate == 0.0:
        raise InvalidQuantity("flow_l_min", flow_l_min, "above 0 where the vessel loses nothing")
    return filled_kg / rate


def _loss_kg_min(capacity_kg: float, daily_loss_share: float) -> float:
    within("daily_loss_share", daily_loss_share, 0.0, 1.0)
    return positive("capacity_kg", capacity_kg) * daily_loss_share / _DAY_MIN
