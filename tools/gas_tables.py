"""Write `src/ullage/core/gas/tables.py` from the reference equations of state.

Each function is interpolated at Chebyshev points, cut to the terms kept, and written as
powers of a variable that runs from -1 to 1, so that Horner's rule evaluates it.

Example: python -m tools.gas_tables
"""

from collections.abc import Callable
from pathlib import Path

import numpy as np
from numpy.polynomial import chebyshev
from numpy.typing import NDArray

from ullage.core.gas import properties
from ullage.core.gas.species import F70, Gas
from ullage.core.units import STANDARD_ATMOSPHERE_KPA

Floats = NDArray[np.float64]

PATH = Path(__file__).parents[1] / "src/ullage/core/gas/tables.py"

LOW_K, HIGH_K = 233.15, 343.15  # -40 to 70 °C
HIGH_KPA = 31_500.0
PERMANENT_TERMS = (8, 15)  # in inverse temperature, in pressure over temperature
VAPOUR_TERMS = (12, 25)  # in the distance to the critical point, in that to saturation
LINE_TERMS = 16
BELOW_CRITICAL_K = 1.0

PERMANENT = (Gas.OXYGEN, Gas.AIR, Gas.NITROGEN, Gas.HELIUM)
LIQUEFIED = (Gas.CARBON_DIOXIDE, Gas.NITROUS_OXIDE)


def points(count: int) -> Floats:
    """Chebyshev points between -1 and 1."""
    return np.cos(np.pi * (np.arange(count) + 0.5) / count)


def stretch(x: float, low: float, high: float) -> float:
    """Carry -1..1 to low..high."""
    return (low + high) / 2.0 + (high - low) / 2.0 * x


def interpolate(values: Floats) -> Floats:
    """Chebyshev coefficients along the first axis of values at `points`."""
    count = values.shape[0]
    return np.linalg.solve(chebyshev.chebvander(points(count), count - 1), values)


def as_powers(coefficients: Floats) -> Floats:
    """Chebyshev coefficients along the first axis, as coefficients of powers, lowest first."""
    count = coefficients.shape[0]
    basis = np.zeros((count, count))
    for term in range(count):
        found = chebyshev.cheb2poly([*[0.0] * term, 1.0])
        basis[: found.size, term] = found
    return basis @ coefficients


def line_powers(value: Callable[[float], float], terms: int) -> Floats:
    """Powers of one variable for a function of -1..1."""
    sampled = np.array([value(float(x)) for x in points(2 * terms)])
    return as_powers(interpolate(sampled)[:terms])


def plane_powers(value: Callable[[float, float], float], terms: tuple[int, int]) -> Floats:
    """Powers of two variables for a function of -1..1 squared."""
    across, along = points(2 * terms[0]), points(2 * terms[1])
    sampled = np.array([[value(float(x), float(y)) for y in along] for x in across])
    in_x = interpolate(sampled)[: terms[0]]
    both = interpolate(in_x.T)[: terms[1]].T
    return as_powers(as_powers(both).T).T


def permanent_rows(gas: Gas) -> Floats:
    """(Z - 1) T/p against 1/T and p/T, one row for each power of p/T."""
    constant = properties.fluid_constants(gas).specific_gas_constant_j_kg_k / 1000.0

    def slope(x: float, y: float) -> float:
        temperature_k = 1.0 / stretch(x, 1.0 / HIGH_K, 1.0 / LOW_K)
        ratio = stretch(y, 0.0, HIGH_KPA / LOW_K)
        density = properties.density_reference_kg_m3(gas, temperature_k, ratio * temperature_k)
        return (ratio / (density * constant) - 1.0) / ratio

    return plane_powers(slope, PERMANENT_TERMS).T


def distance_ends(gas: Gas) -> tuple[float, float]:
    """The cube root of 1 - T/Tc at 1 K under critical and at the lowest temperature."""
    critical_k = properties.fluid_constants(gas).critical_temperature_k
    near, far = BELOW_CRITICAL_K / critical_k, 1.0 - LOW_K / critical_k
    return near ** (1.0 / 3.0), far ** (1.0 / 3.0)


def temperature_at(gas: Gas, x: float) -> float:
    """The temperature that -1..1 stands for on the saturation lines."""
    critical_k = properties.fluid_constants(gas).critical_temperature_k
    return critical_k * (1.0 - stretch(x, *distance_ends(gas)) ** 3)


def saturation_rows(gas: Gas) -> dict[str, Floats]:
    """Logarithms of saturation pressure and of both densities."""

    def logged(value: Callable[[Gas, float], float]) -> Floats:
        return line_powers(lambda x: float(np.log(value(gas, temperature_at(gas, x)))), LINE_TERMS)

    return {
        "kpa": logged(properties.saturation_reference_kpa),
        "liquid_kg_m3": logged(properties.saturated_liquid_reference_kg_m3),
        "vapour_kg_m3": logged(properties.saturated_vapour_reference_kg_m3),
    }


