"""Saturation lines and vapour of the liquefied gases, from the generated tables.

With x the cube root of 1 - T/Tc and y the square root of 1 - p/psat, both stretched to
-1..1: Z = 1 - (p/psat) H(x, y), and the logarithm of each line is a polynomial in x.
"""

from functools import lru_cache
from math import exp, sqrt

from ullage.core.gas import tables
from ullage.core.gas._arrays import Floats

__all__ = [
    "closed_many_kpa",
    "line",
    "line_covered",
    "line_many",
    "pressure_kpa",
    "vapour_kg_m3",
    "vapour_many_kg_m3",
]

#: Halvings that take a pressure to the last digits of a float.
_HALVINGS = 48


def line_covered(gas: str, temperature_k: float) -> bool:
    """True where the tables of a liquefied gas reach."""
    if gas not in tables.SATURATION:
        return False
    return tables.LOW_K <= temperature_k <= tables.CRITICAL_K[gas] - tables.BELOW_CRITICAL_K


@lru_cache(maxsize=8)
def _stretch(gas: str) -> tuple[float, float]:
    """Scale and shift that carry the cube root to -1..1."""
    critical_k = tables.CRITICAL_K[gas]
    near = (tables.BELOW_CRITICAL_K / critical_k) ** (1.0 / 3.0)
    far = (1.0 - tables.LOW_K / critical_k) ** (1.0 / 3.0)
    return 2.0 / (far - near), (far + near) / (far - near)


def _position(gas: str, temperature_k: float) -> float:
    scale, shift = _stretch(gas)
    return float(scale * (1.0 - temperature_k / tables.CRITICAL_K[gas]) ** (1.0 / 3.0) - shift)


@lru_cache(maxsize=256)
def line(gas: str, name: str, temperature_k: float) -> float:
    """One saturation line: ``kpa``, ``liquid_kg_m3`` or ``vapour_kg_m3``."""
    x, total = _position(gas, temperature_k), 0.0
    for term in reversed(tables.SATURATION[gas][name]):
        total = total * x + term
    return exp(total)


@lru_cache(maxsize=256)
def _row(gas: str, temperature_k: float) -> tuple[float, ...]:
    """The powers of y at one temperature, highest first."""
    x, found = _position(gas, temperature_k), []
    for row in reversed(tables.VAPOUR[gas]):
        total = 0.0
        for term in reversed(row):
            total = total * x + term
        found.append(total)
    return tuple(found)


def vapour_kg_m3(gas: str, temperature_k: float, absolute_kpa: float) -> float:
    """Density of the vapour; pressures above saturation count as saturation."""
    share = min(absolute_kpa / line(gas, "kpa", temperature_k), 1.0)
    y, total = 2.0 * sqrt(1.0 - share) - 1.0, 0.0
    for term in _row(gas, temperature_k):
        total = total * y + term
    constant = tables.SPECIFIC_GAS_CONSTANT_J_KG_K[gas] / 1000.0
    pressure = share * line(gas, "kpa", temperature_k)
    return pressure / ((1.0 - share * total) * constant * temperature_k)


def line_many(gas: str, name: str, temperature_k: Floats) -> Floats:
    """`line` for an array."""
    import numpy as np

    scale, shift = _stretch(gas)
    x = scale * np.cbrt(1.0 - temperature_k / tables.CRITICAL_K[gas]) - shift
    total = np.zeros_like(x)
    for term in reversed(tables.SATURATION[gas][name]):
        total *= x
        total += term
    return np.asarray(np.exp(total))


def vapour_many_kg_m3(gas: str, temperature_k: Floats, absolute_kpa: Floats) -> Floats:
    """`vapour_kg_m3` for flat arrays of one length."""
    import numpy as np

    scale, shift = _stretch(gas)
    x = scale * np.cbrt(1.0 - temperature_k / tables.CRITICAL_K[gas]) - shift
    saturation = line_many(gas, "kpa", temperature_k)
    share = np.minimum(absolute_kpa / saturation, 1.0)
    y = 2.0 * np.sqrt(1.0 - share) - 1.0
    table = np.array(tables.VAPOUR[gas][::-1])
    powers = x ** np.arange(table.shape[1])[:, None]
    total = np.zeros_like(y)
    for row in table:
        total *= y
        total += row @ powers
    constant = tables.SPECIFIC_GAS_CONSTANT_J_KG_K[gas] / 1000.0
    return np.asarray(share * saturation / ((1.0 - share * total) * constant * temperature_k))


def pressure_kpa(gas: str, temperature_k: float, density_kg_m3: float) -> float:
    """Pressure of vapour of one density, by halving; saturation at and above its density."""
    saturation = line(gas, "kpa", temperature_k)
    low_kpa, high_kpa = 0.0, saturation
    if density_kg_m3 >= vapour_kg_m3(gas, temperature_k, saturation):
        return saturation
    for _ in range(_HALVINGS):
        middle_kpa = (low_kpa + high_kpa) / 2.0
        if vapour_kg_m3(gas, temperature_k, middle_kpa) < density_kg_m3:
            low_kpa = middle_kpa
        else:
            high_kpa = middle_kpa
    return high_kpa


def closed_many_kpa(gas: str, density_kg_m3: Floats, temperature_k: Floats) -> Floats:
    """`pressure_kpa` for flat arrays of one length."""
    import numpy as np

    high_kpa = line_many(gas, "kpa", temperature_k)
    low_kpa = np.zeros_like(high_kpa)
    for _ in range(_HALVINGS):
        middle_kpa = (low_kpa + high_kpa) / 2.0
        thin = vapour_many_kg_m3(gas, temperature_k, middle_kpa) < density_kg_m3
        low_kpa = np.where(thin, middle_kpa, low_kpa)
        high_kpa = np.where(thin, high_kpa, middle_kpa)
    return high_kpa
