"""The property library, opened here alone and only when asked: it takes two seconds to load."""

__all__ = ["density_reference_kg_m3"]


def density_reference_kg_m3(fluid: str, temperature_k: float, absolute_kpa: float) -> float:
    """Density by the reference equation of state.

    Parameters
    ----------
    fluid : the library's own name of the gas.
    temperature_k : [K] above the triple point.
    absolute_kpa : [kPa] absolute, above 0.

    Returns
    -------
    [kg/m³]

    Source: coolprop (density at pressure and temperature).
    """
    import CoolProp

    state = CoolProp.AbstractState("HEOS", fluid)
    state.update(CoolProp.PT_INPUTS, absolute_kpa * 1000.0, temperature_k)
    return float(state.rhomass())
