"""What changes a MAC: age, temperature, pregnancy, other agents, drugs, thin air."""

from collections.abc import Sequence
from math import prod

from ullage.core.checks import not_negative, positive, within
from ullage.core.errors import InvalidQuantity
from ullage.core.units import STANDARD_ATMOSPHERE_KPA

__all__ = [
    "anaesthetic_depth",
    "mac_at_age_fraction",
    "mac_at_pressure_fraction",
    "mac_at_temperature_fraction",
    "mac_emax_fraction",
    "mac_reduced_fraction",
    "mac_with_nitrous_oxide_fraction",
]


def mac_at_age_fraction(
    mac_fraction: float, age_years: float, slope_per_year: float, reference_years: float
) -> float:
    """MAC of a person of another age, by the published line of man.

    Parameters
    ----------
    mac_fraction : [1] at the reference age, above 0.
    age_years : [a] 1 to 120.
    slope_per_year : [1/a] fall of the decimal logarithm, 0 to 0.1.
    reference_years : [a] age of the value given, 1 to 120.

    Returns
    -------
    [1] MAC at that age. No such line is published for animals.

    Raises
    ------
    InvalidQuantity : a value, age or slope out of range.

    Source: agents_base (section 3.2, a fall by the decimal logarithm).

    >>> round(mac_at_age_fraction(0.0117, 80.0, 0.00269, 40.0), 5)
    0.00913
    """
    positive("mac_fraction", mac_fraction)
    within("age_years", age_years, 1.0, 120.0)
    within("reference_years", reference_years, 1.0, 120.0)
    within("slope_per_year", slope_per_year, 0.0, 0.1)
    return float(mac_fraction * 10.0 ** (-slope_per_year * (age_years - reference_years)))


def mac_at_temperature_fraction(
    mac_fraction: float, temperature_k: float, normal_k: float, change_per_k: float
) -> float:
    """MAC of an animal that is colder or warmer than normal.

    Parameters
    ----------
    mac_fraction : [1] at normal temperature, above 0.
    temperature_k : [K] of the animal, 301.15 to 313.15 (28 to 40 °C).
    normal_k : [K] at which the value was measured, 301.15 to 313.15.
    change_per_k : [1/K] share of the value for each kelvin, 0 to 0.1.

    Returns
    -------
    [1] linear in temperature, less when colder.

    Raises
    ------
    InvalidQuantity : a value or temperature out of range.

    Source: agents_base (section 3.3).

    >>> round(mac_at_temperature_fraction(0.02, 305.15, 310.15, 0.04), 4)
    0.016
    """
    positive("mac_fraction", mac_fraction)
    within("temperature_k", temperature_k, 301.15, 313.15)
    within("normal_k", normal_k, 301.15, 313.15)
    within("change_per_k", change_per_k, 0.0, 0.1)
    return mac_fraction * max(0.0, 1.0 + change_per_k * (temperature_k - normal_k))


def mac_with_nitrous_oxide_fraction(
    mac_fraction: float, nitrous_fraction: float, nitrous_mac_fraction: float
) -> float:
    """MAC of an agent while nitrous oxide is breathed, fractions of MAC being added.

    Parameters
    ----------
    mac_fraction : [1] of the agent alone, above 0.
    nitrous_fraction : [1] of nitrous oxide in the lung, 0 to 1.
    nitrous_mac_fraction : [1] MAC of nitrous oxide, above 1 in every animal; above 0.

    Returns
    -------
    [1] what is still needed of the agent, 0 or more; carry +-25 % of what was taken off.

    Raises
    ------
    InvalidQuantity : a value or fraction out of range.

    Source: agents_base (section 3.5).

    >>> round(mac_with_nitrous_oxide_fraction(0.0155, 0.5, 1.60), 4)
    0.0107
    """
    positive("mac_fraction", mac_fraction)
    within("nitrous_fraction", nitrous_fraction, 0.0, 1.0)
    share = nitrous_fraction / positive("nitrous_mac_fraction", nitrous_mac_fraction)
    return mac_fraction * max(0.0, 1.0 - share)


