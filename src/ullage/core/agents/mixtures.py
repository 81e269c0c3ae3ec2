"""Two agents in one vaporizer, as after refilling with the wrong bottle.

The liquid is taken as ideal: each agent keeps its share of its own vapour pressure (Raoult).
Halothane with enflurane is not ideal, so that the result is a guide and no more.
"""

from ullage.core.agents.vaporizers import saturation_ratio
from ullage.core.checks import not_negative, positive, within

__all__ = ["liquid_mole_fraction", "mixture_output_fraction", "mixture_vapour_kpa"]


def liquid_mole_fraction(
    liquid_ml: float, molar_density: float, other_ml: float, other_molar_density: float
) -> float:
    """Share of the molecules of a liquid mixture that are of the first agent.

    Parameters
    ----------
    liquid_ml : [mL] of the first agent, 0 or more.
    molar_density : [1] moles in a litre of the first liquid, above 0.
    other_ml : [mL] of the second agent, 0 or more.
    other_molar_density : [1] moles in a litre of the second liquid, above 0.

    Returns
    -------
    [1] 0 to 1.

    Raises
    ------
    InvalidQuantity : a volume below 0, or no liquid at all.

    Source: arithmetic.

    >>> round(liquid_mole_fraction(50.0, 8.11, 50.0, 7.61), 3)
    0.516
    """
    first = not_negative("liquid_ml", liquid_ml) * positive("molar_density", molar_density)
    second = not_negative("other_ml", other_ml) * positive(
        "other_molar_density", other_molar_density
    )
    return first / positive("liquid in the vaporizer", first + second)


def mixture_vapour_kpa(mole_fraction: float, vapour_kpa: float, other_vapour_kpa: float) -> float:
    """Vapour pressure of both agents together over an ideal mixture.

    Parameters
    ----------
    mole_fraction : [1] of the first agent in the liquid, 0 to 1.
    vapour_kpa : [kPa] of the first agent alone, above 0.
    other_vapour_kpa : [kPa] of the second agent alone, above 0.

    Returns
    -------
    [kPa] between the two.

    Raises
    ------
    InvalidQuantity : a fraction or pressure out of range.

    Source: ideal_gas (law of Raoult).

    >>> round(mixture_vapour_kpa(0.5, 31.7, 20.9), 1)
    26.3
    """
    within("mole_fraction", mole_fraction, 0.0, 1.0)
    first = mole_fraction * positive("vapour_kpa", vapour_kpa)
    return first + (1.0 - mole_fraction) * positive("other_vapour_kpa", other_vapour_kpa)


def mixture_output_fraction(
    mole_fraction: float,
    vapour_kpa: float,
    other_vapour_kpa: float,
    share: float,
    absolute_kpa: float,
) -> float:
    """What a splitting vaporizer delivers of the first agent of a mixture.

    Parameters
    ----------
    mole_fraction : [1] of the first agent in the liquid, 0 to 1.
    vapour_kpa : [kPa] of the first agent alone, above 0.
    other_vapour_kpa : [kPa] of the second agent alone, above 0.
    share : [1] of the carrier gas that goes through the chamber, 0 to 1.
    absolute_kpa : [kPa] in the chamber, above the vapour pressure of the mixture.

    Returns
    -------
    [1] fraction of the first agent; ask again with the agents exchanged for the second.

    Raises
    ------
    InvalidQuantity : a fraction, share or pressure out of range.

    Source: agents_base (section 4); ideal_gas (law of Raoult).

    >>> round(mixture_output_fraction(0.5, 31.7, 20.9, 0.03, 101.325), 4)
    0.0063
    """
    both = mixture_vapour_kpa(mole_fraction, vapour_kpa, other_vapour_kpa)
    through = within("share", share, 0.0, 1.0) * saturation_ratio(both, absolute_kpa)
    return through / (1.0 + through) * mole_fraction * vapour_kpa / both
