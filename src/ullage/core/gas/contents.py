"""What a cylinder holds at a gauge reading, and what the gauge reads for a content.

Free gas in a cylinder = water capacity x density inside / density of free gas, the last
atmosphere included. Arrays go through the same tables as single numbers.
"""

from functools import partial

from ullage.core.checks import not_negative, positive, within
from ullage.core.errors import InvalidQuantity
from ullage.core.gas import _permanent, _vapour, liquefied, tables
from ullage.core.gas._arrays import Floats, inside
from ullage.core.gas.density import density_kg_m3, density_many_kg_m3, free_density_kg_m3
from ullage.core.gas.species import F70, Gas, ReferenceCondition
from ullage.core.units import STANDARD_ATMOSPHERE_KPA

__all__ = [
    "contents_l",
    "contents_many_l",
    "deliverable_l",
    "gauge_at_temperature_kpa",
    "gauge_kpa_from_contents",
    "gauge_kpa_from_contents_many",
    "ideal_contents_l",
    "volume_at_condition_l",
]

_HIGHEST_GAUGE_KPA = 31_000.0
_check_temperature = partial(within, "temperature_k", low=tables.LOW_K, high=tables.HIGH_K)
_check_ambient = partial(within, "ambient_kpa", low=30.0, high=120.0)


def contents_l(
    gas: Gas,
    water_capacity_l: float,
    gauge_kpa: float,
    temperature_k: float,
    ambient_kpa: float = STANDARD_ATMOSPHERE_KPA,
    condition: ReferenceCondition = F70,
) -> float:
    """Free gas in a cylinder, the last atmosphere included.

    Parameters
    ----------
    gas : which one; a liquefied gas is answered only where no liquid can remain.
    water_capacity_l : [L] volume of water that fills the cylinder, above 0.
    gauge_kpa : [kPa] gauge, 0 to 31 000.
    temperature_k : [K] of the gas in the cylinder, 233.15 to 343.15.
    ambient_kpa : [kPa] barometric pressure at the place, 30 to 120.
    condition : the temperature at which a litre is counted, at one standard atmosphere.

    Returns
    -------
    [L] dry free gas.

    Raises
    ------
    InvalidQuantity : a number outside its range.
    GaugeCannotTell : a liquefied gas of which liquid may remain.

    Source: coolprop (ratio of two densities).

    >>> round(contents_l(Gas.OXYGEN, 4.76, 13_100.0, 294.26))
    659
    """
    positive("water_capacity_l", water_capacity_l)
    within("gauge_kpa", gauge_kpa, 0.0, _HIGHEST_GAUGE_KPA)
    _check_temperature(value=temperature_k)
    _check_ambient(value=ambient_kpa)
    if gas.liquefied:
        return liquefied.vapour_contents_l(
            gas, water_capacity_l, gauge_kpa, temperature_k, ambient_kpa, condition
        )
    inside = density_kg_m3(gas, temperature_k, gauge_kpa + ambient_kpa)
    return water_capacity_l * inside / free_density_kg_m3(gas, condition)


def deliverable_l(
    gas: Gas,
    water_capacity_l: float,
    gauge_kpa: float,
    stop_gauge_kpa: float,
    temperature_k: float,
    ambient_kpa: float = STANDARD_ATMOSPHERE_KPA,
) -> float:
    """Free gas that a cylinder gives between two gauge readings at one temperature.

    Parameters
    ----------
    gas : which one; a liquefied gas is answered only where no liquid can remain.
    water_capacity_l : [L] volume of water that fills the cylinder, above 0.
    gauge_kpa : [kPa] gauge now, 0 to 31 000.
    stop_gauge_kpa : [kPa] gauge at which it is left, 0 or more; above the reading, nothing is left.
    temperature_k : [K] of the gas in the cylinder, 233.15 to 343.15.
    ambient_kpa : [kPa] barometric pressure at the place, 30 to 120.

    Returns
    -------
    [L] dry free gas at 70 °F and one standard atmosphere, never below 0.

    Raises
    ------
    InvalidQuantity : a number outside its range.
    GaugeCannotTell : a liquefied gas of which liquid may remain.

    Source: coolprop (ratio of two densities).

    >>> round(deliverable_l(Gas.OXYGEN, 4.76, 6894.8, 1379.0, 293.15))
    273
    """
    now = contents_l(gas, water_capacity_l, gauge_kpa, temperature_k, ambient_kpa)
    left = contents_l(gas, water_capacity_l, stop_gauge_kpa, temperature_k, ambient_kpa)
    return max(0.0, now - left)


