"""Liquid agent used: how much, how long a fill lasts, what it costs, how much it warms."""

from dataclasses import dataclass

from ullage.answers.agents import Liquid, liquid_of
from ullage.answers.answer import Answer, Step, View, WhereFrom
from ullage.answers.lines import band_together, line_of
from ullage.answers.words import figure, minutes_text
from ullage.core.agents import (
    climate_kg_h,
    liquid_lasts_min,
    liquid_price,
    liquid_use_ml_h,
    vapour_in_carrier_l_min,
)
from ullage.core.checks import not_negative, positive, within
from ullage.core.errors import UnknownReference
from ullage.reference import Sourced, sourced, table

__all__ = ["Delivery", "agent_climate", "agent_cost", "agent_used", "vaporizer_lasts"]

#: The sets of warming potentials, the one chosen first, in words.
_SETS = {
    "set_2012": "Set of 2012, as quoted in print",
    "set_ar6": "IPCC AR6, from memory",
    "set_2010": "Older set of 2010",
    "set_recalled": "From memory",
}
_N2O = "nitrous oxide"


@dataclass(frozen=True, slots=True, kw_only=True)
class Delivery:
    """Agent delivered for a time: what the vaporizer adds to the flow set on the flowmeters.

    ``dial_share`` is how far the output may be from the dial; none takes that of the standard.
    """

    agent: str
    fraction: float
    fresh_gas_l_min: float
    minutes: float = 60.0
    nitrous_oxide_l_min: float = 0.0
    dial_share: float | None = None

    def __post_init__(self) -> None:
        within("fraction", self.fraction, 0.0, 0.5)
        not_negative("fresh_gas_l_min", self.fresh_gas_l_min)
        positive("minutes", self.minutes)
        within("nitrous_oxide_l_min", self.nitrous_oxide_l_min, 0.0, self.fresh_gas_l_min)

    @property
    def vapour_l_min(self) -> float:
        """[L/min] of vapour added to the carrier gas."""
        return vapour_in_carrier_l_min(self.fraction, self.fresh_gas_l_min)

    def dial_ratio(self) -> tuple[float, float]:
        """Output over dial at both ends of its accuracy."""
        share = self.dial_share
        if share is None:
            share = sourced("agents", "accuracy.of_setting_percent").value / 100.0
        return 1.0 - share, 1.0 + share

    @property
    def words(self) -> str:
        """The delivery as a person says it."""
        return (
            f"{figure(100 * self.fraction)} % {self.agent} in {figure(self.fresh_gas_l_min)} L/min"
        )


def _use(delivery: Delivery) -> tuple[float, float, float, Liquid]:
    """Liquid an hour [mL/h] with its ends, and the liquid."""
    liquid = liquid_of(delivery.agent)
    ratio = liquid.vapour_per_liquid.value
    use = liquid_use_ml_h(delivery.vapour_l_min, ratio)
    more = 1.0 + _more_than_ideal(delivery.agent)
    low, high = band_together(use, delivery.dial_ratio(), (1.0, more))
    return use, low, high, liquid


def _more_than_ideal(agent: str) -> float:
    """Share by which saturated vapour carries more agent than an ideal gas; 0 where not printed."""
    row = table("agents").get(f"{agent.strip().lower()}.more_than_ideal_percent")
    return row.value / 100.0 if isinstance(row, Sourced) else 0.0


def _where(liquid: Liquid, delivery: Delivery) -> tuple[WhereFrom, ...]:
    lines = [line_of(liquid.vapour_per_liquid, "vapour from a millilitre")]
    if delivery.dial_share is None:
        lines.append(line_of(sourced("agents", "accuracy.of_setting_percent"), "accuracy"))
    else:
        said = "Accuracy of the vaporizer, entered for this question."
        lines.append(WhereFrom(source="entered", how_known="site", text=said))
    return tuple(lines)


_ALL_VENTED = (
    "All vapour that the vaporizer adds is counted, whether the animal takes it up or not."
)


