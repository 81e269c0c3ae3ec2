"""Fresh gas flow by weight, by minute volume, by peak flow, and for several places."""

from math import pi

from ullage.core.checks import not_negative, positive

__all__ = [
    "flow_by_minute_volume_l_min",
    "flow_by_weight_l_min",
    "manifold_flow_l_min",
    "peak_inspiratory_flow_l_min",
]


def flow_by_weight_l_min(weight_kg: float, flow_l_min_kg: float, least_l_min: float = 0.0) -> float:
    """Fresh gas flow of a rule that goes by weight, never under its floor.

    Parameters
    ----------
    weight_kg : [kg] above 0.
    flow_l_min_kg : [L/min/kg] of the rule, above 0.
    least_l_min : [L/min] floor of the rule, 0 for none.

    Returns
    -------
    [L/min]

    Raises
    ------
    InvalidQuantity : a weight or flow not above 0, or a floor below 0.

    Source: machine_S02 (200 mL/kg/min, never under 0.5 L/min).

    >>> flow_by_weight_l_min(1.0, 0.2, 0.5), round(flow_by_weight_l_min(4.0, 0.2, 0.5), 3)
    (0.5, 0.8)
    """
    positive("weight_kg", weight_kg)
    positive("flow_l_min_kg", flow_l_min_kg)
    return max(not_negative("least_l_min", least_l_min), weight_kg * flow_l_min_kg)


def flow_by_minute_volume_l_min(minute_volume_l_min: float, multiple: float) -> float:
    """Fresh gas flow of a rule that goes by minute volume.

    Parameters
    ----------
    minute_volume_l_min : [L/min] above 0.
    multiple : [1] above 0.

    Returns
    -------
    [L/min]

    Raises
    ------
    InvalidQuantity : a value not above 0.

    Source: machine_S13 (multiples of the minute volume by class of system).

    >>> flow_by_minute_volume_l_min(0.8, 2.5)
    2.0
    """
    return positive("minute_volume_l_min", minute_volume_l_min) * positive("multiple", multiple)


def peak_inspiratory_flow_l_min(
    minute_volume_l_min: float, expiration_over_inspiration: float
) -> float:
    """Largest flow of a sine-shaped breath: what a mask without a reservoir must deliver.

    Parameters
    ----------
    minute_volume_l_min : [L/min] above 0.
    expiration_over_inspiration : [1] 1 for equal times, 2 for 1:2; above 0.

    Returns
    -------
    [L/min]

    Raises
    ------
    InvalidQuantity : a value not above 0.

    Source: machine_base (section 1.5, derived).

    >>> round(peak_inspiratory_flow_l_min(1.0, 1.0), 1), round(peak_inspiratory_flow_l_min(1, 2), 1)
    (3.1, 4.7)
    """
    positive("minute_volume_l_min", minute_volume_l_min)
    positive("expiration_over_inspiration", expiration_over_inspiration)
    return pi / 2.0 * minute_volume_l_min * (1.0 + expiration_over_inspiration)


def manifold_flow_l_min(open_places: int, flow_per_place_l_min: float) -> float:
    """Fresh gas flow of a manifold that feeds several masks.

    Parameters
    ----------
    open_places : [1] places not closed, 1 or more.
    flow_per_place_l_min : [L/min] above 0.

    Returns
    -------
    [L/min] the sum; a place left open without an animal takes its share too.

    Raises
    ------
    InvalidQuantity : no place, or a flow not above 0.

    Source: machine_base (section 1.4, sum of ports).

    >>> manifold_flow_l_min(4, 0.25)
    1.0
    """
    positive("open_places", open_places)
    return open_places * positive("flow_per_place_l_min", flow_per_place_l_min)