def vapour_rows(gas: Gas) -> Floats:
    """(1 - Z) psat/p against temperature and the root of 1 - p/psat; a row for each power."""
    constant = properties.fluid_constants(gas).specific_gas_constant_j_kg_k / 1000.0

    def slope(x: float, y: float) -> float:
        temperature_k = temperature_at(gas, x)
        share = 1.0 - stretch(y, 0.0, 1.0) ** 2
        pressure = share * properties.saturation_reference_kpa(gas, temperature_k)
        density = properties.vapour_density_reference_kg_m3(gas, temperature_k, pressure)
        return (1.0 - pressure / (density * constant * temperature_k)) / share

    return plane_powers(slope, VAPOUR_TERMS).T


def written(value: object, indent: int = 0) -> str:
    """Numbers, rows and tables as Python, four numbers a line."""
    pad = " " * (indent + 4)
    if isinstance(value, dict):
        rows = "".join(f"{pad}{k!r}: {written(v, indent + 4)},\n" for k, v in value.items())
        return "{\n" + rows + " " * indent + "}"
    if isinstance(value, np.ndarray) and value.ndim == 2:
        return (
            "(\n" + "".join(f"{pad}{written(row, indent + 4)},\n" for row in value) + pad[4:] + ")"
        )
    if isinstance(value, np.ndarray):
        words = [written(float(one)) for one in value]
        lines = [", ".join(words[at : at + 5]) for at in range(0, len(words), 5)]
        return "(" + f",\n{pad}".join(lines) + ",)"
    return repr(float(f"{value:.13g}")) if isinstance(value, float) else repr(value)


def tables() -> dict[str, tuple[str, object]]:
    """Every table by name, with its type."""
    facts = {gas: properties.fluid_constants(gas) for gas in Gas}
    seen = (F70.temperature_k, STANDARD_ATMOSPHERE_KPA)
    viscous = [gas for gas in Gas if gas is not Gas.NITROUS_OXIDE]
    row, plane = "tuple[float, ...]", "tuple[tuple[float, ...], ...]"
    return {
        "LIBRARY": ("str", properties.library_version()),
        "LOW_K": ("float", LOW_K),
        "HIGH_K": ("float", HIGH_K),
        "HIGH_KPA": ("float", HIGH_KPA),
        "BELOW_CRITICAL_K": ("float", BELOW_CRITICAL_K),
        "LIQUID_OXYGEN_KG_M3": ("float", boiling_oxygen_kg_m3()),
        "SPECIFIC_GAS_CONSTANT_J_KG_K": (
            "dict[str, float]",
            {str(gas): one.specific_gas_constant_j_kg_k for gas, one in facts.items()},
        ),
        "CRITICAL_K": (
            "dict[str, float]",
            {str(gas): facts[gas].critical_temperature_k for gas in Gas},
        ),
        "CRITICAL_KG_M3": (
            "dict[str, float]",
            {str(gas): facts[gas].critical_kg_m3 for gas in Gas},
        ),
        "HEAT_CAPACITY_RATIO": (
            "dict[str, float]",
            {str(gas): properties.heat_capacity_ratio_reference(gas, *seen) for gas in Gas},
        ),
        "VISCOSITY_PA_S": (
            "dict[str, float]",
            {str(gas): properties.viscosity_reference_pa_s(gas, *seen) for gas in viscous},
        ),
        "SATURATION": (
            f"dict[str, dict[str, {row}]]",
            {str(gas): saturation_rows(gas) for gas in LIQUEFIED},
        ),
        "PERMANENT": (f"dict[str, {plane}]", {str(gas): permanent_rows(gas) for gas in PERMANENT}),
        "VAPOUR": (f"dict[str, {plane}]", {str(gas): vapour_rows(gas) for gas in LIQUEFIED}),
    }


def boiling_oxygen_kg_m3() -> float:
    """Density of liquid oxygen where it boils at one atmosphere, found by halving."""
    low_k, high_k = 80.0, 100.0
    while high_k - low_k > 1e-9:
        middle_k = (low_k + high_k) / 2.0
        boils = properties.saturation_reference_kpa(Gas.OXYGEN, middle_k)
        low_k, high_k = (middle_k, high_k) if boils < STANDARD_ATMOSPHERE_KPA else (low_k, middle_k)
    return properties.saturated_liquid_reference_kg_m3(Gas.OXYGEN, low_k)


def module_text() -> str:
    """The whole generated module."""
    head = (
        '"""Coefficients of gas properties; written by `tools/gas_tables.py`, not by hand.\n\n'
        "PERMANENT: (Z - 1) T/p in kelvin per kilopascal; VAPOUR: (1 - Z) psat/p; SATURATION:\n"
        'logarithms. All are powers, lowest first, of variables that run from -1 to 1.\n"""\n\n'
    )
    found = tables()
    names = "".join(f'    "{name}",\n' for name in sorted(found))
    body = "".join(f"{name}: {kind} = {written(value)}\n" for name, (kind, value) in found.items())
    return f"{head}__all__ = [\n{names}]\n\n{body}"


if __name__ == "__main__":
    PATH.write_text(module_text(), encoding="utf-8")
