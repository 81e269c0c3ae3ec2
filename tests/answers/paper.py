"""Litres worked out apart from the package: CoolProp's densities, and nothing of ours."""

from functools import cache

from CoolProp.CoolProp import PropsSI

#: 70 °F and 15 °C in kelvin, one atmosphere in kPa: definitions.
F70_K, C15_K, ATM_KPA = 294.2611111111111, 288.15, 101.325
NAMES = {"oxygen": "Oxygen", "air": "Air", "nitrous oxide": "NitrousOxide"}


@cache
def density(gas: str, absolute_kpa: float, kelvin: float) -> float:
    """Mass of a litre at a pressure and a temperature, in g."""
    found: float = PropsSI("D", "T", kelvin, "P", 1000.0 * absolute_kpa, NAMES[gas])
    return found


def litres(
    water_l: float,
    gauge_kpa: float,
    kelvin: float = 293.15,
    outside_kpa: float = ATM_KPA,
    gas: str = "oxygen",
) -> float:
    """Free gas at 70 °F and 1 atm in a cylinder, the last atmosphere included."""
    inside = density(gas, gauge_kpa + outside_kpa, kelvin)
    return water_l * inside / density(gas, ATM_KPA, F70_K)


def usable(
    water_l: float,
    gauge_kpa: float,
    kept_kpa: float,
    kelvin: float = 293.15,
    outside_kpa: float = ATM_KPA,
) -> float:
    """Free oxygen at 70 °F between two gauge readings."""
    full = litres(water_l, gauge_kpa, kelvin, outside_kpa)
    return full - litres(water_l, kept_kpa, kelvin, outside_kpa)


def litres_per_kg(gas: str, kelvin: float = F70_K) -> float:
    """Free gas of a kilogram at a temperature and 1 atm."""
    return 1000.0 / density(gas, ATM_KPA, kelvin)
