"""Float flowmeters: where a float is read, and what the reading means elsewhere.

High in the tube the float stands in a gap like an orifice and density governs; low in the
tube the gap is like a long pipe and viscosity governs. In between, the truth lies between
the two factors. A reading also carries the error of the tube itself.
"""

from enum import StrEnum
from math import sqrt

from ullage.core.checks import not_negative, positive
from ullage.core.errors import UnknownReference
from ullage.core.gas import tables
from ullage.core.gas.density import free_density_kg_m3
from ullage.core.gas.species import F70, Gas
from ullage.core.units import STANDARD_ATMOSPHERE_KPA

__all__ = [
    "FloatShape",
    "ambient_flow_factor",
    "low_flow_gas_factor",
    "reading_place",
    "standard_flow_factor",
    "standard_flow_l_min",
    "wrong_gas_factor",
]


class FloatShape(StrEnum):
    """The body that floats in the tube."""

    BALL = "ball"
    BOBBIN = "bobbin"


def reading_place(shape: FloatShape) -> str:
    """The part of the float that is held against the scale.

    Source: supply_S74 (a ball at its centre, a bobbin or other float at its top).

    >>> reading_place(FloatShape.BALL), reading_place(FloatShape.BOBBIN)
    ('centre', 'top')
    """
    return "centre" if shape is FloatShape.BALL else "top"


def ambient_flow_factor(
    tube_kpa: float,
    temperature_k: float = F70.temperature_k,
    calibrated_kpa: float = STANDARD_ATMOSPHERE_KPA,
    calibrated_k: float = F70.temperature_k,
) -> float:
    """True volume flow, as it is in the tube, over the flow indicated.

    Parameters
    ----------
    tube_kpa : [kPa] absolute, of the gas in the tube: at the outlet, the barometric pressure.
    temperature_k : [K] of the gas in the tube, above 0.
    calibrated_kpa : [kPa] absolute, for which the scale was made.
    calibrated_k : [K] for which the scale was made.

    Returns
    -------
    [1] above 1 at altitude: more litres pass than the scale says, but thin ones.

    Raises
    ------
    InvalidQuantity : a pressure or temperature not above 0.

    Source: supply_S55 (square root of the ratio of densities; upper part of the tube).

    >>> round(ambient_flow_factor(83.4), 3)
    1.102
    """
    thinner = positive("calibrated_kpa", calibrated_kpa) / positive("tube_kpa", tube_kpa)
    warmer = positive("temperature_k", temperature_k) / positive("calibrated_k", calibrated_k)
    return sqrt(thinner * warmer)


def standard_flow_factor(
    tube_kpa: float,
    temperature_k: float = F70.temperature_k,
    calibrated_kpa: float = STANDARD_ATMOSPHERE_KPA,
    calibrated_k: float = F70.temperature_k,
) -> float:
    """Free gas that leaves the cylinder over the flow indicated.

    Parameters
    ----------
    tube_kpa : [kPa] absolute, of the gas in the tube: at the outlet, the barometric pressure.
    temperature_k : [K] of the gas in the tube, above 0.
    calibrated_kpa : [kPa] absolute, for which the scale was made.
    calibrated_k : [K] for which the scale was made.

    Returns
    -------
    [1] below 1 at altitude: a cylinder lasts longer there than its flowmeter says.

    Raises
    ------
    InvalidQuantity : a pressure or temperature not above 0.

    Source: supply_S55 (square root of the ratio of densities; upper part of the tube).

    >>> round(standard_flow_factor(83.4), 3)
    0.907
    """
    return 1.0 / ambient_flow_factor(tube_kpa, temperature_k, calibrated_kpa, calibrated_k)


def wrong_gas_factor(tube_gas: Gas, gas: Gas) -> float:
    """True flow over the flow indicated when a tube carries a gas it was not made for.

    Parameters
    ----------
    tube_gas : for which the scale was made.
    gas : in the tube, at the same pressure and temperature.

    Returns
    -------
    [1] in the upper part of the tube only; see `low_flow_gas_factor` for the lower part.

    Source: supply_S55 (square root of the ratio of densities; upper part of the tube).

    >>> round(wrong_gas_factor(Gas.OXYGEN, Gas.AIR), 3)
    1.051
    """
    return sqrt(free_density_kg_m3(tube_gas) / free_density_kg_m3(gas))


def low_flow_gas_factor(tube_gas: Gas, gas: Gas) -> float:
    """The same factor in the lower part of the tube, where viscosity governs.

    Parameters
    ----------
    tube_gas : for which the scale was made.
    gas : in the tube, at the same pressure and temperature.

    Returns
    -------
    [1] ratio of the viscosities at 70 °F and one standard atmosphere.

    Raises
    ------
    UnknownReference : nitrous oxide, of which we hold no viscosity.

    Source: supply_S74 (viscosity governs low in the tube); coolprop (viscosities).

    >>> round(low_flow_gas_factor(Gas.OXYGEN, Gas.AIR), 2)
    1.11
    """
    for one in (tube_gas, gas):
        if one not in tables.VISCOSITY_PA_S:
            raise UnknownReference(
                f"No viscosity of {one} is held; its flow low in another gas's tube is not known."
            )
    return tables.VISCOSITY_PA_S[tube_gas] / tables.VISCOSITY_PA_S[gas]


def standard_flow_l_min(
    indicated_l_min: float,
    tube_kpa: float,
    temperature_k: float = F70.temperature_k,
    tube_gas: Gas = Gas.OXYGEN,
    gas: Gas = Gas.OXYGEN,
) -> float:
    """Free gas that really passes a tube made for 70 °F and one standard atmosphere.

    Parameters
    ----------
    indicated_l_min : [L/min] read on the scale, 0 or more.
    tube_kpa : [kPa] absolute, of the gas in the tube: at the outlet, the barometric pressure.
    temperature_k : [K] of the gas in the tube, above 0.
    tube_gas : for which the scale was made.
    gas : in the tube.

    Returns
    -------
    [L/min] at 70 °F and one standard atmosphere, in the upper part of the tube.

    Raises
    ------
    InvalidQuantity : a negative flow, a pressure or temperature not above 0.

    Source: supply_S55 (square root of the ratio of densities; upper part of the tube).

    >>> round(standard_flow_l_min(2.0, 83.4), 2)
    1.81
    """
    not_negative("indicated_l_min", indicated_l_min)
    there = standard_flow_factor(tube_kpa, temperature_k)
    return indicated_l_min * there * wrong_gas_factor(tube_gas, gas)
