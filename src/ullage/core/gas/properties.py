"""The property library, opened here alone and only when asked: it takes two seconds to load."""

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from typing import TYPE_CHECKING

from ullage.core.checks import positive, within
from ullage.core.errors import SolveFailed, UllageError
from ullage.core.gas.species import Gas

if TYPE_CHECKING:
    from CoolProp.CoolProp import AbstractState

__all__ = [
    "FluidConstants",
    "density_reference_kg_m3",
    "fluid_constants",
    "heat_capacity_ratio_reference",
    "library_version",
    "pressure_reference_kpa",
    "saturated_liquid_reference_kg_m3",
    "saturated_vapour_reference_kg_m3",
    "saturation_reference_kpa",
    "vapour_density_reference_kg_m3",
    "viscosity_reference_pa_s",
]

_FLUIDS = {
    Gas.OXYGEN: "Oxygen",
    Gas.AIR: "Air",
    Gas.NITROGEN: "Nitrogen",
    Gas.HELIUM: "Helium",
    Gas.CARBON_DIOXIDE: "CarbonDioxide",
    Gas.NITROUS_OXIDE: "NitrousOxide",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class FluidConstants:
    """What the equation of state of one gas takes as given; SI units as in the names."""

    specific_gas_constant_j_kg_k: float
    critical_temperature_k: float
    critical_kpa: float
    critical_kg_m3: float
    triple_temperature_k: float


def library_version() -> str:
    """Name and version of the property library."""
    import CoolProp

    return f"CoolProp {CoolProp.__version__}"


def fluid_constants(gas: Gas) -> FluidConstants:
    """What the equation of state of a gas takes as given."""
    state = _state(gas)
    return FluidConstants(
        specific_gas_constant_j_kg_k=state.gas_constant() / state.molar_mass(),
        critical_temperature_k=state.T_critical(),
        critical_kpa=state.p_critical() / 1000.0,
        critical_kg_m3=state.rhomass_critical(),
        triple_temperature_k=state.Ttriple(),
    )


def density_reference_kg_m3(gas: Gas, temperature_k: float, absolute_kpa: float) -> float:
    """Density by the reference equation of state, in whichever phase is stable.

    Parameters
    ----------
    gas : which one.
    temperature_k : [K] above the triple point.
    absolute_kpa : [kPa] absolute, above 0 and not the saturation pressure itself.

    Returns
    -------
    [kg/m³]

    Raises
    ------
    InvalidQuantity : a temperature that the equation does not cover.
    SolveFailed : the library finds no answer; its words are in the message.

    Source: coolprop (density at pressure and temperature).

    >>> round(density_reference_kg_m3(Gas.OXYGEN, 294.2611, 101.325), 4)
    1.3261
    """
    from CoolProp.CoolProp import PT_INPUTS

    positive("absolute_kpa", absolute_kpa)
    with _own_errors():
        state = _state_at(gas, temperature_k)
        state.update(PT_INPUTS, absolute_kpa * 1000.0, temperature_k)
        return float(state.rhomass())


def vapour_density_reference_kg_m3(gas: Gas, temperature_k: float, absolute_kpa: float) -> float:
    """Density of the vapour by the reference equation of state, up to saturation.

    Parameters
    ----------
    gas : which one.
    temperature_k : [K] between triple point and critical point.
    absolute_kpa : [kPa] absolute, above 0, at most the saturation pressure.

    Returns
    -------
    [kg/m³]

    Raises
    ------
    InvalidQuantity : a temperature that the equation does not cover.
    SolveFailed : the library finds no answer; its words are in the message.

    Source: coolprop (density at pressure and temperature, gas phase imposed).

    >>> round(vapour_density_reference_kg_m3(Gas.NITROUS_OXIDE, 293.15, 3000.0), 1)
    67.6
    """
    from CoolProp.CoolProp import PT_INPUTS, iphase_gas

    positive("absolute_kpa", absolute_kpa)
    with _own_errors():
        state = _state_at(gas, temperature_k)
        state.specify_phase(iphase_gas)
        state.update(PT_INPUTS, absolute_kpa * 1000.0, temperature_k)
        return float(state.rhomass())


def saturation_reference_kpa(gas: Gas, temperature_k: float) -> float:
    """Saturation pressure by the reference equation of state.

    Parameters
    ----------
    gas : which one.
    temperature_k : [K] between triple point and critical point.

    Returns
    -------
    [kPa] absolute.

    Raises
    ------
    SolveFailed : no saturation at this temperature.

    Source: coolprop (pressure at quality and temperature).

    >>> round(saturation_reference_kpa(Gas.NITROUS_OXIDE, 293.15))
    5053
    """
    with _own_errors():
        return float(_saturated(gas, temperature_k, 1.0).p()) / 1000.0


def saturated_liquid_reference_kg_m3(gas: Gas, temperature_k: float) -> float:
    """Density of the saturated liquid by the reference equation of state.

    Parameters
    ----------
    gas : which one.
    temperature_k : [K] between triple point and critical point.

    Returns
    -------
    [kg/m³]

    Raises
    ------
    SolveFailed : no saturation at this temperature.

    Source: coolprop (density at quality and temperature).

    >>> round(saturated_liquid_reference_kg_m3(Gas.NITROUS_OXIDE, 293.15), 1)
    785.1
    """
    with _own_errors():
        return float(_saturated(gas, temperature_k, 0.0).rhomass())


def saturated_vapour_reference_kg_m3(gas: Gas, temperature_k: float) -> float:
    """Density of the saturated vapour by the reference equation of state.

    Parameters
    ----------
    gas : which one.
    temperature_k : [K] between triple point and critical point.

    Returns
    -------
    [kg/m³]

    Raises
    ------
    SolveFailed : no saturation at this temperature.

    Source: coolprop (density at quality and temperature).

    >>> round(saturated_vapour_reference_kg_m3(Gas.NITROUS_OXIDE, 293.15), 1)
    158.0
    """
    with _own_errors():
        return float(_saturated(gas, temperature_k, 1.0).rhomass())


def pressure_reference_kpa(gas: Gas, temperature_k: float, density_kg_m3: float) -> float:
    """Pressure at which a closed vessel of one mean density stands, liquid or not.

    Parameters
    ----------
    gas : which one.
    temperature_k : [K] above the triple point.
    density_kg_m3 : [kg/m³] mass over volume of the vessel, above 0.

    Returns
    -------
    [kPa] absolute.

    Raises
    ------
    InvalidQuantity : a temperature that the equation does not cover.
    SolveFailed : the library finds no answer; its words are in the message.

    Source: coolprop (pressure at density and temperature).

    >>> round(pressure_reference_kpa(Gas.NITROUS_OXIDE, 293.15, 300.0))
    5053
    """
    from CoolProp.CoolProp import DmassT_INPUTS

    positive("density_kg_m3", density_kg_m3)
    with _own_errors():
        state = _state_at(gas, temperature_k)
        state.update(DmassT_INPUTS, density_kg_m3, temperature_k)
        return float(state.p()) / 1000.0


def viscosity_reference_pa_s(gas: Gas, temperature_k: float, absolute_kpa: float) -> float:
    """Viscosity by the library's correlation for the gas; it has none for nitrous oxide.

    Parameters
    ----------
    gas : which one.
    temperature_k : [K] above the triple point.
    absolute_kpa : [kPa] absolute, above 0.

    Returns
    -------
    [Pa s]

    Raises
    ------
    SolveFailed : the library has no correlation for this gas.

    Source: coolprop (viscosity at pressure and temperature).

    >>> f"{viscosity_reference_pa_s(Gas.OXYGEN, 294.2611, 101.325):.2e}"
    '2.03e-05'
    """
    from CoolProp.CoolProp import PT_INPUTS

    positive("absolute_kpa", absolute_kpa)
    with _own_errors():
        state = _state_at(gas, temperature_k)
        state.update(PT_INPUTS, absolute_kpa * 1000.0, temperature_k)
        return float(state.viscosity())


def heat_capacity_ratio_reference(gas: Gas, temperature_k: float, absolute_kpa: float) -> float:
    """Ratio of the heat capacities at constant pressure and constant volume.

    Parameters
    ----------
    gas : which one.
    temperature_k : [K] above the triple point.
    absolute_kpa : [kPa] absolute, above 0.

    Returns
    -------
    [1]

    Raises
    ------
    InvalidQuantity : a temperature that the equation does not cover.
    SolveFailed : the library finds no answer; its words are in the message.

    Source: coolprop (heat capacities at pressure and temperature).

    >>> round(heat_capacity_ratio_reference(Gas.OXYGEN, 294.2611, 101.325), 3)
    1.397
    """
    from CoolProp.CoolProp import PT_INPUTS

    positive("absolute_kpa", absolute_kpa)
    with _own_errors():
        state = _state_at(gas, temperature_k)
        state.update(PT_INPUTS, absolute_kpa * 1000.0, temperature_k)
        return float(state.cpmass() / state.cvmass())


def _state(gas: Gas) -> "AbstractState":
    """A state of its own for each call: a shared one would mix up threads."""
    from CoolProp.CoolProp import AbstractState

    return AbstractState("HEOS", _FLUIDS[gas])


def _state_at(gas: Gas, temperature_k: float) -> "AbstractState":
    """The library extrapolates without a word: refuse what its equation does not cover."""
    state = _state(gas)
    within("temperature_k", temperature_k, state.Tmin(), state.Tmax())
    return state


def _saturated(gas: Gas, temperature_k: float, vapour_fraction: float) -> "AbstractState":
    from CoolProp.CoolProp import QT_INPUTS

    state = _state_at(gas, temperature_k)
    state.update(QT_INPUTS, vapour_fraction, temperature_k)
    return state


@contextmanager
def _own_errors() -> Iterator[None]:
    try:
        yield
    except UllageError:
        raise
    except ValueError as error:
        raise SolveFailed(f"The equation of state gives no answer: {error}") from error
