"""Sizes and times of a breathing system: bag, hoses, time constant, chamber."""

from collections.abc import Sequence
from math import exp, log, pi

from ullage.core.checks import not_negative, positive, within
from ullage.core.errors import InvalidQuantity

__all__ = [
    "bag_volume_l",
    "chamber_fraction",
    "hose_volume_l",
    "minutes_to_share_min",
    "next_size_l",
    "time_constant_min",
]


def bag_volume_l(tidal_volume_l: float, multiple: float) -> float:
    """Volume of the reservoir bag for a breath of this size.

    Parameters
    ----------
    tidal_volume_l : [L] above 0.
    multiple : [1] how many breaths it holds, above 0; 4 to 6 is taught.

    Returns
    -------
    [L] before rounding up to a size that is sold.

    Raises
    ------
    InvalidQuantity : a volume or multiple not above 0.

    Source: machine_S37 (6 times the tidal volume).

    >>> bag_volume_l(0.25, 6.0)
    1.5
    """
    return positive("tidal_volume_l", tidal_volume_l) * positive("multiple", multiple)


def next_size_l(volume_l: float, sizes_l: Sequence[float]) -> float:
    """The smallest size sold that holds a volume.

    Parameters
    ----------
    volume_l : [L] above 0.
    sizes_l : [L] sizes sold, in any order.

    Returns
    -------
    [L] one of the sizes.

    Raises
    ------
    InvalidQuantity : a volume above the largest size.

    Source: machine_S37 (round up).

    >>> next_size_l(1.5, (0.5, 1.0, 2.0, 3.0, 5.0))
    2.0
    """
    positive("volume_l", volume_l)
    fitting = [size for size in sizes_l if size >= volume_l - 1e-9]
    if not fitting:
        raise InvalidQuantity("volume_l", volume_l, f"at most {max(sizes_l, default=0):g} L")
    return min(fitting)


def hose_volume_l(bore_mm: float, length_m: float, corrugation_share: float = 0.0) -> float:
    """Gas in a hose.

    Parameters
    ----------
    bore_mm : [mm] inner diameter, above 0.
    length_m : [m] above 0.
    corrugation_share : [1] what corrugation adds to a smooth hose, 0 or more.

    Returns
    -------
    [L]

    Raises
    ------
    InvalidQuantity : a size not above 0, or a share below 0.

    Source: arithmetic.

    >>> round(hose_volume_l(22.0, 3.0), 2)
    1.14
    """
    positive("bore_mm", bore_mm)
    positive("length_m", length_m)
    not_negative("corrugation_share", corrugation_share)
    area_dm2 = pi / 4.0 * (bore_mm / 100.0) ** 2
    return area_dm2 * length_m * 10.0 * (1.0 + corrugation_share)


def time_constant_min(volume_l: float, flow_l_min: float) -> float:
    """Time in which 63 % of a change of fresh gas has reached a well-mixed volume.

    Parameters
    ----------
    volume_l : [L] above 0.
    flow_l_min : [L/min] fresh gas, above 0.

    Returns
    -------
    [min]

    Raises
    ------
    InvalidQuantity : a volume or flow not above 0.

    Source: arithmetic.

    >>> round(time_constant_min(49.26, 3.0), 1)
    16.4
    """
    return positive("volume_l", volume_l) / positive("flow_l_min", flow_l_min)


def minutes_to_share_min(volume_l: float, flow_l_min: float, share: float) -> float:
    """Time in which a share of a change of fresh gas has reached a well-mixed volume.

    Parameters
    ----------
    volume_l : [L] above 0.
    flow_l_min : [L/min] fresh gas, above 0.
    share : [1] from 0 to below 1.

    Returns
    -------
    [min]

    Raises
    ------
    InvalidQuantity : a volume or flow not above 0, or a share out of range.

    Source: arithmetic.

    >>> round(minutes_to_share_min(7.0, 0.5, 0.95), 1)
    41.9
    """
    within("share", share, 0.0, 0.999999)
    return -log(1.0 - share) * time_constant_min(volume_l, flow_l_min)


def chamber_fraction(
    delivered_fraction: float, volume_l: float, flow_l_min: float, after_min: float
) -> float:
    """Concentration in a well-mixed chamber that began free of agent.

    Parameters
    ----------
    delivered_fraction : [1] in the fresh gas, 0 to 1.
    volume_l : [L] above 0.
    flow_l_min : [L/min] above 0.
    after_min : [min] since the flow began, 0 or more.

    Returns
    -------
    [1] the mean; layers near the floor or the lid may differ from it.

    Raises
    ------
    InvalidQuantity : a value out of range.

    Source: uptake_base (equation 12).

    >>> round(chamber_fraction(0.05, 4.0, 2.0, 2.0), 4)
    0.0316
    """
    within("delivered_fraction", delivered_fraction, 0.0, 1.0)
    not_negative("after_min", after_min)
    return delivered_fraction * (1.0 - exp(-after_min / time_constant_min(volume_l, flow_l_min)))
