"""One breath: what of it reaches the alveoli, what equipment takes away, what is used up."""

from ullage.core.checks import not_negative, positive, within

__all__ = [
    "alveolar_ventilation_l_min",
    "co2_output_l_min",
    "dead_space_share",
    "minute_volume_from_alveolar_l_min",
    "most_dead_space_l",
]


def alveolar_ventilation_l_min(
    minute_volume_l_min: float, dead_space_fraction: float, apparatus_fraction: float = 0.0
) -> float:
    """What of the minute volume reaches the alveoli.

    Parameters
    ----------
    minute_volume_l_min : [L/min] 0 or more.
    dead_space_fraction : [1] dead space of the animal over tidal volume, 0 to 1.
    apparatus_fraction : [1] dead space of the equipment over tidal volume, 0 to 1.

    Returns
    -------
    [L/min] 0 when the dead spaces take the whole breath.

    Raises
    ------
    InvalidQuantity : a flow below 0, or a fraction out of range.

    Source: arithmetic.

    >>> round(alveolar_ventilation_l_min(10.0, 0.30), 2)
    7.0
    """
    not_negative("minute_volume_l_min", minute_volume_l_min)
    within("dead_space_fraction", dead_space_fraction, 0.0, 1.0)
    within("apparatus_fraction", apparatus_fraction, 0.0, 1.0)
    return minute_volume_l_min * max(0.0, 1.0 - dead_space_fraction - apparatus_fraction)


def minute_volume_from_alveolar_l_min(alveolar_l_min: float, dead_space_fraction: float) -> float:
    """The minute volume that an alveolar ventilation asks for.

    Parameters
    ----------
    alveolar_l_min : [L/min] above 0.
    dead_space_fraction : [1] dead space over tidal volume, 0 to below 1.

    Returns
    -------
    [L/min] above the alveolar ventilation.

    Raises
    ------
    InvalidQuantity : a flow not above 0, or a fraction out of range.

    Source: uptake_base (section 3.2).

    >>> round(minute_volume_from_alveolar_l_min(4.2, 0.30), 2)
    6.0
    """
    positive("alveolar_l_min", alveolar_l_min)
    within("dead_space_fraction", dead_space_fraction, 0.0, 0.95)
    return alveolar_l_min / (1.0 - dead_space_fraction)


def dead_space_share(dead_space_l: float, tidal_l: float) -> float:
    """Dead space over tidal volume.

    Parameters
    ----------
    dead_space_l : [L] of animal or equipment, 0 or more.
    tidal_l : [L] above 0.

    Returns
    -------
    [1] above 1 when the dead space is larger than the breath.

    Raises
    ------
    InvalidQuantity : a volume out of range.

    Source: arithmetic.

    >>> round(dead_space_share(0.01, 0.05), 2)
    0.2
    """
    return not_negative("dead_space_l", dead_space_l) / positive("tidal_l", tidal_l)


def most_dead_space_l(tidal_l: float, share: float) -> float:
    """The dead space that a share of the tidal volume allows to equipment.

    Parameters
    ----------
    tidal_l : [L] above 0.
    share : [1] allowed share of the tidal volume, 0 to 1.

    Returns
    -------
    [L] of the equipment.

    Raises
    ------
    InvalidQuantity : a volume or share out of range.

    Source: physiology_base (section 6).

    >>> round(most_dead_space_l(0.05, 0.20), 3)
    0.01
    """
    return positive("tidal_l", tidal_l) * within("share", share, 0.0, 1.0)


def co2_output_l_min(oxygen_use_l_min: float, quotient: float) -> float:
    """Carbon dioxide made, from oxygen used.

    Parameters
    ----------
    oxygen_use_l_min : [L/min] 0 or more.
    quotient : [1] respiratory quotient, 0.6 to 1.2.

    Returns
    -------
    [L/min] of carbon dioxide.

    Raises
    ------
    InvalidQuantity : a flow below 0, or a quotient out of range.

    Source: physiology_base (section 1).

    >>> round(co2_output_l_min(0.24, 0.8), 3)
    0.192
    """
    not_negative("oxygen_use_l_min", oxygen_use_l_min)
    return oxygen_use_l_min * within("quotient", quotient, 0.6, 1.2)
