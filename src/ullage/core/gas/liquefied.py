"""Carbon dioxide and nitrous oxide: liquid and vapour in one cylinder.

While liquid remains the gauge stands at the saturation pressure of the temperature, whatever
is left: such a cylinder is weighed. Below saturation only vapour is left, and the gauge tells.
"""

from ullage.core.checks import not_negative, positive, within
from ullage.core.errors import GaugeCannotTell, InvalidQuantity
from ullage.core.gas import _vapour, properties, tables
from ullage.core.gas.density import density_kg_m3, free_density_kg_m3, litres_per_kg
from ullage.core.gas.species import F70, Gas, ReferenceCondition
from ullage.core.units import BAR_KPA, STANDARD_ATMOSPHERE_KPA, celsius

__all__ = [
    "critical_temperature_k",
    "filled_gauge_kpa",
    "liquefied_contents_l",
    "liquid_full_temperature_k",
    "liquid_gone_l",
    "liquid_may_remain",
    "liquid_remaining_range_l",
    "most_fill_kg",
    "saturated_liquid_kg_m3",
    "saturated_vapour_kg_m3",
    "saturation_kpa",
    "saturation_temperature_k",
    "vapour_contents_l",
]

#: A litre of water weighs this much where filling densities are laid down.
_WATER_KG_L = 1.0
_HALVINGS = 60


def critical_temperature_k(gas: Gas) -> float:
    """Temperature above which no pressure makes the gas liquid.

    Parameters
    ----------
    gas : which one.

    Returns
    -------
    [K]

    Source: coolprop (critical point of the equation of state).

    >>> round(critical_temperature_k(Gas.NITROUS_OXIDE) - 273.15, 2)
    36.37
    """
    return tables.CRITICAL_K[gas]


def saturation_kpa(gas: Gas, temperature_k: float) -> float:
    """Pressure at which liquid and vapour stand together.

    Parameters
    ----------
    gas : which one.
    temperature_k : [K] below the critical temperature.

    Returns
    -------
    [kPa] absolute.

    Raises
    ------
    InvalidQuantity : a temperature at or above critical: there is no liquid.

    Source: coolprop (saturation line, in tables of our own to 1 K under critical).

    >>> round(saturation_kpa(Gas.NITROUS_OXIDE, 293.15))
    5053
    """
    if _on_line(gas, temperature_k):
        return _vapour.line(gas, "kpa", temperature_k)
    return properties.saturation_reference_kpa(gas, temperature_k)


def saturated_liquid_kg_m3(gas: Gas, temperature_k: float) -> float:
    """Density of the liquid that stands under its own vapour.

    Parameters
    ----------
    gas : which one.
    temperature_k : [K] below the critical temperature.

    Returns
    -------
    [kg/m³]

    Raises
    ------
    InvalidQuantity : a temperature at or above critical: there is no liquid.

    Source: coolprop (saturation line, in tables of our own to 1 K under critical).

    >>> round(saturated_liquid_kg_m3(Gas.NITROUS_OXIDE, 293.15), 1)
    785.1
    """
    if _on_line(gas, temperature_k):
        return _vapour.line(gas, "liquid_kg_m3", temperature_k)
    return properties.saturated_liquid_reference_kg_m3(gas, temperature_k)


def saturated_vapour_kg_m3(gas: Gas, temperature_k: float) -> float:
    """Density of the vapour that stands over its own liquid.

    Parameters
    ----------
    gas : which one.
    temperature_k : [K] below the critical temperature.

    Returns
    -------
    [kg/m³]

    Raises
    ------
    InvalidQuantity : a temperature at or above critical: there is no liquid.

    Source: coolprop (saturation line, in tables of our own to 1 K under critical).

    >>> round(saturated_vapour_kg_m3(Gas.NITROUS_OXIDE, 293.15), 1)
    158.0
    """
    if _on_line(gas, temperature_k):
        return _vapour.line(gas, "vapour_kg_m3", temperature_k)
    return properties.saturated_vapour_reference_kg_m3(gas, temperature_k)


