"""What a vaporizer delivers: splitting, heated and measured-flow types, at any pressure.

Two models of a splitting vaporizer away from the pressure it was calibrated at stand side by
side: the rule of constant partial pressure and the splitting equation itself.
"""

from ullage.core.checks import positive, within
from ullage.core.errors import InvalidQuantity
from ullage.core.units import STANDARD_ATMOSPHERE_KPA

__all__ = [
    "bypass_per_chamber",
    "heated_dial_fraction",
    "measured_flow_fraction",
    "partial_pressure_output_fraction",
    "saturation_ratio",
    "splitting_output_fraction",
    "splitting_pressure_output_fraction",
    "splitting_share",
    "wrong_agent_fraction",
]


def saturation_ratio(vapour_kpa: float, absolute_kpa: float) -> float:
    """Vapour over carrier gas in a saturated chamber.

    Parameters
    ----------
    vapour_kpa : [kPa] saturated vapour pressure of the agent, above 0.
    absolute_kpa : [kPa] in the chamber, above the vapour pressure.

    Returns
    -------
    [1] volumes of vapour for each volume of carrier gas.

    Raises
    ------
    InvalidQuantity : a vapour pressure at which the agent boils there.

    Source: agents_base (section 4, r = S/(P - S)).

    >>> round(saturation_ratio(31.73, 101.325), 3)
    0.456
    """
    positive("vapour_kpa", vapour_kpa)
    positive("absolute_kpa", absolute_kpa)
    if vapour_kpa >= absolute_kpa:
        allowed = f"below the {absolute_kpa:g} kPa of the chamber: the agent boils there"
        raise InvalidQuantity("vapour_kpa", vapour_kpa, allowed)
    return vapour_kpa / (absolute_kpa - vapour_kpa)


def splitting_output_fraction(share: float, vapour_kpa: float, absolute_kpa: float) -> float:
    """Output of a splitting vaporizer whose split is known.

    Parameters
    ----------
    share : [1] of the carrier gas that goes through the chamber, 0 to 1.
    vapour_kpa : [kPa] saturated vapour pressure of what is in it, above 0.
    absolute_kpa : [kPa] in the chamber, above the vapour pressure.

    Returns
    -------
    [1] fraction of the agent in the gas that leaves.

    Raises
    ------
    InvalidQuantity : a share or pressure out of range.

    Source: agents_base (section 4, f = x r/(1 + x r)).

    >>> round(splitting_output_fraction(0.022141, 31.73, 101.325), 4)
    0.01
    """
    through = within("share", share, 0.0, 1.0) * saturation_ratio(vapour_kpa, absolute_kpa)
    return through / (1.0 + through)


def splitting_share(dial_fraction: float, vapour_kpa: float, calibrated_kpa: float) -> float:
    """Share of the carrier gas that a splitting vaporizer sends through its chamber.

    Parameters
    ----------
    dial_fraction : [1] as set, 0 to below the largest that the chamber can give.
    vapour_kpa : [kPa] of the agent that the dial was made for, at its temperature.
    calibrated_kpa : [kPa] at which the dial was calibrated, above the vapour pressure.

    Returns
    -------
    [1] 0 to 1.

    Raises
    ------
    InvalidQuantity : a dial that no split can reach; a pressure out of range.

    Source: agents_base (section 4, x = [f/(1 - f)]/r).

    >>> round(splitting_share(0.01, 31.73, 101.325), 4)
    0.0222
    """
    ratio = saturation_ratio(vapour_kpa, calibrated_kpa)
    most = ratio / (1.0 + ratio)
    if not 0.0 <= dial_fraction <= most:
        allowed = f"between 0 and the {most:.3f} of a saturated chamber"
        raise InvalidQuantity("dial_fraction", dial_fraction, allowed)
    return min(1.0, dial_fraction / (1.0 - dial_fraction) / ratio)


def bypass_per_chamber(share: float) -> float:
    """Flow past the chamber over flow through it.

    Parameters
    ----------
    share : [1] of the carrier gas that goes through the chamber, above 0, to 1.

    Returns
    -------
    [1] the splitting ratio, 0 or more.

    Raises
    ------
    InvalidQuantity : a share of 0 or out of range.

    Source: agents_base (section 4).

    >>> round(bypass_per_chamber(0.0222))
    44
    """
    within("share", share, 0.0, 1.0)
    return (1.0 - share) / positive("share", share)