def agent_used(delivery: Delivery) -> Answer:
    """How much liquid agent a delivery uses, beside the common rule.

    Raises
    ------
    UnknownReference : a gas, or an agent not known.

    >>> agent_used(Delivery(agent="isoflurane", fraction=0.02, fresh_gas_l_min=1.0)).number_text
    '6.28 mL'
    """
    use, low, high, liquid = _use(delivery)
    hours = delivery.minutes / 60.0
    factor_key = "rule.sevoflurane_factor" if liquid.agent == "sevoflurane" else "rule.factor"
    factor = sourced("agents", factor_key)
    rule = factor.value * delivery.fresh_gas_l_min * 100 * delivery.fraction * hours
    return Answer(
        question=f"How much {liquid.agent} is used in {minutes_text(delivery.minutes)}?",
        value=use * hours,
        unit="mL",
        low=low * hours,
        high=high * hours,
        covers="accuracy of the vaporizer and of the vapour volume",
        sentence=f"{delivery.words} for {minutes_text(delivery.minutes)} uses "
        f"{figure(use * hours)} mL of liquid, {figure(use)} mL an hour.",
        reasons=(
            f"A millilitre gives {figure(liquid.vapour_per_liquid.value)} mL of vapour at 20 °C.",
            "Use is proportional to fresh gas flow and to the dial.",
        ),
        steps=(
            Step(what="vapour added", result=f"{figure(1000 * delivery.vapour_l_min)} mL/min"),
            Step(what="liquid an hour", result=f"{figure(use)} mL/h"),
        ),
        where_from=_where(liquid, delivery),
        assumptions=(_ALL_VENTED,),
        views=(
            _view("Vapour volume of the agent", f"{figure(use * hours)} mL", liquid, chosen=True),
            View(
                label=f"Common rule, {factor.value:g} x L/min x per cent an hour",
                result=f"{figure(rule)} mL",
                source=factor.source,
                how_known=factor.how_known.value,
            ),
        ),
    )


def _view(label: str, result: str, liquid: Liquid, *, chosen: bool) -> View:
    row = liquid.vapour_per_liquid
    return View(
        label=label, result=result, source=row.source, how_known=row.how_known.value, chosen=chosen
    )


def vaporizer_lasts(delivery: Delivery, fill_ml: float, kept_ml: float | None = None) -> Answer:
    """How long a vaporizer delivers before it runs low.

    Parameters
    ----------
    delivery : what it delivers; its minutes do not matter here.
    fill_ml : [mL] in the vaporizer now, what the wick holds included.
    kept_ml : [mL] that the wick keeps and that cannot be used; none takes the printed range.

    Raises
    ------
    InvalidQuantity : a fill below what the wick keeps, or no use at all.

    >>> flow = Delivery(agent="isoflurane", fraction=0.02, fresh_gas_l_min=1.0)
    >>> vaporizer_lasts(flow, 150.0, kept_ml=50.0).number_text
    '15 h 56 min'
    """
    use, slow, fast, liquid = _use(delivery)
    positive("fill_ml", fill_ml)
    little, middle, much, where = _wick(kept_ml)
    within("kept_ml", much, 0.0, fill_ml)
    value = liquid_lasts_min(fill_ml - middle, use)
    doubt = () if kept_ml is not None else (_WICK_RECALLED,)
    return Answer(
        question=f"How long does the {liquid.agent} in the vaporizer last?",
        value=value,
        unit="min",
        low=min(value, liquid_lasts_min(fill_ml - much, fast)),
        high=max(value, liquid_lasts_min(fill_ml - little, slow)),
        covers="accuracy of the vaporizer and what the wick keeps",
        sentence=f"{figure(fill_ml)} mL last {minutes_text(value)} at {delivery.words}.",
        reasons=(
            f"{figure(use)} mL are used an hour, and about {figure(middle)} mL stay in the wick.",
        ),
        steps=(
            Step(what="liquid that can be used", result=f"{figure(fill_ml - middle)} mL"),
            Step(what="liquid an hour", result=f"{figure(use)} mL/h"),
        ),
        where_from=(*_where(liquid, delivery), where),
        assumptions=("Dial and flow stay as they are.", *doubt),
        cautions=(_SIGHT_GLASS,),
    )


_WICK_RECALLED = "What the wick keeps is from memory: see the maker's manual."
_SIGHT_GLASS = (
    "Look at the sight glass: fill before it reaches the lower mark, with the bottle and the "
    "filler of this agent."
)


def _wick(kept_ml: float | None) -> tuple[float, float, float, WhereFrom]:
    """What the wick keeps [mL]: least, middle, most, and on whose word."""
    if kept_ml is not None:
        said = "What the wick keeps, entered."
        return kept_ml, kept_ml, kept_ml, WhereFrom(source="entered", how_known="site", text=said)
    least, most = (sourced("agents", f"fill.wick_{end}_ml") for end in ("low", "high"))
    middle = (least.value + most.value) / 2.0
    return least.value, middle, most.value, line_of(least, "what the wick keeps")