def saturation_temperature_k(gas: Gas, absolute_kpa: float) -> float:
    """Temperature at which liquid and vapour stand together at a pressure.

    Parameters
    ----------
    gas : carbon dioxide or nitrous oxide.
    absolute_kpa : [kPa] absolute, from saturation at 233.15 K to 1 K under critical.

    Returns
    -------
    [K]

    Raises
    ------
    InvalidQuantity : a pressure outside the saturation line of the tables.

    Source: coolprop (saturation line, in tables of our own, inverted).

    >>> round(saturation_temperature_k(Gas.NITROUS_OXIDE, 5171.07) - 273.15, 2)
    21.02
    """
    low_k, high_k = tables.LOW_K, tables.CRITICAL_K[gas] - tables.BELOW_CRITICAL_K
    within("absolute_kpa", absolute_kpa, saturation_kpa(gas, low_k), saturation_kpa(gas, high_k))
    for _ in range(_HALVINGS):
        middle_k = (low_k + high_k) / 2.0
        if saturation_kpa(gas, middle_k) < absolute_kpa:
            low_k = middle_k
        else:
            high_k = middle_k
    return high_k


def liquefied_contents_l(
    gas: Gas, gross_kg: float, tare_kg: float, condition: ReferenceCondition = F70
) -> float:
    """Free gas in a cylinder by its weight: the way for a liquefied gas.

    Parameters
    ----------
    gas : which one.
    gross_kg : [kg] cylinder as it stands on the scale, at least the tare.
    tare_kg : [kg] stamped on the cylinder, with the valve and without gas; above 0.
    condition : the temperature at which a litre is counted, at one standard atmosphere.

    Returns
    -------
    [L] dry free gas.

    Raises
    ------
    InvalidQuantity : a weight below the tare, or a tare not above 0.

    Source: coolprop (density of free gas).

    >>> round(liquefied_contents_l(Gas.NITROUS_OXIDE, 8.10, 6.90), 1)
    654.6
    """
    positive("tare_kg", tare_kg)
    if not not_negative("gross_kg", gross_kg) >= tare_kg:
        raise InvalidQuantity("gross_kg", gross_kg, f"at least the tare, {tare_kg:g} kg")
    return (gross_kg - tare_kg) * litres_per_kg(gas, condition)


def vapour_contents_l(
    gas: Gas,
    water_capacity_l: float,
    gauge_kpa: float,
    temperature_k: float,
    ambient_kpa: float = STANDARD_ATMOSPHERE_KPA,
    condition: ReferenceCondition = F70,
) -> float:
    """Free gas in a cylinder of liquefied gas once the liquid is gone.

    Parameters
    ----------
    gas : carbon dioxide or nitrous oxide.
    water_capacity_l : [L] volume of water that fills the cylinder, above 0.
    gauge_kpa : [kPa] gauge, 0 or more; while gas flows a cold cylinder reads too low.
    temperature_k : [K] of the cylinder itself.
    ambient_kpa : [kPa] barometric pressure at the place, above 0.
    condition : the temperature at which a litre is counted, at one standard atmosphere.

    Returns
    -------
    [L] dry free gas, the last atmosphere included.

    Raises
    ------
    InvalidQuantity : a number outside its range.
    GaugeCannotTell : at or above saturation, where liquid may remain: weigh it.

    Source: coolprop (ratio of two densities).

    >>> round(vapour_contents_l(Gas.NITROUS_OXIDE, 4.76, 2757.9, 293.15))
    165
    """
    positive("water_capacity_l", water_capacity_l)
    not_negative("gauge_kpa", gauge_kpa)
    positive("ambient_kpa", ambient_kpa)
    if liquid_may_remain(gas, gauge_kpa, temperature_k, ambient_kpa):
        least = liquid_gone_l(gas, water_capacity_l, temperature_k, condition)
        stands = (saturation_kpa(gas, temperature_k) - ambient_kpa) / BAR_KPA
        raise GaugeCannotTell(
            f"At {celsius(temperature_k):.1f} °C {gas} stands at {stands:.1f} bar however much"
            f" liquid is left; {gauge_kpa / BAR_KPA:.1f} bar cannot tell. Between {least:.0f} L"
            " and a full cylinder: weigh it."
        )
    inside = density_kg_m3(gas, temperature_k, gauge_kpa + ambient_kpa)
    return water_capacity_l * inside / free_density_kg_m3(gas, condition)


