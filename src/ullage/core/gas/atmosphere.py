"""Barometric pressure where nobody has measured it."""

from ullage.core.checks import within
from ullage.core.units import STANDARD_ATMOSPHERE_KPA

__all__ = ["standard_atmosphere_kpa", "standard_elevation_m"]

# The International Standard Atmosphere by its definition.
_SEA_LEVEL_K = 288.15
_LAPSE_K_M = 0.0065
_EXPONENT = 9.80665 / (287.05287 * _LAPSE_K_M)


def standard_atmosphere_kpa(elevation_m: float) -> float:
    """Barometric pressure of the standard atmosphere at an elevation.

    Parameters
    ----------
    elevation_m : [m] above mean sea level, -500 to 11 000.

    Returns
    -------
    [kPa] absolute; weather moves the true pressure by about 3 kPa either way.

    Raises
    ------
    InvalidQuantity : an elevation outside the lowest layer of the standard atmosphere.

    Source: standard_atmosphere (temperature and pressure of the troposphere).

    >>> round(standard_atmosphere_kpa(1609.0), 1)
    83.4
    """
    within("elevation_m", elevation_m, -500.0, 11_000.0)
    share = 1.0 - _LAPSE_K_M * elevation_m / _SEA_LEVEL_K
    return float(STANDARD_ATMOSPHERE_KPA * share**_EXPONENT)


def standard_elevation_m(absolute_kpa: float) -> float:
    """Elevation at which the standard atmosphere has a pressure.

    Parameters
    ----------
    absolute_kpa : [kPa] barometric pressure at the place, not sea level, 22.64 to 107.4.

    Returns
    -------
    [m] above mean sea level.

    Raises
    ------
    InvalidQuantity : a pressure outside the lowest layer of the standard atmosphere.

    Source: standard_atmosphere (temperature and pressure of the troposphere).

    >>> round(standard_elevation_m(83.4), -1)
    1610.0
    """
    within("absolute_kpa", absolute_kpa, 22.64, 107.4)
    share = (absolute_kpa / STANDARD_ATMOSPHERE_KPA) ** (1.0 / _EXPONENT)
    return float((1.0 - share) * _SEA_LEVEL_K / _LAPSE_K_M)
