"""Vapour of a liquid agent: its saturated pressure, and how much a millilitre of liquid gives."""

from dataclasses import dataclass
from math import log10

from ullage.core.checks import positive, within
from ullage.core.errors import InvalidQuantity
from ullage.core.units import STANDARD_ATMOSPHERE_KPA, ZERO_CELSIUS_K

__all__ = [
    "MOLAR_GAS_J_MOL_K",
    "VapourLine",
    "boiling_point_k",
    "molar_volume_l_mol",
    "vapour_per_liquid_l_l",
    "vapour_pressure_kpa",
]

#: Exact by definition of the mole and the kelvin.
MOLAR_GAS_J_MOL_K = 8.31446261815324


@dataclass(frozen=True, slots=True, kw_only=True)
class VapourLine:
    """Saturated vapour pressure as log10(P / unit) = a + b / (t + c), t in degrees Celsius.

    ``unit_kpa`` is the unit of P. The line is trusted from ``lowest_k`` to ``highest_k``.
    """

    a: float
    b: float
    c: float
    unit_kpa: float = 1.0
    lowest_k: float = 273.15
    highest_k: float = 333.15

    def __post_init__(self) -> None:
        positive("unit_kpa", self.unit_kpa)
        if not self.b < 0:
            raise InvalidQuantity("b", self.b, "below 0: vapour pressure rises with temperature")


def vapour_pressure_kpa(line: VapourLine, temperature_k: float) -> float:
    """Saturated vapour pressure of an agent.

    Parameters
    ----------
    line : constants of the agent.
    temperature_k : [K] of the liquid, inside the range of the line.

    Returns
    -------
    [kPa] absolute.

    Raises
    ------
    InvalidQuantity : a temperature outside the range of the line.

    Source: agents_base (section 1).

    >>> line = VapourLine(a=8.056, b=-1664.58, c=273.16, unit_kpa=0.133322387415)
    >>> round(vapour_pressure_kpa(line, 293.15) / 0.133322387415)
    239
    """
    within("temperature_k", temperature_k, line.lowest_k, line.highest_k)
    celsius_degrees = temperature_k - ZERO_CELSIUS_K
    return float(line.unit_kpa * 10.0 ** (line.a + line.b / (celsius_degrees + line.c)))


def boiling_point_k(line: VapourLine, absolute_kpa: float = STANDARD_ATMOSPHERE_KPA) -> float:
    """Temperature at which the agent boils.

    Parameters
    ----------
    line : constants of the agent.
    absolute_kpa : [kPa] of the place, above 0.

    Returns
    -------
    [K] by the line, also where that lies outside its range.

    Raises
    ------
    InvalidQuantity : a pressure not above 0.

    Source: agents_base (section 1).

    >>> line = VapourLine(a=8.056, b=-1664.58, c=273.16, unit_kpa=0.133322387415)
    >>> round(boiling_point_k(line) - 273.15, 1)
    48.5
    """
    positive("absolute_kpa", absolute_kpa)
    over = log10(absolute_kpa / line.unit_kpa) - line.a
    return line.b / over - line.c + ZERO_CELSIUS_K


def molar_volume_l_mol(temperature_k: float, absolute_kpa: float) -> float:
    """Volume of a mole of an ideal gas.

    Parameters
    ----------
    temperature_k : [K] above 0.
    absolute_kpa : [kPa] above 0.

    Returns
    -------
    [L/mol] of gas.

    Raises
    ------
    InvalidQuantity : a temperature or pressure not above 0.

    Source: ideal_gas.

    >>> round(molar_volume_l_mol(293.15, 101.325), 2)
    24.06
    """
    positive("temperature_k", temperature_k)
    return MOLAR_GAS_J_MOL_K * temperature_k / positive("absolute_kpa", absolute_kpa)


def vapour_per_liquid_l_l(
    liquid_kg_m3: float,
    molar_mass_g_mol: float,
    temperature_k: float = 293.15,
    absolute_kpa: float = STANDARD_ATMOSPHERE_KPA,
) -> float:
    """Volume of vapour that a volume of liquid turns into.

    Parameters
    ----------
    liquid_kg_m3 : [kg/m³] density of the liquid, above 0.
    molar_mass_g_mol : [g/mol] above 0.
    temperature_k : [K] of the vapour, above 0.
    absolute_kpa : [kPa] of the vapour, above 0.

    Returns
    -------
    [L/L] by the ideal gas law; saturated vapour carries up to 3.4 % more agent.

    Raises
    ------
    InvalidQuantity : a density, molar mass, temperature or pressure not above 0.

    Source: agents_base (sections 1 and 4).

    >>> round(vapour_per_liquid_l_l(1500.0, 184.5), 1)
    195.6
    """
    moles = positive("liquid_kg_m3", liquid_kg_m3) / positive("molar_mass_g_mol", molar_mass_g_mol)
    return moles * molar_volume_l_mol(temperature_k, absolute_kpa)
