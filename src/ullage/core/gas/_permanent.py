"""Z of the gases that stay gas, and its inverse, from the generated tables.

With x = 1/T and y = p/T, both stretched to -1..1: Z = 1 + y G(x, y). Near vacuum Z is 1 by
construction. G is a table of powers, one row for each power of y.
"""

from functools import lru_cache

from ullage.core.errors import SolveFailed
from ullage.core.gas import tables
from ullage.core.gas._arrays import Floats

__all__ = ["covered", "packing", "packing_many", "ratio_of_packing", "ratio_of_packing_many"]

_LOW_X, _HIGH_X = 1.0 / tables.HIGH_K, 1.0 / tables.LOW_K
_X_SCALE, _X_SHIFT = 2.0 / (_HIGH_X - _LOW_X), (_HIGH_X + _LOW_X) / (_HIGH_X - _LOW_X)
_Y_SCALE = 2.0 * tables.LOW_K / tables.HIGH_KPA

#: Points worked on at once, so that each row of powers stays in the cache of a core.
_BLOCK = 8192
_STEPS = 30


def covered(gas: str, temperature_k: float, absolute_kpa: float) -> bool:
    """True where the table of a gas reaches."""
    inside = tables.LOW_K <= temperature_k <= tables.HIGH_K
    return inside and 0.0 <= absolute_kpa <= tables.HIGH_KPA and gas in tables.PERMANENT


@lru_cache(maxsize=256)
def _row(gas: str, temperature_k: float) -> tuple[float, ...]:
    """The powers of y at one temperature, highest first."""
    x = _X_SCALE / temperature_k - _X_SHIFT
    found = []
    for row in reversed(tables.PERMANENT[gas]):
        total = 0.0
        for term in reversed(row):
            total = total * x + term
        found.append(total)
    return tuple(found)


def packing(gas: str, temperature_k: float, absolute_kpa: float) -> float:
    """p/(Z T) in kPa/K: density times the specific gas constant."""
    ratio = absolute_kpa / temperature_k
    y = _Y_SCALE * ratio - 1.0
    total = 0.0
    for term in _row(gas, temperature_k):
        total = total * y + term
    return ratio / (1.0 + ratio * total)


def ratio_of_packing(gas: str, temperature_k: float, packed: float) -> float:
    """p/T at which the gas is packed so, by Newton; the inverse of `packing`."""
    row = _row(gas, temperature_k)
    ratio = packed
    for _ in range(_STEPS):
        y = _Y_SCALE * ratio - 1.0
        total = slope = 0.0
        for term in row:
            slope = slope * y + total
            total = total * y + term
        wrong = ratio - packed * (1.0 + ratio * total)
        step = wrong / (1.0 - packed * (total + ratio * slope * _Y_SCALE))
        ratio -= step
        if abs(step) <= 1e-13 * ratio:
            return ratio
    raise SolveFailed(f"No pressure found for {packed:g} kPa/K of {gas} at {temperature_k:g} K.")


def packing_many(gas: str, temperature_k: Floats, absolute_kpa: Floats) -> Floats:
    """`packing` for flat arrays; a single temperature may stand for all."""
    import numpy as np

    out = np.empty(absolute_kpa.size)
    for part in _blocks(absolute_kpa.size):
        kelvin = temperature_k if temperature_k.size == 1 else temperature_k[part]
        ratio = absolute_kpa[part] / kelvin
        y = ratio * _Y_SCALE
        y -= 1.0
        rows = _rows(gas, kelvin)
        total = y * rows[0]
        for row in rows[1:-1]:
            total += row
            total *= y
        total += rows[-1]
        total *= ratio
        total += 1.0
        np.divide(ratio, total, out=out[part])
    return out


def ratio_of_packing_many(gas: str, temperature_k: Floats, packed: Floats) -> Floats:
    """`ratio_of_packing` for flat arrays; a single temperature may stand for all."""
    import numpy as np

    out = np.empty(packed.size)
    for part in _blocks(packed.size):
        kelvin = temperature_k if temperature_k.size == 1 else temperature_k[part]
        out[part] = _newton(_rows(gas, kelvin), packed[part])
    return out


def _newton(rows: Floats, packed: Floats) -> Floats:
    import numpy as np

    ratio = packed.copy()
    for _ in range(_STEPS):
        y = _Y_SCALE * ratio - 1.0
        total, slope = np.zeros_like(y), np.zeros_like(y)
        for row in rows:
            slope *= y
            slope += total
            total *= y
            total += row
        wrong = ratio - packed * (1.0 + ratio * total)
        step = wrong / (1.0 - packed * (total + ratio * slope * _Y_SCALE))
        ratio -= step
        if np.all(np.abs(step) <= 1e-12 * ratio):
            return ratio
    raise SolveFailed("No pressure found for some of the contents given.")


def _blocks(size: int) -> list[slice]:
    return [slice(at, min(at + _BLOCK, size)) for at in range(0, size, _BLOCK)]


def _rows(gas: str, temperature_k: Floats) -> Floats:
    """The powers of y, highest first, one column for each temperature."""
    import numpy as np

    table = np.array(tables.PERMANENT[gas][::-1])
    x = _X_SCALE / temperature_k
    x -= _X_SHIFT
    powers = np.empty((table.shape[1], temperature_k.size))
    powers[0] = 1.0
    for degree in range(1, table.shape[1]):
        np.multiply(powers[degree - 1], x, out=powers[degree])
    return np.asarray(table @ powers)
