"""What a source can give: above what is kept back, bank after bank, as liquid, within a limit."""

from collections.abc import Sequence
from itertools import accumulate

from ullage.core.checks import not_negative, positive, within

__all__ = [
    "concentrator_shortfall_l_min",
    "endurance_min",
    "in_turn_l",
    "liquid_loss_l_min",
    "usable_l",
]


def usable_l(contents_l: float, kept_l: float) -> float:
    """Gas above what is kept back; never less than nothing.

    Parameters
    ----------
    contents_l : [L] now, 0 or more.
    kept_l : [L] kept back, 0 or more.

    Returns
    -------
    [L]

    >>> usable_l(343.0, 69.0), usable_l(50.0, 69.0)
    (274.0, 0.0)
    """
    return max(not_negative("contents_l", contents_l) - not_negative("kept_l", kept_l), 0.0)


def endurance_min(usable_gas_l: float, flow_l_min: float) -> float:
    """How long usable gas lasts at a steady flow.

    Parameters
    ----------
    usable_gas_l : [L] above what is kept back, 0 or more.
    flow_l_min : [L/min] whole demand, above 0.

    Returns
    -------
    [min]

    >>> round(endurance_min(274.0, 1.7))
    161
    """
    return not_negative("usable_gas_l", usable_gas_l) / positive("flow_l_min", flow_l_min)


def in_turn_l(usable_each: Sequence[float]) -> tuple[float, ...]:
    """Litres taken when each of several cylinders or banks, used in turn, is used up.

    Parameters
    ----------
    usable_each : [1] litres of each, in the order of use.

    Returns
    -------
    [L] one for each; the last is what all give together.

    >>> in_turn_l([100.0, 300.0])
    (100.0, 400.0)
    """
    return tuple(accumulate(not_negative("usable_each", one) for one in usable_each))


def liquid_loss_l_min(contents_l: float, daily_loss_share: float) -> float:
    """Gas that a vessel of liquid loses by itself.

    Parameters
    ----------
    contents_l : [L] as gas, 0 or more.
    daily_loss_share : [1] lost in a day, 0 to 1.

    Returns
    -------
    [L/min]

    >>> round(liquid_loss_l_min(25_800.0, 0.015), 2)
    0.27
    """
    within("daily_loss_share", daily_loss_share, 0.0, 1.0)
    return not_negative("contents_l", contents_l) * daily_loss_share / (24.0 * 60.0)


def concentrator_shortfall_l_min(peak_l_min: float, limit_l_min: float) -> float:
    """Flow that is asked of a concentrator beyond what it can give.

    Parameters
    ----------
    peak_l_min : [L/min] highest steady demand, 0 or more.
    limit_l_min : [L/min] the most it gives at its stated oxygen share, above 0.

    Returns
    -------
    [L/min] 0 when it can serve.

    >>> concentrator_shortfall_l_min(6.5, 5.0), concentrator_shortfall_l_min(2.0, 5.0)
    (1.5, 0.0)
    """
    return max(not_negative("peak_l_min", peak_l_min) - positive("limit_l_min", limit_l_min), 0.0)