def ideal_contents_l(
    water_capacity_l: float,
    gauge_kpa: float,
    temperature_k: float,
    ambient_kpa: float = STANDARD_ATMOSPHERE_KPA,
    condition: ReferenceCondition = F70,
) -> float:
    """Free gas in a cylinder by the ideal gas law, to show beside the real content.

    Parameters
    ----------
    water_capacity_l : [L] volume of water that fills the cylinder, above 0.
    gauge_kpa : [kPa] gauge, 0 to 31 000.
    temperature_k : [K] of the gas in the cylinder, above 0.
    ambient_kpa : [kPa] barometric pressure at the place, 30 to 120.
    condition : the temperature at which a litre is counted, at one standard atmosphere.

    Returns
    -------
    [L] dry free gas; oxygen really holds about 6 % more when full.

    Raises
    ------
    InvalidQuantity : a number outside its range.

    Source: arithmetic (ideal gas: ratio of pressure over temperature).

    >>> round(ideal_contents_l(1.0, 15_168.5, 294.2611), 1)
    150.7
    """
    positive("water_capacity_l", water_capacity_l)
    within("gauge_kpa", gauge_kpa, 0.0, _HIGHEST_GAUGE_KPA)
    positive("temperature_k", temperature_k)
    pressures = (gauge_kpa + _check_ambient(value=ambient_kpa)) / STANDARD_ATMOSPHERE_KPA
    return water_capacity_l * pressures * condition.temperature_k / temperature_k


def gauge_kpa_from_contents(
    gas: Gas,
    water_capacity_l: float,
    contents_l: float,
    temperature_k: float,
    ambient_kpa: float = STANDARD_ATMOSPHERE_KPA,
    condition: ReferenceCondition = F70,
) -> float:
    """Gauge reading of a cylinder that holds so much free gas.

    Parameters
    ----------
    gas : which one; a liquefied gas with liquid left stands at its saturation pressure.
    water_capacity_l : [L] volume of water that fills the cylinder, above 0.
    contents_l : [L] dry free gas, the last atmosphere included, 0 or more.
    temperature_k : [K] of the gas in the cylinder, 233.15 to 343.15.
    ambient_kpa : [kPa] barometric pressure at the place, 30 to 120.
    condition : the temperature at which a litre is counted, at one standard atmosphere.

    Returns
    -------
    [kPa] gauge; below 0 when less than the last atmosphere is left.

    Raises
    ------
    InvalidQuantity : more than the cylinder holds at the end of the tables.

    Source: coolprop (ratio of two densities, inverted).

    >>> round(gauge_kpa_from_contents(Gas.OXYGEN, 4.76, 659.4, 294.26), -1)
    13100.0
    """
    positive("water_capacity_l", water_capacity_l)
    not_negative("contents_l", contents_l)
    _check_temperature(value=temperature_k)
    _check_ambient(value=ambient_kpa)
    density = contents_l / water_capacity_l * free_density_kg_m3(gas, condition)
    if density == 0.0:
        return -ambient_kpa
    if gas.liquefied:
        return liquefied.filled_gauge_kpa(gas, density, temperature_k, ambient_kpa)
    packed = density * tables.SPECIFIC_GAS_CONSTANT_J_KG_K[gas] / 1000.0
    most = _permanent.packing(gas, temperature_k, tables.HIGH_KPA)
    if packed > most:
        allowed = (
            f"at most {contents_l * most / packed:.0f}, the content at {tables.HIGH_KPA:g} kPa"
        )
        raise InvalidQuantity("contents_l", contents_l, allowed)
    return temperature_k * _permanent.ratio_of_packing(gas, temperature_k, packed) - ambient_kpa


def gauge_at_temperature_kpa(
    gas: Gas,
    gauge_kpa: float,
    temperature_k: float,
    new_temperature_k: float,
    ambient_kpa: float = STANDARD_ATMOSPHERE_KPA,
) -> float:
    """Gauge reading of a closed cylinder once it has another temperature.

    Parameters
    ----------
    gas : which one; a liquefied gas is answered only where no liquid can remain.
    gauge_kpa : [kPa] gauge at the first temperature, 0 to 31 000.
    temperature_k : [K] at the first reading, 233.15 to 343.15.
    new_temperature_k : [K] at the second, 233.15 to 343.15.
    ambient_kpa : [kPa] barometric pressure at the place, 30 to 120.

    Returns
    -------
    [kPa] gauge of the same gas, none of it used.

    Raises
    ------
    InvalidQuantity : a number outside its range, or a pressure beyond the tables.
    GaugeCannotTell : a liquefied gas of which liquid may remain.

    Source: coolprop (equal densities at two temperatures).

    >>> round(gauge_at_temperature_kpa(Gas.OXYGEN, 15_168.5, 294.2611, 313.15), -2)
    16600.0
    """
    held = contents_l(gas, 1.0, gauge_kpa, temperature_k, ambient_kpa)
    _check_temperature(value=new_temperature_k)
    return gauge_kpa_from_contents(gas, 1.0, held, new_temperature_k, ambient_kpa)


def volume_at_condition_l(
    free_l: float, condition: ReferenceCondition, new_condition: ReferenceCondition
) -> float:
    """The same free gas counted at another reference temperature, as an ideal gas.

    Parameters
    ----------
    free_l : [L] dry free gas at the first condition, any finite number.
    condition : at which the litres were counted.
    new_condition : at which they are wanted.

    Returns
    -------
    [L] at the second condition; a real gas differs by at most 0.2 %.

    Source: arithmetic (ideal gas: ratio of absolute temperatures).

    >>> from ullage.core.gas.species import C15
    >>> round(volume_at_condition_l(1000.0, F70, C15), 1)
    979.2
    """
    return free_l * new_condition.temperature_k / condition.temperature_k