def mac_reduced_fraction(mac_fraction: float, reductions: Sequence[float]) -> float:
    """MAC of an agent under several drugs that spare it, multiplied and not added.

    Parameters
    ----------
    mac_fraction : [1] of the agent alone, above 0.
    reductions : share that each drug takes off by itself, 0 to below 1.

    Returns
    -------
    [1] what is still needed of the agent.

    Raises
    ------
    InvalidQuantity : a value not above 0, or a reduction out of range.

    Source: agents_base (section 3.6: a product of (1 - reduction)).

    >>> round(1.0 - mac_reduced_fraction(1.0, (0.27, 0.43)), 2)
    0.58
    """
    positive("mac_fraction", mac_fraction)
    for one in reductions:
        within("reduction", one, 0.0, 0.99)
    return mac_fraction * prod(1.0 - one for one in reductions)


def mac_emax_fraction(
    base_fraction: float, most_fraction: float, concentration: float, half: float
) -> float:
    """MAC against the level of a drug in plasma, falling to a floor.

    Parameters
    ----------
    base_fraction : [1] without the drug, above 0.
    most_fraction : [1] most that the drug takes off, 0 to the base.
    concentration : [1] of the drug, in the unit of the half level, 0 or more.
    half : [1] level at which half of the most is taken off, above 0.

    Returns
    -------
    [1] between base and base less most.

    Raises
    ------
    InvalidQuantity : a value or level out of range.

    Source: agents_base (section 3.6, dexmedetomidine in the cat).

    >>> round(mac_emax_fraction(0.0207, 0.0176, 1.05, 1.05), 4)
    0.0119
    """
    positive("base_fraction", base_fraction)
    within("most_fraction", most_fraction, 0.0, base_fraction)
    not_negative("concentration", concentration)
    return base_fraction - most_fraction * concentration / (positive("half", half) + concentration)


def mac_at_pressure_fraction(
    mac_fraction: float, absolute_kpa: float, measured_kpa: float = STANDARD_ATMOSPHERE_KPA
) -> float:
    """MAC in volume per cent of another barometric pressure; its partial pressure stays.

    Parameters
    ----------
    mac_fraction : [1] at the pressure it was measured at, above 0.
    absolute_kpa : [kPa] barometric pressure, above 0.
    measured_kpa : [kPa] at which the value was measured, above 0.

    Returns
    -------
    [1] larger at altitude.

    Raises
    ------
    InvalidQuantity : a value or pressure not above 0.

    Source: agents_base (section 4: depth follows partial pressure).

    >>> round(mac_at_pressure_fraction(0.013, 81.06), 5)
    0.01625
    """
    positive("mac_fraction", mac_fraction)
    positive("absolute_kpa", absolute_kpa)
    return mac_fraction * positive("measured_kpa", measured_kpa) / absolute_kpa


def anaesthetic_depth(fractions: Sequence[float], mac_fractions: Sequence[float]) -> float:
    """Depth as the sum of every agent's fraction of its own MAC.

    Parameters
    ----------
    fractions : of each agent in lung or brain, 0 or more.
    mac_fractions : MAC of each agent, above 0.

    Returns
    -------
    [1] multiple of MAC.

    Raises
    ------
    InvalidQuantity : lists of different length, or a value out of range.

    Source: agents_base (section 3.5, fractions add).

    >>> anaesthetic_depth((0.0064, 0.52), (0.0128, 2.08))
    0.75
    """
    if len(fractions) != len(mac_fractions):
        raise InvalidQuantity("mac_fractions", len(mac_fractions), f"{len(fractions)} values")
    each = zip(fractions, mac_fractions, strict=True)
    return sum(not_negative("fraction", f) / positive("mac_fraction", m) for f, m in each)