def agent_cost(
    delivery: Delivery, bottle_ml: float, bottle_price: float, money: str = "of the site's money"
) -> Answer:
    """What the agent of a delivery costs.

    Parameters
    ----------
    delivery : what is delivered and for how long.
    bottle_ml : [mL] in a bottle.
    bottle_price : [1] of a bottle.
    money : the name of the site's money.

    Raises
    ------
    InvalidQuantity : a bottle of no volume, or a price below 0.

    >>> flow = Delivery(agent="isoflurane", fraction=0.02, fresh_gas_l_min=1.0)
    >>> agent_cost(flow, 250.0, 50.0, "EUR").number_text
    '1.26 EUR'
    """
    use, low, high, liquid = _use(delivery)
    hours = delivery.minutes / 60.0
    value, least, most = (
        liquid_price(one * hours, bottle_ml, bottle_price) for one in (use, low, high)
    )
    said = f"{figure(bottle_price)} {money} for a bottle of {figure(bottle_ml)} mL, entered."
    return Answer(
        question=f"What does the {liquid.agent} of {minutes_text(delivery.minutes)} cost?",
        value=value,
        unit=money,
        low=least,
        high=most,
        covers="accuracy of the vaporizer and of the vapour volume",
        sentence=f"{delivery.words} for {minutes_text(delivery.minutes)} costs {figure(value)} "
        f"{money} of agent.",
        reasons=("Cost is proportional to fresh gas flow and to the dial.",),
        steps=(Step(what="liquid used", result=f"{figure(use * hours)} mL"),),
        where_from=(
            *_where(liquid, delivery),
            WhereFrom(source="entered", how_known="site", text=said),
        ),
        assumptions=(_ALL_VENTED,),
    )


def agent_climate(delivery: Delivery, which: str | None = None) -> Answer:
    """What a delivery does to the climate, with every set of warming potentials beside it.

    Parameters
    ----------
    delivery : agent, and the nitrous oxide in the fresh gas.
    which : the set chosen by the site; none takes the first that has every gas.

    Raises
    ------
    UnknownReference : a set that lacks a gas of the delivery.

    >>> flow = Delivery(agent="desflurane", fraction=0.06, fresh_gas_l_min=2.0)
    >>> agent_climate(flow).number_text
    '136 kg CO2e'
    """
    liquid = liquid_of(delivery.agent)
    found = _by_set(delivery)
    chosen = which or next(iter(found), "none")
    if chosen not in found:
        gases, sets = " and ".join(_gases(delivery)), ", ".join(found) or "none"
        raise UnknownReference(f"{chosen} has no warming potential of {gases}; sets: {sets}.")
    value = found[chosen]
    low, high = band_together(value, delivery.dial_ratio())
    return Answer(
        question=f"How much does the gas of {minutes_text(delivery.minutes)} warm the climate?",
        value=value,
        unit="kg CO2e",
        low=min(low, *found.values()),
        high=max(high, *found.values()),
        covers="accuracy of the vaporizer, and the sets of warming potentials",
        sentence=f"{delivery.words} for {minutes_text(delivery.minutes)} warms as much as "
        f"{figure(value)} kg of carbon dioxide, if all of it is vented.",
        reasons=("The effect is proportional to fresh gas flow: halving the flow halves it.",),
        steps=_climate_steps(delivery),
        where_from=(
            line_of(_row(chosen, liquid.agent), "warming potential"),
            line_of(liquid.molar_mass, "molar mass"),
            line_of(sourced("agents", "molar_volume_l_mol"), "molar volume"),
        ),
        assumptions=("All of it is vented; charcoal holds some back.",),
        views=_climate_views(found, chosen, liquid.agent),
    )


def _by_set(delivery: Delivery) -> dict[str, float]:
    """The whole delivery by every set that has all its gases [kg]."""
    amounts = {one: _warming(delivery, one) for one in _SETS}
    return {one: amount for one, amount in amounts.items() if amount is not None}


def _row(which: str, agent: str) -> Sourced:
    return sourced("agents", f"warming.{which}.{agent}")


def _has(which: str, agent: str) -> bool:
    return f"warming.{which}.{agent}" in table("agents")


def _gases(delivery: Delivery) -> dict[str, float]:
    """Flow of each gas that warms [L/min]."""
    flows = {liquid_of(delivery.agent).agent: delivery.vapour_l_min}
    if delivery.nitrous_oxide_l_min:
        flows[_N2O] = delivery.nitrous_oxide_l_min
    return flows


def _warming(delivery: Delivery, which: str) -> float | None:
    """Carbon dioxide of the whole delivery [kg]; None where the set lacks one of its gases."""
    total = 0.0
    for gas, flow in _gases(delivery).items():
        if not _has(which, gas):
            return None
        mass = sourced("agents", f"{gas}.molar_mass_g_mol").value
        volume = sourced("agents", "molar_volume_l_mol").value
        total += climate_kg_h(flow, mass, _row(which, gas).value, volume)
    return total * delivery.minutes / 60.0


def _climate_steps(delivery: Delivery) -> tuple[Step, ...]:
    return tuple(
        Step(what=f"{gas} vented", result=f"{figure(1000 * flow)} mL/min")
        for gas, flow in _gases(delivery).items()
    )


def _climate_views(found: dict[str, float], chosen: str, agent: str) -> tuple[View, ...]:
    if len(found) < 2:
        return ()
    return tuple(
        View(
            label=_SETS[which],
            result=f"{figure(amount)} kg CO2e",
            source=_row(which, agent).source,
            how_known=_row(which, agent).how_known.value,
            chosen=which == chosen,
        )
        for which, amount in found.items()
    )