def liquid_may_remain(
    gas: Gas,
    gauge_kpa: float,
    temperature_k: float,
    ambient_kpa: float = STANDARD_ATMOSPHERE_KPA,
    gauge_error_kpa: float = 0.0,
    temperature_band_k: float = 0.0,
) -> bool:
    """Say whether a reading leaves it open that liquid remains.

    Parameters
    ----------
    gas : which one.
    gauge_kpa : [kPa] gauge, 0 or more.
    temperature_k : [K] of the cylinder itself.
    ambient_kpa : [kPa] barometric pressure at the place.
    gauge_error_kpa : [kPa] by which the gauge may read too low, 0 or more.
    temperature_band_k : [K] by which the cylinder may be colder, 0 or more.

    Returns
    -------
    True at or above the saturation pressure of the coldest temperature allowed.

    Source: coolprop (saturation line).

    >>> liquid_may_remain(Gas.NITROUS_OXIDE, 4900.0, 293.15)
    False
    >>> liquid_may_remain(Gas.NITROUS_OXIDE, 4900.0, 293.15, gauge_error_kpa=100.0)
    True
    """
    coldest_k = temperature_k - not_negative("temperature_band_k", temperature_band_k)
    highest_kpa = gauge_kpa + not_negative("gauge_error_kpa", gauge_error_kpa) + ambient_kpa
    if coldest_k >= tables.CRITICAL_K[gas]:
        return False
    return highest_kpa >= saturation_kpa(gas, coldest_k)


def liquid_gone_l(
    gas: Gas,
    water_capacity_l: float,
    temperature_k: float,
    condition: ReferenceCondition = F70,
) -> float:
    """Free gas left when the last liquid has gone and the gauge begins to fall.

    Parameters
    ----------
    gas : carbon dioxide or nitrous oxide.
    water_capacity_l : [L] volume of water that fills the cylinder, above 0.
    temperature_k : [K] of the cylinder, below critical.
    condition : the temperature at which a litre is counted, at one standard atmosphere.

    Returns
    -------
    [L] dry free gas.

    Raises
    ------
    InvalidQuantity : a temperature at or above critical, a capacity not above 0.

    Source: coolprop (density of saturated vapour).

    >>> round(liquid_gone_l(Gas.NITROUS_OXIDE, 4.76, 293.15))
    410
    """
    positive("water_capacity_l", water_capacity_l)
    vapour = saturated_vapour_kg_m3(gas, temperature_k)
    return water_capacity_l * vapour / free_density_kg_m3(gas, condition)


def liquid_remaining_range_l(
    gas: Gas,
    water_capacity_l: float,
    temperature_k: float,
    filling_density: float,
    condition: ReferenceCondition = F70,
) -> tuple[float, float]:
    """What a gauge at saturation leaves open: liquid just gone, up to a full cylinder.

    Parameters
    ----------
    gas : carbon dioxide or nitrous oxide.
    water_capacity_l : [L] volume of water that fills the cylinder, above 0.
    temperature_k : [K] of the cylinder, below critical.
    filling_density : [1] kg of gas in a full cylinder for each kg of water it takes.
    condition : the temperature at which a litre is counted, at one standard atmosphere.

    Returns
    -------
    [L] lowest and highest, dry free gas.

    Raises
    ------
    InvalidQuantity : a number outside its range.

    Source: coolprop (density of saturated vapour and of free gas).

    >>> [round(one) for one in liquid_remaining_range_l(Gas.NITROUS_OXIDE, 4.76, 293.15, 0.68)]
    [410, 1766]
    """
    least = liquid_gone_l(gas, water_capacity_l, temperature_k, condition)
    full = most_fill_kg(water_capacity_l, filling_density) * litres_per_kg(gas, condition)
    return min(least, full), full


