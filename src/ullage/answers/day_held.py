"""What the cylinders, banks and vessels of a source hold, and what is kept back, draw by draw."""

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from ullage.answers.asked import Asked, Found, OtherDemand
from ullage.answers.dice import Dice
from ullage.answers.held import Policy, doubt_of, refuse_impossible, state_of, temperature_of
from ullage.answers.liquefied import by_weight, kept_liquefied_l, needs_weighing
from ullage.answers.plan import GasSource, Held, SourceKind
from ullage.answers.things import Place
from ullage.core.gas import contents_l, contents_many_l, liquid_oxygen_gas_l
from ullage.core.supply import ReserveRule, Spread, cylinder_bands, kept_back_l
from ullage.reference import sourced

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

__all__ = ["HeldDraws", "Keeping", "held_draws", "liquid_band_share"]

type Floats = NDArray[np.float64]

#: From the middle of a normal to its 5 or 95 % point.
_TO_THE_ENDS = 1.6448536269514722


@dataclass(frozen=True, slots=True)
class HeldDraws:
    """What one cylinder, bank or vessel holds and what of it is kept back, a number a draw."""

    contents_l: "Floats"
    kept_l: "Floats"
    best_contents_l: float
    best_kept_l: float

    @property
    def usable_l(self) -> "Floats":
        """[L] above what is kept back, never less than nothing."""
        import numpy as np

        return np.maximum(self.contents_l - self.kept_l, 0.0)

    @property
    def best_usable_l(self) -> float:
        """[L] the same from the numbers as they stand."""
        return max(self.best_contents_l - self.best_kept_l, 0.0)


@dataclass(frozen=True, slots=True)
class Keeping:
    """The policy with the demand that its minutes stand for, and the place."""

    policy: Policy
    peak_l_min: float
    place: Place


def liquid_band_share(source: GasSource) -> float:
    """How far the level of a vessel may be out, as a share; assumed where nobody has said."""
    if source.liquid_band_share is not None:
        return source.liquid_band_share
    return sourced("planning", "liquid_band_share").value


def held_draws(source: GasSource, keeping: Keeping, dice: Dice) -> tuple[HeldDraws, ...] | None:
    """What each cylinder, bank or vessel holds; None where a gauge cannot tell.

    Parameters
    ----------
    source : a source; one without contents of its own holds nothing.
    keeping : what is kept back.
    dice : where draws come from.

    Returns
    -------
    One for each, in the order of use.
    """
    if source.kind is SourceKind.LIQUID:
        return (_liquid(source, keeping, dice),)
    warmth = dice.even()
    found = []
    for place, held in enumerate(source.cylinders):
        refuse_impossible(held.cylinder, held.reading, keeping.place)
        duty = source.kind is SourceKind.MANIFOLD and place == 0
        rule = _duty_rule(source, keeping) if duty else keeping.policy.rule
        if held.cylinder.gas.liquefied:
            asked = _asked(held, keeping)
            if held.estimate_l is None and needs_weighing(asked):
                return None
            found.append(_liquefied(held, asked, dice))
        else:
            found.append(_gaseous(held, _with_rule(keeping, rule), warmth, dice))
    return tuple(found)


def _with_rule(keeping: Keeping, rule: ReserveRule) -> Keeping:
    return replace(keeping, policy=replace(keeping.policy, rule=rule))


def _duty_rule(source: GasSource, keeping: Keeping) -> ReserveRule:
    """A duty bank is used up when the manifold changes over, whatever else is kept back."""
    switch_kpa = source.change_over_kpa
    return ReserveRule(
        pressure_kpa=keeping.policy.rule.pressure_kpa if switch_kpa is None else switch_kpa
    )


def _liquid(source: GasSource, keeping: Keeping, dice: Dice) -> HeldDraws:
    best_l = liquid_oxygen_gas_l(source.liquid_l or 0.0)
    share = liquid_band_share(source)
    contents = best_l * (1.0 + share * dice.even())
    rule = replace(keeping.policy.rule, pressure_kpa=0.0)
    kept_l = kept_back_l(rule, 0.0, 0.0, keeping.peak_l_min)
    return HeldDraws(contents, contents * 0.0 + kept_l, best_l, kept_l)


def _asked(held: Held, keeping: Keeping) -> Asked:
    return Asked(
        cylinder=held.cylinder,
        reading=held.reading,
        fresh_l_min=max(keeping.peak_l_min, 0.001),
        other=OtherDemand(),
        policy=keeping.policy,
        place=keeping.place,
    )


