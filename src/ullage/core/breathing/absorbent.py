"""Carbon dioxide absorbent: capacity, hours left, and what a flow left on dries out."""

from ullage.core.checks import not_negative, positive, within

__all__ = ["absorbed_from_weight_l", "absorbent_capacity_l", "absorbent_life_h", "vented_fraction"]

#: Molar mass of carbon dioxide [g/mol] over 1000, and molar volume of an ideal gas at 0 °C.
_CO2_KG_MOL = 0.0440095
_MOLAR_VOLUME_L = 22.41396954
_ZERO_CELSIUS_K = 273.15


def absorbed_from_weight_l(gain_kg: float, temperature_k: float = 293.15) -> float:
    """Carbon dioxide that a gain of weight stands for.

    Parameters
    ----------
    gain_kg : [kg] 0 or more.
    temperature_k : [K] at which litres are counted, above 0.

    Returns
    -------
    [L] at one atmosphere, as an ideal gas.

    Raises
    ------
    InvalidQuantity : a gain below 0, or a temperature not above 0.

    Source: ideal_gas (molar volume).

    >>> round(absorbed_from_weight_l(0.019), 1)
    10.4
    """
    not_negative("gain_kg", gain_kg)
    positive("temperature_k", temperature_k)
    return gain_kg / _CO2_KG_MOL * _MOLAR_VOLUME_L * temperature_k / _ZERO_CELSIUS_K


def absorbent_capacity_l(mass_kg: float, capacity_l_kg: float) -> float:
    """Carbon dioxide that a filling takes up before it lets some through.

    Parameters
    ----------
    mass_kg : [kg] of absorbent, above 0.
    capacity_l_kg : [L/kg] above 0; 100, 150 and 200 are cautious, typical and optimistic.

    Returns
    -------
    [L]

    Raises
    ------
    InvalidQuantity : a value not above 0.

    Source: machine_base (section 2.1).

    >>> absorbent_capacity_l(1.0, 120.0)
    120.0
    """
    return positive("mass_kg", mass_kg) * positive("capacity_l_kg", capacity_l_kg)


def vented_fraction(fresh_gas_l_min: float, minute_volume_l_min: float) -> float:
    """Share of the expired carbon dioxide that leaves with the overflow before the absorbent.

    Parameters
    ----------
    fresh_gas_l_min : [L/min] 0 or more.
    minute_volume_l_min : [L/min] above 0.

    Returns
    -------
    [1] fresh gas over minute volume, not above 1: mixed expired gas is what overflows.

    Raises
    ------
    InvalidQuantity : a flow out of range.

    Source: machine_base (section 2.2, proportional to fresh gas in one bench study).

    >>> vented_fraction(1.0, 4.0), vented_fraction(6.0, 4.0)
    (0.25, 1.0)
    """
    not_negative("fresh_gas_l_min", fresh_gas_l_min)
    return min(1.0, fresh_gas_l_min / positive("minute_volume_l_min", minute_volume_l_min))


def absorbent_life_h(capacity_l: float, co2_output_l_min: float, vented: float = 0.0) -> float:
    """Hours until a filling is used up.

    Parameters
    ----------
    capacity_l : [L] of carbon dioxide, above 0.
    co2_output_l_min : [L/min] of the animal, above 0.
    vented : [1] share that leaves with the overflow, 0 to below 1.

    Returns
    -------
    [h]

    Raises
    ------
    InvalidQuantity : a value out of range.

    Source: machine_base (section 2.2).

    >>> round(absorbent_life_h(120.0, 0.067), 1)
    29.9
    """
    positive("capacity_l", capacity_l)
    positive("co2_output_l_min", co2_output_l_min)
    within("vented", vented, 0.0, 0.999)
    return capacity_l / (co2_output_l_min * (1.0 - vented)) / 60.0
