"""What a hole lets through, what a falling gauge says, and how hot sudden pressure can make gas."""

from math import pi, sqrt

from ullage.core.checks import not_negative, positive, within
from ullage.core.errors import InvalidQuantity
from ullage.core.gas import tables
from ullage.core.gas.contents import contents_l
from ullage.core.gas.density import density_kg_m3, litres_per_kg
from ullage.core.gas.species import Gas
from ullage.core.units import STANDARD_ATMOSPHERE_KPA

__all__ = [
    "adiabatic_temperature_k",
    "choking_gauge_kpa",
    "contents_leak_l_min",
    "creep_kpa_min",
    "critical_pressure_ratio",
    "droop_share",
    "heat_capacity_ratio",
    "orifice_flow_l_min",
    "pressure_decay_leak_l_min",
]


def heat_capacity_ratio(gas: Gas) -> float:
    """Ratio of the heat capacities at 70 °F and one standard atmosphere.

    Parameters
    ----------
    gas : which one.

    Returns
    -------
    [1]

    Source: coolprop (heat capacities at pressure and temperature).

    >>> round(heat_capacity_ratio(Gas.OXYGEN), 2)
    1.4
    """
    return tables.HEAT_CAPACITY_RATIO[gas]


def critical_pressure_ratio(heat_capacity_ratio: float) -> float:
    """Pressure behind a hole over pressure before it, below which the flow is choked.

    Parameters
    ----------
    heat_capacity_ratio : [1] of the gas, above 1.

    Returns
    -------
    [1] of absolute pressures.

    Raises
    ------
    InvalidQuantity : a ratio not above 1.

    Source: supply_S59 (choked flow of gases).

    >>> round(critical_pressure_ratio(1.395), 3)
    0.529
    """
    k = _above_one(heat_capacity_ratio)
    return float((2.0 / (k + 1.0)) ** (k / (k - 1.0)))


def choking_gauge_kpa(
    heat_capacity_ratio: float, ambient_kpa: float = STANDARD_ATMOSPHERE_KPA
) -> float:
    """Gauge pressure above which a hole to the open air is choked.

    Parameters
    ----------
    heat_capacity_ratio : [1] of the gas, above 1.
    ambient_kpa : [kPa] barometric pressure at the place, above 0.

    Returns
    -------
    [kPa] gauge; above it the leak grows with the pressure before the hole alone.

    Raises
    ------
    InvalidQuantity : a ratio not above 1, a pressure not above 0.

    Source: supply_S59 (choked flow of gases).

    >>> round(choking_gauge_kpa(1.395) / 6.894757, 1)
    13.1
    """
    positive("ambient_kpa", ambient_kpa)
    return ambient_kpa / critical_pressure_ratio(heat_capacity_ratio) - ambient_kpa


def orifice_flow_l_min(
    gas: Gas,
    diameter_mm: float,
    discharge_coefficient: float,
    gauge_kpa: float,
    temperature_k: float,
    ambient_kpa: float = STANDARD_ATMOSPHERE_KPA,
) -> float:
    """Free gas that a round hole lets out into the room.

    Parameters
    ----------
    gas : which one.
    diameter_mm : [mm] of the hole, above 0.
    discharge_coefficient : [1] 0.61 to 0.65 for a sharp edge, about 0.72 for a leak, 1 at most.
    gauge_kpa : [kPa] gauge before the hole, 0 or more.
    temperature_k : [K] of the gas before the hole.
    ambient_kpa : [kPa] barometric pressure at the place, above 0.

    Returns
    -------
    [L/min] at 70 °F and one standard atmosphere; too low by 2 % at 70 bar, 5 % at 140 bar.

    Raises
    ------
    InvalidQuantity : a number outside its range.

    Source: supply_S59 (choked and subcritical flow, with the real density before the hole).

    >>> round(orifice_flow_l_min(Gas.OXYGEN, 0.5, 0.61, 344.74, 294.2611), 1)
    6.0
    """
    positive("diameter_mm", diameter_mm)
    within("discharge_coefficient", discharge_coefficient, 0.0, 1.0)
    not_negative("gauge_kpa", gauge_kpa)
    before_kpa = gauge_kpa + positive("ambient_kpa", ambient_kpa)
    k = heat_capacity_ratio(gas)
    share = max(ambient_kpa / before_kpa, critical_pressure_ratio(k))
    wide_m2 = pi / 4.0 * (diameter_mm / 1000.0) ** 2
    driving = 2.0 * density_kg_m3(gas, temperature_k, before_kpa) * before_kpa * 1000.0
    expands = k / (k - 1.0) * (share ** (2.0 / k) - share ** ((k + 1.0) / k))
    kg_s = discharge_coefficient * wide_m2 * sqrt(driving * max(expands, 0.0))
    return kg_s * 60.0 * litres_per_kg(gas)