def contents_many_l(
    gas: Gas,
    water_capacity_l: float | Floats,
    gauge_kpa: float | Floats,
    temperature_k: float | Floats,
    ambient_kpa: float | Floats = STANDARD_ATMOSPHERE_KPA,
    condition: ReferenceCondition = F70,
) -> Floats:
    """Free gas at many gauge readings at once, the last atmosphere included.

    Parameters
    ----------
    gas : which one; a liquefied gas only where no liquid can remain.
    water_capacity_l : [L] one or many, volume of water that fills the cylinder.
    gauge_kpa : [kPa] one or many, gauge; readings below 0 are taken down to a vacuum.
    temperature_k : [K] one or many, of the gas in the cylinder, 233.15 to 343.15.
    ambient_kpa : [kPa] one or many, barometric pressure at the place.
    condition : the temperature at which a litre is counted, at one standard atmosphere.

    Returns
    -------
    [L] dry free gas, of the shape that all arrays give together.

    Raises
    ------
    InvalidQuantity : a point outside the tables, or not a number.

    Source: coolprop (ratio of two densities).

    >>> contents_many_l(Gas.OXYGEN, 4.76, [6894.8, 13_100.0], 294.2611).round()
    array([342., 659.])
    """
    import numpy as np

    held = density_many_kg_m3(gas, temperature_k, np.add(gauge_kpa, ambient_kpa))
    held *= 1.0 / free_density_kg_m3(gas, condition)
    return np.asarray(held * water_capacity_l)


def gauge_kpa_from_contents_many(
    gas: Gas,
    water_capacity_l: float | Floats,
    contents_l: float | Floats,
    temperature_k: float | Floats,
    ambient_kpa: float | Floats = STANDARD_ATMOSPHERE_KPA,
    condition: ReferenceCondition = F70,
) -> Floats:
    """Gauge readings of cylinders that hold so much free gas.

    Parameters
    ----------
    gas : which one of the gases that stay gas.
    water_capacity_l : [L] one or many, volume of water that fills the cylinder.
    contents_l : [L] one or many, dry free gas, the last atmosphere included, 0 or more.
    temperature_k : [K] one or many, of the gas in the cylinder, 233.15 to 343.15.
    ambient_kpa : [kPa] one or many, barometric pressure at the place.
    condition : the temperature at which a litre is counted, at one standard atmosphere.

    Returns
    -------
    [kPa] gauge, of the shape that all arrays give together.

    Raises
    ------
    InvalidQuantity : a point outside the tables, or not a number.

    Source: coolprop (ratio of two densities, inverted).

    >>> gauge_kpa_from_contents_many(Gas.OXYGEN, 4.76, [342.4, 659.4], 294.2611).round(-2)
    array([ 6900., 13100.])
    """
    import numpy as np

    kelvin = np.asarray(temperature_k, float)
    density = np.divide(contents_l, water_capacity_l) * free_density_kg_m3(gas, condition)
    shape = np.broadcast_shapes(kelvin.shape, density.shape)
    flat = np.broadcast_to(kelvin, shape).ravel() if kelvin.size > 1 else kelvin.ravel()
    absolute = _liquefied_many_kpa if gas.liquefied else _pressure_many_kpa
    found = absolute(gas, np.broadcast_to(density, shape).ravel(), flat)
    return np.asarray(found.reshape(shape) - ambient_kpa)


def _pressure_many_kpa(gas: Gas, density_kg_m3: Floats, temperature_k: Floats) -> Floats:
    import numpy as np

    inside("temperature_k", temperature_k, tables.LOW_K, tables.HIGH_K)
    packed = density_kg_m3 * tables.SPECIFIC_GAS_CONSTANT_J_KG_K[gas] / 1000.0
    ends = np.full(temperature_k.size, tables.HIGH_KPA)
    shares = packed / _permanent.packing_many(gas, temperature_k, ends)
    inside("contents over what the tables reach", shares, 0.0, 1.0)
    return temperature_k * _permanent.ratio_of_packing_many(gas, temperature_k, packed)


def _liquefied_many_kpa(gas: Gas, density_kg_m3: Floats, temperature_k: Floats) -> Floats:
    import numpy as np

    highest_k = tables.CRITICAL_K[gas] - tables.BELOW_CRITICAL_K
    inside("temperature_k", temperature_k, tables.LOW_K, highest_k)
    kelvin = np.broadcast_to(temperature_k, density_kg_m3.shape)
    full = density_kg_m3 / _vapour.line_many(gas, "liquid_kg_m3", kelvin)
    inside("contents over a cylinder full of liquid", full, 0.0, 1.0)
    return _vapour.closed_many_kpa(gas, density_kg_m3, kelvin)
