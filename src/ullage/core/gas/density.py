"""Density and compressibility factor: tables where they reach, the property library elsewhere."""

from functools import lru_cache

from ullage.core.checks import not_negative, positive
from ullage.core.errors import InvalidQuantity
from ullage.core.gas import _permanent, _vapour, properties, tables
from ullage.core.gas._arrays import Floats, inside
from ullage.core.gas.species import F70, Gas, ReferenceCondition
from ullage.core.units import STANDARD_ATMOSPHERE_KPA

__all__ = [
    "density_kg_m3",
    "density_many_kg_m3",
    "free_density_kg_m3",
    "litres_per_kg",
    "mass_kg",
    "z_factor",
    "z_factor_many",
]

#: The property library refuses pressures nearer than this share to saturation.
_AT_SATURATION = 2e-6


def density_kg_m3(gas: Gas, temperature_k: float, absolute_kpa: float) -> float:
    """Density of a real gas; of the vapour at the saturation pressure itself.

    Parameters
    ----------
    gas : which one.
    temperature_k : [K] above 0; tables reach from 233.15 to 343.15.
    absolute_kpa : [kPa] absolute, 0 or more; tables reach to 31 500, or to saturation.

    Returns
    -------
    [kg/m³]

    Raises
    ------
    InvalidQuantity : a number not above 0, or a temperature that no equation covers.
    SolveFailed : outside the tables, a state that the equation of state does not cover.

    Source: coolprop (density at pressure and temperature, in tables of our own).

    >>> round(density_kg_m3(Gas.OXYGEN, 294.2611, 101.325), 4)
    1.3261
    """
    positive("temperature_k", temperature_k)
    if not_negative("absolute_kpa", absolute_kpa) == 0.0:
        return 0.0
    if _permanent.covered(gas, temperature_k, absolute_kpa):
        packed = _permanent.packing(gas, temperature_k, absolute_kpa)
        return 1000.0 * packed / tables.SPECIFIC_GAS_CONSTANT_J_KG_K[gas]
    if _vapour.line_covered(gas, temperature_k):
        saturation = _vapour.line(gas, "kpa", temperature_k)
        if absolute_kpa <= saturation * (1.0 + _AT_SATURATION):
            return _vapour.vapour_kg_m3(gas, temperature_k, absolute_kpa)
    elif tables.LOW_K <= temperature_k < tables.CRITICAL_K[gas]:
        saturation = properties.saturation_reference_kpa(gas, temperature_k)
        if abs(absolute_kpa / saturation - 1.0) <= _AT_SATURATION:
            return properties.saturated_vapour_reference_kg_m3(gas, temperature_k)
    return properties.density_reference_kg_m3(gas, temperature_k, absolute_kpa)


def z_factor(gas: Gas, temperature_k: float, absolute_kpa: float) -> float:
    """Compressibility factor: how much more room a real gas takes than an ideal one.

    Parameters
    ----------
    gas : which one.
    temperature_k : [K] above 0; tables reach from 233.15 to 343.15.
    absolute_kpa : [kPa] absolute, 0 or more; tables reach to 31 500, or to saturation.

    Returns
    -------
    [1] 1 for an ideal gas; below it, the cylinder holds more than the ideal law says.

    Raises
    ------
    InvalidQuantity : a number not above 0, or a temperature that no equation covers.
    SolveFailed : outside the tables, a state that the equation of state does not cover.

    Source: coolprop (density at pressure and temperature, in tables of our own).

    >>> round(z_factor(Gas.OXYGEN, 293.15, 13_891.0), 3)
    0.937
    """
    density = density_kg_m3(gas, temperature_k, absolute_kpa)
    if density == 0.0:
        return 1.0
    constant = tables.SPECIFIC_GAS_CONSTANT_J_KG_K[gas]
    return 1000.0 * absolute_kpa / (density * constant * temperature_k)


def density_many_kg_m3(
    gas: Gas, temperature_k: float | Floats, absolute_kpa: float | Floats
) -> Floats:
    """Density of a real gas at many points at once, within the tables.

    Parameters
    ----------
    gas : which one; of a liquefied gas the vapour up to saturation.
    temperature_k : [K] one or many, 233.15 to 343.15 (to 1 K under critical if liquefied).
    absolute_kpa : [kPa] one or many, absolute, 0 to 31 500 (to saturation if liquefied).

    Returns
    -------
    [kg/m³] of the shape that both give together.

    Raises
    ------
    InvalidQuantity : a point outside the tables, or not a number.

    Source: coolprop (density at pressure and temperature, in tables of our own).

    >>> density_many_kg_m3(Gas.OXYGEN, 294.2611, [101.325, 202.65]).round(3)
    array([1.326, 2.654])
    """
    import numpy as np

    kelvin, pressure = np.asarray(temperature_k, float), np.asarray(absolute_kpa, float)
    shape = np.broadcast_shapes(kelvin.shape, pressure.shape)
    if gas.liquefied:
        flat = (np.broadcast_to(one, shape).ravel() for one in (kelvin, pressure))
        return _vapour_many(gas, *flat).reshape(shape)
    inside("temperature_k", kelvin, tables.LOW_K, tables.HIGH_K)
    inside("absolute_kpa", pressure, 0.0, tables.HIGH_KPA)
    if kelvin.size > 1:
        kelvin = np.broadcast_to(kelvin, shape)
    packed = _permanent.packing_many(gas, kelvin.ravel(), np.broadcast_to(pressure, shape).ravel())
    packed *= 1000.0 / tables.SPECIFIC_GAS_CONSTANT_J_KG_K[gas]
    return packed.reshape(shape)


