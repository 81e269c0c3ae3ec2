"""What is kept back: one policy as pressure, litres or minutes, turned into litres."""

from dataclasses import dataclass

from ullage.core.checks import not_negative, within

__all__ = ["ReserveRule", "kept_back_l", "reserve_from_minutes_l"]


@dataclass(frozen=True, slots=True, kw_only=True)
class ReserveRule:
    """What a site keeps back; the largest of those that are above 0 holds."""

    pressure_kpa: float = 0.0
    volume_l: float = 0.0
    minutes: float = 0.0

    def __post_init__(self) -> None:
        within("pressure_kpa", self.pressure_kpa, 0.0, 30_000.0)
        within("volume_l", self.volume_l, 0.0, 1e6)
        within("minutes", self.minutes, 0.0, 100_000.0)


def reserve_from_minutes_l(reserve_min: float, demand_l_min: float) -> float:
    """Gas that covers some minutes of the whole present demand.

    Parameters
    ----------
    reserve_min : [min] to be covered, 0 or more.
    demand_l_min : [L/min] fresh gas, drive gas and losses together, 0 or more.

    Returns
    -------
    [L]

    >>> reserve_from_minutes_l(15.0, 12.0)
    180.0
    """
    return not_negative("reserve_min", reserve_min) * not_negative("demand_l_min", demand_l_min)


def kept_back_l(
    rule: ReserveRule, at_pressure_l: float, at_zero_l: float, demand_l_min: float
) -> float:
    """Contents at which a cylinder counts as used up under a rule.

    Litres and minutes are counted above zero gauge, since what is left at zero gauge does not
    come out.

    Parameters
    ----------
    rule : pressure, litres, minutes; the largest holds.
    at_pressure_l : [L] contents at the pressure of the rule, at the temperature of the day.
    at_zero_l : [L] contents at zero gauge, at the temperature of the day.
    demand_l_min : [L/min] whole present demand, drive gas included.

    Returns
    -------
    [L]

    >>> rule = ReserveRule(pressure_kpa=1379, minutes=15)
    >>> kept_back_l(rule, 70.0, 5.0, 1.0), kept_back_l(rule, 70.0, 5.0, 10.0)
    (70.0, 155.0)
    """
    not_negative("at_pressure_l", at_pressure_l)
    not_negative("at_zero_l", at_zero_l)
    by_minutes_l = reserve_from_minutes_l(rule.minutes, demand_l_min)
    by_pressure_l = at_pressure_l if rule.pressure_kpa > 0 else at_zero_l
    return max(by_pressure_l, at_zero_l + max(rule.volume_l, by_minutes_l))
