"""The common linear rule: litres as gauge pressure times a factor; named as such, with its error.

It takes contents as proportional to the gauge. Real oxygen is denser than that, and warmth
changes it more than the curve does; see `linear_rule_error_share`.
"""

from ullage.core.checks import not_negative, positive

__all__ = [
    "linear_rule_error_share",
    "linear_rule_factor_l_kpa",
    "linear_rule_l",
    "linear_rule_min",
]


def linear_rule_factor_l_kpa(full_l: float, full_gauge_kpa: float) -> float:
    """Factor of the common linear rule from what a full cylinder is said to hold.

    Parameters
    ----------
    full_l : [L] printed contents of a full one, above 0.
    full_gauge_kpa : [kPa] gauge pressure printed beside it, above 0.

    Returns
    -------
    [L/kPa]

    Source: supply_S2 (660 L at 1900 psi), supply_S61 (622 L at 2200 psi).

    >>> round(linear_rule_factor_l_kpa(660.0, 13_100.0) * 6.894757, 3)
    0.347
    """
    return positive("full_l", full_l) / positive("full_gauge_kpa", full_gauge_kpa)


def linear_rule_l(gauge_kpa: float, residual_kpa: float, factor_l_kpa: float) -> float:
    """Gas above a residual pressure by the common linear rule.

    Parameters
    ----------
    gauge_kpa : [kPa] gauge reading, 0 or more.
    residual_kpa : [kPa] gauge pressure kept back, 0 or more.
    factor_l_kpa : [L/kPa] of this size of cylinder, above 0.

    Returns
    -------
    [L] 0 at and below the residual.

    Source: supply_S4 (formula and residual), supply_S5 (factors).

    >>> round(linear_rule_l(13_789.5, 1_378.95, 0.28 / 6.894757))
    504
    """
    not_negative("gauge_kpa", gauge_kpa)
    not_negative("residual_kpa", residual_kpa)
    return max(gauge_kpa - residual_kpa, 0.0) * positive("factor_l_kpa", factor_l_kpa)


def linear_rule_min(
    gauge_kpa: float, residual_kpa: float, factor_l_kpa: float, flow_l_min: float
) -> float:
    """Minutes that a cylinder lasts by the common linear rule.

    Parameters
    ----------
    gauge_kpa : [kPa] gauge reading, 0 or more.
    residual_kpa : [kPa] gauge pressure kept back, 0 or more.
    factor_l_kpa : [L/kPa] of this size of cylinder, above 0.
    flow_l_min : [L/min] steady flow, above 0.

    Returns
    -------
    [min]

    Source: supply_S4 (minutes = (psi - residual) x factor / flow).

    >>> round(linear_rule_min(13_789.5, 1_378.95, 0.28 / 6.894757, 2.0))
    252
    """
    usable_l = linear_rule_l(gauge_kpa, residual_kpa, factor_l_kpa)
    return usable_l / positive("flow_l_min", flow_l_min)


def linear_rule_error_share(
    gauge_kpa: float, factor_l_kpa: float, contents_l: float, at_zero_l: float
) -> float:
    """Error of the common linear rule against what really comes out down to zero gauge.

    Parameters
    ----------
    gauge_kpa : [kPa] gauge reading, above 0.
    factor_l_kpa : [L/kPa] of this size of cylinder, above 0.
    contents_l : [L] contents at the reading by the equation of state.
    at_zero_l : [L] contents at zero gauge, which do not come out.

    Returns
    -------
    [1] above 0 where the rule promises too much.

    >>> round(linear_rule_error_share(13_789.5, 0.28 / 6.894757, 698.3, 4.7), 3)
    -0.193
    """
    positive("gauge_kpa", gauge_kpa)
    real_l = positive("contents_l - at_zero_l", contents_l - not_negative("at_zero_l", at_zero_l))
    return gauge_kpa * positive("factor_l_kpa", factor_l_kpa) / real_l - 1.0
