"""Leak of a breathing system from a test: what gives with pressure, how fast it falls, and why.

A leak lies between two laws: in step with pressure (a long narrow gap) and with its square root
(a hole). Both are closed forms of the same fall, so both are exact for their law.
"""

from math import log1p, sqrt

from ullage.core.checks import not_negative, positive, within
from ullage.core.units import STANDARD_ATMOSPHERE_KPA

__all__ = [
    "fall_leak_l_min",
    "filling_flow_l_min",
    "filling_min",
    "gas_compliance_l_kpa",
    "leak_in_step_l_min",
    "leak_through_hole_l_min",
    "measured_compliance_l_kpa",
    "parts_compliance_l_kpa",
    "pressure_hole_mean_kpa",
    "pressure_in_step_mean_kpa",
]


def gas_compliance_l_kpa(volume_l: float, ambient_kpa: float = STANDARD_ATMOSPHERE_KPA) -> float:
    """What the gas alone gives with pressure, at a steady temperature and in stiff walls.

    Parameters
    ----------
    volume_l : [L] of the closed system, above 0.
    ambient_kpa : [kPa] barometric pressure at the place, above 0.

    Returns
    -------
    [L/kPa] of free gas; at sea level 1 mL per cmH2O for each 1.033 L.

    Raises
    ------
    InvalidQuantity : a number not above 0.

    Source: ideal_gas (Boyle's law).

    >>> round(1000.0 * 0.0980665 * gas_compliance_l_kpa(5.0), 2)
    4.84
    """
    return positive("volume_l", volume_l) / positive("ambient_kpa", ambient_kpa)


def measured_compliance_l_kpa(injected_l: float, rise_kpa: float) -> float:
    """What a closed system gives with pressure, from gas pushed in by syringe.

    Parameters
    ----------
    injected_l : [L] of room air pushed in, above 0.
    rise_kpa : [kPa] by which the manometer rose, above 0.

    Returns
    -------
    [L/kPa] of gas, hoses and bag together.

    Raises
    ------
    InvalidQuantity : a number not above 0.

    Source: definitions (compliance is volume over pressure).

    >>> round(1000.0 * 0.0980665 * measured_compliance_l_kpa(0.05, 4 * 0.0980665), 3)
    12.5
    """
    return positive("injected_l", injected_l) / positive("rise_kpa", rise_kpa)


def parts_compliance_l_kpa(
    volume_l: float,
    hoses_l_kpa: float = 0.0,
    bag_l_kpa: float = 0.0,
    ambient_kpa: float = STANDARD_ATMOSPHERE_KPA,
) -> float:
    """What a closed system gives with pressure, as the sum of gas, hoses and bag.

    Parameters
    ----------
    volume_l : [L] of the closed system, above 0.
    hoses_l_kpa : [L/kPa] stretch of the hoses, 0 or more.
    bag_l_kpa : [L/kPa] stretch of the bag, 0 or more; it dominates where there is one.
    ambient_kpa : [kPa] barometric pressure at the place, above 0.

    Returns
    -------
    [L/kPa]

    Raises
    ------
    InvalidQuantity : a number outside its range.

    Source: ideal_gas; machine_S82 (hoses); trade_memory (bag).

    >>> round(1000.0 * 0.0980665 * parts_compliance_l_kpa(5.0, 0.0255, 0.2549), 1)
    32.3
    """
    stretch_l_kpa = not_negative("hoses_l_kpa", hoses_l_kpa) + not_negative("bag_l_kpa", bag_l_kpa)
    return gas_compliance_l_kpa(volume_l, ambient_kpa) + stretch_l_kpa


def fall_leak_l_min(
    compliance_l_kpa: float, start_kpa: float, end_kpa: float, elapsed_min: float
) -> float:
    """Mean leak while the pressure of a closed system falls: compliance times fall over time.

    Parameters
    ----------
    compliance_l_kpa : [L/kPa] of the closed system, above 0.
    start_kpa : [kPa] gauge at first, above 0.
    end_kpa : [kPa] gauge later, 0 to the first; a pressure that rises is no leak test.
    elapsed_min : [min] between the two, above 0.

    Returns
    -------
    [L/min] on average; it belongs to a pressure between the two.

    Raises
    ------
    InvalidQuantity : a number outside its range.

    Source: arithmetic (compliance times the rate of the fall).

    >>> round(1000.0 * fall_leak_l_min(0.025 / 0.0980665, 2.941995, 2.4516625, 10 / 60))
    750
    """
    positive("compliance_l_kpa", compliance_l_kpa)
    positive("elapsed_min", elapsed_min)
    end = within("end_kpa", end_kpa, 0.0, positive("start_kpa", start_kpa))
    return compliance_l_kpa * (start_kpa - end) / elapsed_min