def pressure_decay_leak_l_min(
    volume_l: float,
    fall_kpa: float,
    elapsed_min: float,
    ambient_kpa: float = STANDARD_ATMOSPHERE_KPA,
) -> float:
    """Leak of a closed section whose pressure falls, as an ideal gas of steady temperature.

    Parameters
    ----------
    volume_l : [L] trapped between the closed valve and the closed flow controls, above 0.
    fall_kpa : [kPa] by which the gauge fell, 0 or more.
    elapsed_min : [min] it took, above 0.
    ambient_kpa : [kPa] barometric pressure at the place, above 0.

    Returns
    -------
    [L/min] as the gas is in the room; the same fall means more with more volume.

    Raises
    ------
    InvalidQuantity : a number outside its range.

    Source: supply_S62 (leak by pressure decay).

    >>> round(1000.0 * pressure_decay_leak_l_min(0.05, 689.48, 5.0))
    68
    """
    positive("volume_l", volume_l)
    positive("elapsed_min", elapsed_min)
    pressures = not_negative("fall_kpa", fall_kpa) / positive("ambient_kpa", ambient_kpa)
    return volume_l * pressures / elapsed_min


def contents_leak_l_min(
    gas: Gas,
    volume_l: float,
    gauge_kpa: float,
    later_gauge_kpa: float,
    temperature_k: float,
    elapsed_min: float,
) -> float:
    """Leak of a closed volume between two readings at one temperature, as a real gas.

    Parameters
    ----------
    gas : which one; a liquefied gas is answered only where no liquid can remain.
    volume_l : [L] closed off: with the valve open, the water capacity of the cylinder too.
    gauge_kpa : [kPa] gauge at first, 0 to 31 000.
    later_gauge_kpa : [kPa] gauge later; above the first the result is negative: a warmer room?
    temperature_k : [K] at both readings, 233.15 to 343.15.
    elapsed_min : [min] between the readings, above 0.

    Returns
    -------
    [L/min] at 70 °F and one standard atmosphere.

    Raises
    ------
    InvalidQuantity : a number outside its range.
    GaugeCannotTell : a liquefied gas of which liquid may remain.

    Source: coolprop (difference of two contents).

    >>> round(contents_leak_l_min(Gas.OXYGEN, 4.76, 13_789.5, 13_100.0, 293.15, 5.0), 1)
    7.1
    """
    positive("elapsed_min", elapsed_min)
    first = contents_l(gas, volume_l, gauge_kpa, temperature_k)
    later = contents_l(gas, volume_l, later_gauge_kpa, temperature_k)
    return (first - later) / elapsed_min


def droop_share(still_kpa: float, flowing_kpa: float) -> float:
    """How much of its outlet pressure a regulator loses when gas flows.

    Parameters
    ----------
    still_kpa : [kPa] gauge at the outlet with no flow, above 0.
    flowing_kpa : [kPa] gauge at the outlet at working flow, 0 or more.

    Returns
    -------
    [1] share of the pressure with no flow; negative where it rises.

    Raises
    ------
    InvalidQuantity : a pressure outside its range.

    Source: definitions (fall over the pressure with no flow).

    >>> droop_share(400.0, 380.0)
    0.05
    """
    flowing = not_negative("flowing_kpa", flowing_kpa)
    return (positive("still_kpa", still_kpa) - flowing) / still_kpa


def creep_kpa_min(first_kpa: float, later_kpa: float, elapsed_min: float) -> float:
    """How fast the outlet pressure of a regulator climbs while nothing flows.

    Parameters
    ----------
    first_kpa : [kPa] gauge at the outlet, 0 or more.
    later_kpa : [kPa] gauge at the outlet later, 0 or more.
    elapsed_min : [min] between the two, above 0.

    Returns
    -------
    [kPa/min] above 0 where gas leaks through inside; below 0 where it leaks out.

    Raises
    ------
    InvalidQuantity : a number outside its range.

    Source: definitions (change of pressure over time).

    >>> creep_kpa_min(350.0, 360.0, 5.0)
    2.0
    """
    change_kpa = not_negative("later_kpa", later_kpa) - not_negative("first_kpa", first_kpa)
    return change_kpa / positive("elapsed_min", elapsed_min)


def adiabatic_temperature_k(
    heat_capacity_ratio: float, start_temperature_k: float, start_kpa: float, end_kpa: float
) -> float:
    """Upper bound of the temperature of gas that is compressed at once.

    Parameters
    ----------
    heat_capacity_ratio : [1] of the gas, above 1.
    start_temperature_k : [K] before, above 0.
    start_kpa : [kPa] absolute, before, above 0.
    end_kpa : [kPa] absolute, after, above 0.

    Returns
    -------
    [K] with no heat lost to the walls: why a cylinder valve is opened slowly.

    Raises
    ------
    InvalidQuantity : a number outside its range.

    Source: ideal_gas (adiabatic compression).

    >>> round(adiabatic_temperature_k(1.395, 294.2611, 101.325, 13_994.3) - 273.15)
    915
    """
    k = _above_one(heat_capacity_ratio)
    positive("start_temperature_k", start_temperature_k)
    squeezed = positive("end_kpa", end_kpa) / positive("start_kpa", start_kpa)
    return float(start_temperature_k * squeezed ** ((k - 1.0) / k))


def _above_one(heat_capacity_ratio: float) -> float:
    if not positive("heat_capacity_ratio", heat_capacity_ratio) > 1.0:
        raise InvalidQuantity("heat_capacity_ratio", heat_capacity_ratio, "a number above 1")
    return heat_capacity_ratio