def partial_pressure_output_fraction(
    dial_fraction: float, absolute_kpa: float, calibrated_kpa: float = STANDARD_ATMOSPHERE_KPA
) -> float:
    """Output at another pressure by the rule that the partial pressure stays.

    Parameters
    ----------
    dial_fraction : [1] as set, 0 to 1.
    absolute_kpa : [kPa] at the outlet: barometric plus any steady back pressure.
    calibrated_kpa : [kPa] at which the dial was calibrated.

    Returns
    -------
    [1] fraction delivered.

    Raises
    ------
    InvalidQuantity : a fraction or pressure out of range.

    Source: agents_base (section 4, the teaching rule for variable bypass).

    >>> round(partial_pressure_output_fraction(0.01, 84.66), 4)
    0.012
    """
    within("dial_fraction", dial_fraction, 0.0, 1.0)
    positive("calibrated_kpa", calibrated_kpa)
    return dial_fraction * calibrated_kpa / positive("absolute_kpa", absolute_kpa)


def splitting_pressure_output_fraction(
    dial_fraction: float,
    vapour_kpa: float,
    absolute_kpa: float,
    calibrated_kpa: float = STANDARD_ATMOSPHERE_KPA,
) -> float:
    """Output at another pressure by the splitting equation, the split staying as it was.

    Parameters
    ----------
    dial_fraction : [1] as set, 0 to 1.
    vapour_kpa : [kPa] of the agent at its temperature.
    absolute_kpa : [kPa] at the outlet, above the vapour pressure.
    calibrated_kpa : [kPa] at which the dial was calibrated, above the vapour pressure.

    Returns
    -------
    [1] fraction delivered; the worst case at altitude.

    Raises
    ------
    InvalidQuantity : a fraction or pressure out of range.

    Source: agents_base (section 4, splitting equation).

    >>> round(splitting_pressure_output_fraction(0.01, 31.73, 84.66), 4)
    0.0131
    """
    share = splitting_share(dial_fraction, vapour_kpa, calibrated_kpa)
    return splitting_output_fraction(share, vapour_kpa, absolute_kpa)


def heated_dial_fraction(
    wanted_fraction: float, absolute_kpa: float, calibrated_kpa: float = STANDARD_ATMOSPHERE_KPA
) -> float:
    """Dial of a heated vaporizer that gives the partial pressure wanted.

    A heated dual-circuit vaporizer delivers its dial in volume per cent at any pressure.

    Parameters
    ----------
    wanted_fraction : [1] as it would be set at the pressure of calibration, 0 to 1.
    absolute_kpa : [kPa] of the place.
    calibrated_kpa : [kPa] of calibration.

    Returns
    -------
    [1] dial to set, higher at altitude.

    Raises
    ------
    InvalidQuantity : a fraction or pressure out of range.

    Source: agents_base (section 4).

    >>> round(heated_dial_fraction(0.06, 81.06), 3)
    0.075
    """
    return partial_pressure_output_fraction(wanted_fraction, absolute_kpa, calibrated_kpa)


def measured_flow_fraction(
    chamber_l_min: float, other_l_min: float, vapour_kpa: float, absolute_kpa: float
) -> float:
    """Output of a bubble-through vaporizer with a flowmeter of its own.

    Parameters
    ----------
    chamber_l_min : [L/min] of carrier gas through the chamber, 0 or more.
    other_l_min : [L/min] of carrier gas that passes it by, 0 or more.
    vapour_kpa : [kPa] of the agent at its temperature.
    absolute_kpa : [kPa] in the chamber, above the vapour pressure.

    Returns
    -------
    [1] fraction of the agent in the whole, its own vapour counted.

    Raises
    ------
    InvalidQuantity : a flow below 0, no flow at all, or a pressure out of range.

    Source: agents_base (section 4; course notes drop the vapour from the whole).

    >>> round(measured_flow_fraction(0.1, 5.0, 32.4, 101.325), 4)
    0.0091
    """
    within("chamber_l_min", chamber_l_min, 0.0, 100.0)
    within("other_l_min", other_l_min, 0.0, 1000.0)
    carrier = positive("flow through and past the chamber", chamber_l_min + other_l_min)
    vapour = chamber_l_min * saturation_ratio(vapour_kpa, absolute_kpa)
    return vapour / (carrier + vapour)


def wrong_agent_fraction(
    dial_fraction: float, made_for_kpa: float, filled_with_kpa: float, absolute_kpa: float
) -> float:
    """Output of a splitting vaporizer that holds another agent than it was made for.

    Parameters
    ----------
    dial_fraction : [1] as set, 0 to below the largest that the chamber can give.
    made_for_kpa : [kPa] saturated vapour pressure of the agent on its label.
    filled_with_kpa : [kPa] saturated vapour pressure of the agent inside.
    absolute_kpa : [kPa] in the chamber, above both.

    Returns
    -------
    [1] fraction of the agent inside.

    Raises
    ------
    InvalidQuantity : a dial or pressure out of range; an agent that boils there.

    Source: agents_base (section 4: the same split, the other vapour pressure).

    >>> round(wrong_agent_fraction(0.02, 20.93, 31.73, 101.325), 4)
    0.0345
    """
    share = splitting_share(dial_fraction, made_for_kpa, absolute_kpa)
    return splitting_output_fraction(share, filled_with_kpa, absolute_kpa)