def pressure_in_step_mean_kpa(start_kpa: float, end_kpa: float) -> float:
    """Pressure at which a leak in step with pressure equals its mean over a fall.

    Parameters
    ----------
    start_kpa : [kPa] gauge at first, above 0.
    end_kpa : [kPa] gauge later, above 0; such a leak never reaches 0.

    Returns
    -------
    [kPa] the logarithmic mean of the two.

    Raises
    ------
    InvalidQuantity : a pressure not above 0.

    Source: arithmetic (the pressure falls exponentially).

    >>> round(pressure_in_step_mean_kpa(30.0, 20.0), 2), pressure_in_step_mean_kpa(30.0, 30.0)
    (24.66, 30.0)
    """
    depth = (positive("start_kpa", start_kpa) - positive("end_kpa", end_kpa)) / start_kpa
    if abs(depth) < 1e-5:
        return start_kpa * (1.0 - depth / 2.0 - depth * depth / 12.0)
    return start_kpa * depth / -log1p(-depth)


def pressure_hole_mean_kpa(start_kpa: float, end_kpa: float) -> float:
    """Pressure at which a leak through a hole equals its mean over a fall.

    Parameters
    ----------
    start_kpa : [kPa] gauge at first, above 0.
    end_kpa : [kPa] gauge later, 0 or more.

    Returns
    -------
    [kPa] the square of the mean of the roots.

    Raises
    ------
    InvalidQuantity : a pressure outside its range.

    Source: arithmetic (the root of the pressure falls evenly).

    >>> round(pressure_hole_mean_kpa(30.0, 20.0), 2)
    24.75
    """
    roots = sqrt(positive("start_kpa", start_kpa)) + sqrt(not_negative("end_kpa", end_kpa))
    return (roots / 2.0) ** 2


def leak_in_step_l_min(leak_l_min: float, at_kpa: float, to_kpa: float) -> float:
    """A leak at another pressure, if it grows in step with pressure as through a long gap.

    Parameters
    ----------
    leak_l_min : [L/min] as measured, 0 or more.
    at_kpa : [kPa] gauge at which it was measured, above 0.
    to_kpa : [kPa] gauge at which it is wanted, 0 or more.

    Returns
    -------
    [L/min]

    Raises
    ------
    InvalidQuantity : a number outside its range.

    Source: machine_S80 (leaks of disposable circuits rise linearly with pressure).

    >>> leak_in_step_l_min(0.25, 20.0, 30.0)
    0.375
    """
    not_negative("leak_l_min", leak_l_min)
    return leak_l_min * not_negative("to_kpa", to_kpa) / positive("at_kpa", at_kpa)


def leak_through_hole_l_min(leak_l_min: float, at_kpa: float, to_kpa: float) -> float:
    """A leak at another pressure, if it grows with the root of pressure as through a hole.

    Parameters
    ----------
    leak_l_min : [L/min] as measured, 0 or more.
    at_kpa : [kPa] gauge at which it was measured, above 0.
    to_kpa : [kPa] gauge at which it is wanted, 0 or more.

    Returns
    -------
    [L/min]

    Raises
    ------
    InvalidQuantity : a number outside its range.

    Source: trade_memory (flow through an orifice).

    >>> round(leak_through_hole_l_min(0.25, 20.0, 30.0), 3)
    0.306
    """
    not_negative("leak_l_min", leak_l_min)
    return leak_l_min * sqrt(not_negative("to_kpa", to_kpa) / positive("at_kpa", at_kpa))


def filling_min(volume_l: float, flow_l_min: float) -> float:
    """Time in which a flow fills an empty bag whose outlet is shut.

    Parameters
    ----------
    volume_l : [L] at which the bag is full, above 0.
    flow_l_min : [L/min] into it, above 0.

    Returns
    -------
    [min] from empty until full; after that the pressure climbs.

    Raises
    ------
    InvalidQuantity : a number not above 0.

    Source: arithmetic.

    >>> round(60.0 * filling_min(0.5, 75.0), 2), filling_min(0.5, 1.0)
    (0.4, 0.5)
    """
    return positive("volume_l", volume_l) / positive("flow_l_min", flow_l_min)


def filling_flow_l_min(volume_l: float, elapsed_min: float) -> float:
    """Flow that filled an empty bag, from its volume and a timer.

    Parameters
    ----------
    volume_l : [L] at which the bag is full, above 0.
    elapsed_min : [min] from empty until full, above 0.

    Returns
    -------
    [L/min]

    Raises
    ------
    InvalidQuantity : a number not above 0.

    Source: arithmetic.

    >>> round(filling_flow_l_min(3.0, 4.0 / 60.0), 6)
    45.0
    """
    return positive("volume_l", volume_l) / positive("elapsed_min", elapsed_min)