def z_factor_many(gas: Gas, temperature_k: float | Floats, absolute_kpa: float | Floats) -> Floats:
    """Compressibility factor at many points at once, within the tables.

    Parameters
    ----------
    gas : which one; of a liquefied gas the vapour up to saturation.
    temperature_k : [K] one or many, 233.15 to 343.15 (to 1 K under critical if liquefied).
    absolute_kpa : [kPa] one or many, absolute, above 0, to 31 500 (or to saturation).

    Returns
    -------
    [1] of the shape that both give together.

    Raises
    ------
    InvalidQuantity : a point outside the tables, or not a number.

    Source: coolprop (density at pressure and temperature, in tables of our own).

    >>> z_factor_many(Gas.AIR, 293.15, [6996.1, 13_890.8]).round(2)
    array([0.99, 1.  ])
    """
    import numpy as np

    kelvin, pressure = np.asarray(temperature_k, float), np.asarray(absolute_kpa, float)
    inside("absolute_kpa", pressure, 1e-6, tables.HIGH_KPA)
    density = density_many_kg_m3(gas, kelvin, pressure)
    constant = tables.SPECIFIC_GAS_CONSTANT_J_KG_K[gas]
    return np.asarray(1000.0 * pressure / (density * constant * kelvin))


def free_density_kg_m3(gas: Gas, condition: ReferenceCondition = F70) -> float:
    """Density of free gas, dry, at one standard atmosphere.

    Parameters
    ----------
    gas : which one.
    condition : the temperature at which a litre is counted.

    Returns
    -------
    [kg/m³]

    Source: coolprop (density at pressure and temperature, in tables of our own).

    >>> round(free_density_kg_m3(Gas.NITROUS_OXIDE), 4)
    1.8332
    """
    return _free(gas, condition.temperature_k)


def litres_per_kg(gas: Gas, condition: ReferenceCondition = F70) -> float:
    """Free gas that one kilogram makes, dry, at one standard atmosphere.

    Parameters
    ----------
    gas : which one.
    condition : the temperature at which a litre is counted.

    Returns
    -------
    [L/kg]

    Source: coolprop (density at pressure and temperature, in tables of our own).

    >>> round(litres_per_kg(Gas.NITROUS_OXIDE), 1)
    545.5
    """
    return 1000.0 / free_density_kg_m3(gas, condition)


def mass_kg(gas: Gas, free_l: float, condition: ReferenceCondition = F70) -> float:
    """Mass of a volume of free gas.

    Parameters
    ----------
    gas : which one.
    free_l : [L] dry, at one standard atmosphere, 0 or more.
    condition : the temperature at which a litre is counted.

    Returns
    -------
    [kg]

    Raises
    ------
    InvalidQuantity : a negative volume.

    Source: coolprop (density at pressure and temperature, in tables of our own).

    >>> round(mass_kg(Gas.NITROUS_OXIDE, 1590.0), 3)
    2.915
    """
    return not_negative("free_l", free_l) / litres_per_kg(gas, condition)


@lru_cache(maxsize=32)
def _free(gas: Gas, temperature_k: float) -> float:
    return density_kg_m3(gas, temperature_k, STANDARD_ATMOSPHERE_KPA)


def _vapour_many(gas: Gas, temperature_k: Floats, absolute_kpa: Floats) -> Floats:
    import numpy as np

    highest_k = tables.CRITICAL_K[gas] - tables.BELOW_CRITICAL_K
    inside("temperature_k", temperature_k, tables.LOW_K, highest_k)
    saturation = _vapour.line_many(gas, "kpa", temperature_k) * (1.0 + _AT_SATURATION)
    over = ~((absolute_kpa >= 0.0) & (absolute_kpa <= saturation))
    if np.any(over):
        at = int(np.argmax(over))
        allowed = f"between 0 and the saturation pressure, {saturation[at]:g}"
        raise InvalidQuantity("absolute_kpa", float(absolute_kpa[at]), allowed)
    return _vapour.vapour_many_kg_m3(gas, temperature_k, absolute_kpa)
