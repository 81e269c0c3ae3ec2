"""Liquid used, how long a fill lasts, what it costs, and what it does to the climate."""

from ullage.core.checks import not_negative, positive, within

__all__ = [
    "climate_kg_h",
    "liquid_lasts_min",
    "liquid_price",
    "liquid_use_ml_h",
    "vapour_in_carrier_l_min",
    "vapour_in_outlet_l_min",
    "vapour_mass_kg_h",
]


def vapour_in_outlet_l_min(fraction: float, outlet_l_min: float) -> float:
    """Vapour in the gas that leaves the machine, when the whole flow is known.

    Parameters
    ----------
    fraction : [1] of the agent, 0 to 1.
    outlet_l_min : [L/min] with the vapour in it, 0 or more.

    Returns
    -------
    [L/min] of vapour.

    Raises
    ------
    InvalidQuantity : a fraction or flow out of range.

    Source: agents_base (section 4, V = f Q_out).

    >>> round(vapour_in_outlet_l_min(0.02, 1.0), 3)
    0.02
    """
    return within("fraction", fraction, 0.0, 1.0) * not_negative("outlet_l_min", outlet_l_min)


def vapour_in_carrier_l_min(fraction: float, carrier_l_min: float) -> float:
    """Vapour added to a carrier gas, when the flow set on the flowmeters is known.

    Parameters
    ----------
    fraction : [1] of the agent in the mixture, 0 to below 1.
    carrier_l_min : [L/min] without vapour, 0 or more.

    Returns
    -------
    [L/min] of vapour; 11 % more than the simple product at 10 %.

    Raises
    ------
    InvalidQuantity : a fraction or flow out of range.

    Source: agents_base (section 4, V = f/(1 - f) Q_carrier).

    >>> round(vapour_in_carrier_l_min(0.10, 1.0), 3)
    0.111
    """
    within("fraction", fraction, 0.0, 0.9)
    return fraction / (1.0 - fraction) * not_negative("carrier_l_min", carrier_l_min)


def liquid_use_ml_h(vapour_l_min: float, vapour_per_liquid_l_l: float) -> float:
    """Liquid agent used in an hour.

    Parameters
    ----------
    vapour_l_min : [L/min] of vapour, 0 or more.
    vapour_per_liquid_l_l : [L/L] vapour that the liquid turns into, above 0.

    Returns
    -------
    [mL/h] of liquid.

    Raises
    ------
    InvalidQuantity : a flow below 0, or a ratio not above 0.

    Source: agents_base (section 4, 60 V over mL of vapour from a mL of liquid).

    >>> round(liquid_use_ml_h(0.01, 195.0), 2)
    3.08
    """
    not_negative("vapour_l_min", vapour_l_min)
    return 60_000.0 * vapour_l_min / positive("vapour_per_liquid_l_l", vapour_per_liquid_l_l)


def liquid_lasts_min(liquid_ml: float, use_ml_h: float) -> float:
    """Minutes until a fill is used up.

    Parameters
    ----------
    liquid_ml : [mL] that can be used; what the wick keeps is left out. 0 or more.
    use_ml_h : [mL/h] above 0.

    Returns
    -------
    [min] at a use that does not change.

    Raises
    ------
    InvalidQuantity : a volume below 0, or a use not above 0.

    Source: arithmetic.

    >>> liquid_lasts_min(100.0, 12.0)
    500.0
    """
    return 60.0 * not_negative("liquid_ml", liquid_ml) / positive("use_ml_h", use_ml_h)


def liquid_price(liquid_ml: float, bottle_ml: float, bottle_price: float) -> float:
    """What a volume of liquid costs.

    Parameters
    ----------
    liquid_ml : [mL] used, 0 or more.
    bottle_ml : [mL] in a bottle, above 0.
    bottle_price : [1] of a bottle, in the site's money, 0 or more.

    Returns
    -------
    [1] in the same money.

    Raises
    ------
    InvalidQuantity : a volume or price out of range.

    Source: arithmetic.

    >>> liquid_price(12.5, 250.0, 60.0)
    3.0
    """
    share = not_negative("liquid_ml", liquid_ml) / positive("bottle_ml", bottle_ml)
    return share * not_negative("bottle_price", bottle_price)


def vapour_mass_kg_h(
    vapour_l_min: float, molar_mass_g_mol: float, molar_volume_l_mol: float
) -> float:
    """Mass of agent that flows in an hour: what charcoal gains that holds all of it.

    Parameters
    ----------
    vapour_l_min : [L/min] of agent, 0 or more.
    molar_mass_g_mol : [g/mol] above 0.
    molar_volume_l_mol : [L/mol] of a gas as the flow is measured, above 0.

    Returns
    -------
    [kg/h]

    Raises
    ------
    InvalidQuantity : a flow, molar mass or molar volume out of range.

    Source: machine_base (section 5.5, F f/(1 - f) M/24.06 60).

    >>> round(vapour_mass_kg_h(0.02 / 0.98, 184.49, 24.06), 5)
    0.00939
    """
    not_negative("vapour_l_min", vapour_l_min)
    moles_h = 60.0 * vapour_l_min / positive("molar_volume_l_mol", molar_volume_l_mol)
    return moles_h * positive("molar_mass_g_mol", molar_mass_g_mol) / 1000.0


def climate_kg_h(
    vapour_l_min: float, molar_mass_g_mol: float, warming: float, molar_volume_l_mol: float
) -> float:
    """Carbon dioxide that would warm as much as the agent vented in an hour.

    Parameters
    ----------
    vapour_l_min : [L/min] of agent or nitrous oxide, all of it vented, 0 or more.
    molar_mass_g_mol : [g/mol] above 0.
    warming : [1] global warming potential over 100 years, by mass, 0 or more.
    molar_volume_l_mol : [L/mol] of a gas as the flow is measured, above 0.

    Returns
    -------
    [kg/h] of carbon dioxide.

    Raises
    ------
    InvalidQuantity : a flow, molar mass or potential out of range.

    Source: agents_base (section 5).

    >>> round(climate_kg_h(0.12, 168.04, 2540.0, 24.06), 1)
    127.7
    """
    mass = vapour_mass_kg_h(vapour_l_min, molar_mass_g_mol, molar_volume_l_mol)
    return mass * not_negative("warming", warming)
