"""What anaesthesia changes: ventilation, output of the heart, use of oxygen.

Two published forms of ventilation against depth stand side by side; neither is averaged away.
"""

from math import exp

from ullage.core.checks import not_negative, positive, within

__all__ = [
    "output_factor",
    "oxygen_use_factor",
    "pressure_factor",
    "ventilation_exponential_factor",
    "ventilation_linear_factor",
]


def ventilation_exponential_factor(
    depth: float, rate: float, apnoea_depth: float | None = None
) -> float:
    """Alveolar ventilation under anaesthesia over ventilation awake, exponential form.

    Parameters
    ----------
    depth : [1] multiple of MAC, 0 or more.
    rate : [1] how fast breathing falls with depth, 0 to 5.
    apnoea_depth : [1] multiple of MAC from which the animal does not breathe, above 0; none given:
        it always does.

    Returns
    -------
    [1] 0 to 1.

    Raises
    ------
    InvalidQuantity : a depth or rate out of range.

    Source: physiology_base (section 3, working rule of alveolar ventilation).

    >>> round(ventilation_exponential_factor(1.5, 0.65), 2)
    0.38
    """
    not_negative("depth", depth)
    within("rate", rate, 0.0, 5.0)
    if apnoea_depth is not None and depth >= positive("apnoea_depth", apnoea_depth):
        return 0.0
    return exp(-rate * depth)


def ventilation_linear_factor(depth: float, slope: float, floor: float = 0.05) -> float:
    """Alveolar ventilation under anaesthesia over ventilation awake, linear form.

    Parameters
    ----------
    depth : [1] multiple of MAC, 0 or more.
    slope : [1] share lost for each MAC, 0 to 1.
    floor : [1] least share, 0 to 1.

    Returns
    -------
    [1] floor to 1.

    Raises
    ------
    InvalidQuantity : a depth, slope or floor out of range.

    Source: uptake_base (equation 18).

    >>> ventilation_linear_factor(1.0, 0.35), ventilation_linear_factor(4.0, 0.35)
    (0.65, 0.05)
    """
    not_negative("depth", depth)
    within("slope", slope, 0.0, 1.0)
    within("floor", floor, 0.0, 1.0)
    return max(floor, 1.0 - slope * depth)


def output_factor(depth: float, slope: float, floor: float) -> float:
    """Output of the heart under anaesthesia over output awake.

    Parameters
    ----------
    depth : [1] multiple of MAC, 0 or more.
    slope : [1] share lost for each MAC, 0 to 1; larger when the animal is ventilated.
    floor : [1] least share, 0 to 1.

    Returns
    -------
    [1] floor to 1.

    Raises
    ------
    InvalidQuantity : a depth, slope or floor out of range.

    Source: physiology_base (section 3, working rules of cardiac output).

    >>> output_factor(1.0, 0.08, 0.5), output_factor(1.0, 0.20, 0.4)
    (0.92, 0.8)
    """
    return ventilation_linear_factor(depth, slope, floor)


def pressure_factor(depth: float, slope: float, floor: float) -> float:
    """Mean arterial pressure under anaesthesia over pressure awake.

    Parameters
    ----------
    depth : [1] multiple of MAC, 0 or more.
    slope : [1] share lost for each MAC, 0 to 1.
    floor : [1] least share, 0 to 1.

    Returns
    -------
    [1] floor to 1.

    Raises
    ------
    InvalidQuantity : a depth, slope or floor out of range.

    Source: physiology_base (section 3).

    >>> round(pressure_factor(1.2, 0.20, 0.4), 2)
    0.76
    """
    return ventilation_linear_factor(depth, slope, floor)


def oxygen_use_factor(
    anaesthetised_share: float, temperature_k: float, normal_k: float, q10: float
) -> float:
    """Oxygen used under anaesthesia over oxygen used awake at rest, cooling included.

    Parameters
    ----------
    anaesthetised_share : [1] at normal temperature, 0 to 1.
    temperature_k : [K] of the animal, 273.15 to 318.15.
    normal_k : [K] of the animal awake, 273.15 to 318.15.
    q10 : [1] factor for ten kelvin, 1 to 5.

    Returns
    -------
    [1] above 0.

    Raises
    ------
    InvalidQuantity : a share, temperature or factor out of range.

    Source: physiology_base (section 3: share times q10 to the tenth of the fall).

    >>> round(oxygen_use_factor(0.75, 306.15, 311.15, 2.0), 2)
    0.53
    """
    within("anaesthetised_share", anaesthetised_share, 0.0, 1.0)
    within("temperature_k", temperature_k, 273.15, 318.15)
    within("normal_k", normal_k, 273.15, 318.15)
    within("q10", q10, 1.0, 5.0)
    return float(anaesthetised_share * q10 ** ((temperature_k - normal_k) / 10.0))