def most_fill_kg(water_capacity_l: float, filling_density: float) -> float:
    """Mass of gas that a filling density allows.

    Parameters
    ----------
    water_capacity_l : [L] volume of water that fills the cylinder, above 0.
    filling_density : [1] kg of gas for each kg of water that fills the cylinder, 0 to 1.

    Returns
    -------
    [kg]

    Raises
    ------
    InvalidQuantity : a number outside its range.

    Source: supply_S45 (filling density as a share of the mass of water).

    >>> round(most_fill_kg(4.76, 0.68), 3)
    3.237
    """
    within("filling_density", filling_density, 0.0, 1.0)
    return positive("water_capacity_l", water_capacity_l) * _WATER_KG_L * filling_density


def liquid_full_temperature_k(gas: Gas, mean_density_kg_m3: float) -> float:
    """Temperature at which the liquid has swelled to fill a closed cylinder.

    Parameters
    ----------
    gas : carbon dioxide or nitrous oxide.
    mean_density_kg_m3 : [kg/m³] mass of gas over volume; 1000 times the filling density.

    Returns
    -------
    [K] above it the pressure climbs steeply.

    Raises
    ------
    InvalidQuantity : a fill below critical density, which never becomes all liquid, or one
        beyond the cold end of the tables.

    Source: coolprop (density of saturated liquid, inverted).

    >>> round(liquid_full_temperature_k(Gas.NITROUS_OXIDE, 680.0) - 273.15, 1)
    30.6
    """
    low_k, high_k = tables.LOW_K, tables.CRITICAL_K[gas]
    within(
        "mean_density_kg_m3",
        mean_density_kg_m3,
        tables.CRITICAL_KG_M3[gas],
        saturated_liquid_kg_m3(gas, low_k),
    )
    while high_k - low_k > 1e-6:
        middle_k = (low_k + high_k) / 2.0
        if saturated_liquid_kg_m3(gas, middle_k) > mean_density_kg_m3:
            low_k = middle_k
        else:
            high_k = middle_k
    return low_k


def filled_gauge_kpa(
    gas: Gas,
    mean_density_kg_m3: float,
    temperature_k: float,
    ambient_kpa: float = STANDARD_ATMOSPHERE_KPA,
) -> float:
    """Gauge reading of a closed cylinder filled to a mean density: how an overfill shows.

    Parameters
    ----------
    gas : which one.
    mean_density_kg_m3 : [kg/m³] mass of gas over volume; 1000 times the filling density.
    temperature_k : [K] of the cylinder; rules of filling look at 328.15 (55 °C).
    ambient_kpa : [kPa] barometric pressure at the place.

    Returns
    -------
    [kPa] gauge.

    Raises
    ------
    InvalidQuantity : a density not above 0.
    SolveFailed : a state that the equation of state does not cover.

    Source: coolprop (pressure at density and temperature).

    >>> round(filled_gauge_kpa(Gas.NITROUS_OXIDE, 680.0, 327.594) / 6.894757, -1)
    2060.0
    """
    positive("mean_density_kg_m3", mean_density_kg_m3)
    positive("temperature_k", temperature_k)
    if _vapour.line_covered(gas, temperature_k):
        liquid = _vapour.line(gas, "liquid_kg_m3", temperature_k)
        if mean_density_kg_m3 <= liquid:
            return _vapour.pressure_kpa(gas, temperature_k, mean_density_kg_m3) - ambient_kpa
    found = properties.pressure_reference_kpa(gas, temperature_k, mean_density_kg_m3)
    return found - ambient_kpa


def _on_line(gas: Gas, temperature_k: float) -> bool:
    """True where the tables hold the saturation line; refuse what has none."""
    positive("temperature_k", temperature_k)
    critical_k = tables.CRITICAL_K[gas]
    if temperature_k >= critical_k:
        allowed = f"below {critical_k:.2f}, the critical temperature of {gas}"
        raise InvalidQuantity("temperature_k", temperature_k, allowed)
    return _vapour.line_covered(gas, temperature_k)