def _gaseous(held: Held, keeping: Keeping, warmth: "Floats", dice: Dice) -> HeldDraws:
    cylinder, ambient_kpa = held.cylinder, keeping.place.barometric_kpa
    doubt = doubt_of(cylinder, held.reading, keeping.place)
    middle_k, band_k = temperature_of(held.reading, keeping.place)
    best_capacity = held.count * cylinder.water_capacity_l

    def per_litre(gauge_kpa: float, temperature_k: float) -> float:
        return contents_l(cylinder.gas, 1.0, gauge_kpa, temperature_k, ambient_kpa)

    at_k = middle_k + band_k * warmth
    capacity = best_capacity * (1.0 + doubt.water_share * dice.even())
    kept, best_kept_l = _kept(
        per_litre, keeping, (capacity, at_k), (best_capacity, middle_k, band_k)
    )
    if held.estimate_l is not None:
        contents = _estimated(held.estimate_l, dice)
        return HeldDraws(contents, kept, held.estimate_l[1], best_kept_l)
    state = state_of(cylinder, held.reading, keeping.place)
    gauge_kpa = (state.gauge_kpa + doubt.gauge_kpa * dice.even()).clip(min=0.0)
    contents = contents_many_l(cylinder.gas, 1.0, gauge_kpa, at_k, ambient_kpa) * capacity
    best_l = best_capacity * per_litre(state.gauge_kpa, middle_k)
    return HeldDraws(contents, kept, best_l, best_kept_l)


def _kept(
    per_litre: Callable[[float, float], float],
    keeping: Keeping,
    drawn: tuple["Floats", "Floats"],
    best: tuple[float, float, float],
) -> tuple["Floats", float]:
    """What is kept back by draws and as it stands; a straight line over the few degrees."""
    import numpy as np

    rule, peak_l_min = keeping.policy.rule, keeping.peak_l_min
    (capacity, at_k), (best_capacity, middle_k, band_k) = drawn, best
    ends_k = middle_k - band_k - 0.5, middle_k + band_k + 0.5

    def line(gauge_kpa: float) -> "Floats":
        low, high = (per_litre(gauge_kpa, kelvin) for kelvin in ends_k)
        return capacity * (low + (high - low) * (at_k - ends_k[0]) / (ends_k[1] - ends_k[0]))

    beyond_zero_l = kept_back_l(replace(rule, pressure_kpa=0.0), 0.0, 0.0, peak_l_min)
    at_zero = line(0.0)
    at_rule = line(rule.pressure_kpa) if rule.pressure_kpa else at_zero
    best_kept_l = kept_back_l(
        rule,
        best_capacity * per_litre(rule.pressure_kpa, middle_k),
        best_capacity * per_litre(0.0, middle_k),
        peak_l_min,
    )
    return np.maximum(at_rule, at_zero + beyond_zero_l), best_kept_l


def _estimated(estimate_l: tuple[float, float, float], dice: Dice) -> "Floats":
    low, middle, high = estimate_l
    sd_l = (high - low) / (2.0 * _TO_THE_ENDS)
    return (middle + sd_l * dice.normal()).clip(min=0.0)


def _liquefied(held: Held, asked: Asked, dice: Dice) -> HeldDraws:
    """By weight, or vapour alone below saturation; what is kept does not vary."""
    kept_l = held.count * kept_liquefied_l(asked)
    if held.estimate_l is not None:
        contents = _estimated(held.estimate_l, dice)
        return HeldDraws(contents, contents * 0.0 + kept_l, held.estimate_l[1], kept_l)
    inside = _inside(asked, held)
    # Nine tenths of a uniform band lie between the 5 and 95 % points.
    half_l = held.count * (inside.high - inside.low) / (2.0 * 0.9)
    best_l = held.count * inside.middle
    contents = (best_l + half_l * dice.even()).clip(min=0.0)
    return HeldDraws(contents, contents * 0.0 + kept_l, best_l, kept_l)


def _inside(asked: Asked, held: Held) -> Spread:
    if held.reading.weight_kg is not None:
        found: Found = by_weight(asked)
        return found.bands.contents_l
    state = state_of(held.cylinder, held.reading, asked.place)
    doubt = doubt_of(held.cylinder, held.reading, asked.place)
    return cylinder_bands(state, doubt, asked.policy.rule, asked.flow_l_min).contents_l
