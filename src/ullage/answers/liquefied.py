"""Liquefied gases: by weight, or what a gauge leaves open while liquid remains."""

from ullage.answers.answer import Answer, Step, Verdict, WhereFrom
from ullage.answers.asked import Asked, Found, with_flow
from ullage.answers.held import gauge_error_kpa, known_as, shown_l, temperature_of, temperature_text
from ullage.answers.things import Cylinder
from ullage.answers.words import figure, span
from ullage.core.gas import (
    Gas,
    liquefied_contents_l,
    liquid_gone_l,
    liquid_may_remain,
    liquid_remaining_range_l,
    litres_per_kg,
    vapour_contents_l,
)
from ullage.core.supply import Doubt, amount_bands, endurance_min, kept_back_l, usable_l
from ullage.reference import Sourced, sourced

__all__ = ["COLD", "by_weight", "kept_liquefied_l", "left_open_l", "needs_weighing", "weigh_it"]

COLD = "A cylinder that gives gas grows cold and its gauge sags: let it stand before you read it."
_ERRORS = "A printed limit ±a counts as uniform over ±a, a standard deviation as normal."


def needs_weighing(asked: Asked) -> bool:
    """True for a liquefied gas without a weight that can be used, while liquid may remain."""
    cylinder, reading = asked.cylinder, asked.reading
    if not cylinder.gas.liquefied:
        return False
    if reading.weight_kg is not None:
        return cylinder.tare_kg is None
    if reading.gauge_kpa is None:
        return True
    temperature_k, band_k = temperature_of(reading, asked.place)
    return liquid_may_remain(
        cylinder.gas,
        reading.gauge_kpa,
        temperature_k,
        asked.place.barometric_kpa,
        gauge_error_kpa(cylinder),
        band_k,
    )


def by_weight(asked: Asked) -> Found:
    """What a weighed cylinder of a liquefied gas comes to."""
    cylinder, reading, place = asked.cylinder, asked.reading, asked.place
    gross_kg, tare_kg = reading.weight_kg or 0.0, cylinder.tare_kg or 0.0
    band = sourced("planning", "weight_band_kg")
    inside_l = liquefied_contents_l(cylinder.gas, gross_kg, tare_kg)
    per_kg = litres_per_kg(cylinder.gas)
    bands = amount_bands(
        inside_l,
        band.value * per_kg,
        kept_liquefied_l(asked),
        with_flow(Doubt(), asked),
        asked.flow_l_min,
    )
    return Found(
        bands=bands,
        how=f"{gross_kg:g} kg less {tare_kg:g} kg tare, at {figure(shown_l(per_kg, place))} L/kg",
        note=(
            f"weight ± {band.value:g} kg: {asked.litres_span(bands.contents_l)};"
            f" free gas at {place.condition.name}"
        ),
        where_from=(
            WhereFrom(
                source="reading",
                how_known="seen",
                text=f"{gross_kg:g} kg on the scale, tare {tare_kg:g} kg.",
            ),
            WhereFrom(
                source="coolprop",
                how_known="computed",
                text=f"{figure(shown_l(per_kg, place))} L for each kg of {cylinder.gas}.",
            ),
            known_as(band, f"Scale and tare within {band.value:g} kg, assumed."),
        ),
        assumptions=(_ERRORS,),
        cautions=(COLD,),
    )


def kept_liquefied_l(asked: Asked) -> float:
    """[L] kept back of a liquefied gas: at the pressure of a rule only vapour is left."""
    cylinder, rule = asked.cylinder, asked.policy.rule
    temperature_k, _ = temperature_of(asked.reading, asked.place)
    where = (cylinder.gas, cylinder.water_capacity_l)
    ambient_kpa = asked.place.barometric_kpa
    if liquid_may_remain(cylinder.gas, rule.pressure_kpa, temperature_k, ambient_kpa):
        at_pressure_l = liquid_gone_l(*where, temperature_k)
    else:
        at_pressure_l = vapour_contents_l(*where, rule.pressure_kpa, temperature_k, ambient_kpa)
    at_zero_l = vapour_contents_l(*where, 0.0, temperature_k, ambient_kpa)
    return kept_back_l(rule, at_pressure_l, at_zero_l, asked.flow_l_min)


def weigh_it(asked: Asked, unit: str) -> Answer:
    """A liquefied gas by its gauge: the range it leaves open, and the question that settles it.

    Parameters
    ----------
    asked : the question.
    unit : ``min`` for how long it lasts, ``L`` for what is left.

    Returns
    -------
    An answer without a number.
    """
    least_l, most_l = left_open_l(asked)
    litres = span(shown_l(least_l, asked.place), shown_l(most_l, asked.place), "L")
    low, high = _ends(asked, unit, (least_l, most_l))
    said, settles = _what_settles(asked)
    lasts = unit == "min"
    gas = str(asked.cylinder.gas)
    return Answer(
        question=f"How long does it last at {asked.flow_words}?" if lasts else "What is left?",
        unit=unit,
        low=low,
        high=high,
        covers="everything the reading leaves open",
        sentence=f"{said} Anything from {litres} may be left.",
        settles=settles,
        reasons=(f"{gas.capitalize()} stands at one pressure as long as any liquid is left.",),
        steps=(
            Step(
                what="Least: the liquid has just gone. Most: filled to the limit",
                result=litres,
                note=f"{temperature_text(asked.reading, asked.place)},"
                f" {asked.cylinder.water_capacity_l:g} L of water inside",
            ),
        ),
        where_from=_open_from(asked, lasts),
        assumptions=(_ERRORS,),
        cautions=(COLD,),
        verdict=Verdict.LOOK_AGAIN,
        todo="Weigh it: gross weight less the tare stamped on the shoulder.",
    )


def _ends(asked: Asked, unit: str, ends_l: tuple[float, float]) -> tuple[float, float]:
    if unit == "L":
        return shown_l(ends_l[0], asked.place), shown_l(ends_l[1], asked.place)
    kept_l = kept_liquefied_l(asked)
    least, most = (endurance_min(usable_l(one, kept_l), asked.flow_l_min) for one in ends_l)
    return least, most


def _what_settles(asked: Asked) -> tuple[str, str]:
    if asked.reading.weight_kg is not None:
        said = "The weight alone cannot tell: read the tare."
        return said, "What tare is stamped on it?"
    return "The gauge cannot tell: weigh it.", "What does it weigh, and what is its tare?"


def _open_from(asked: Asked, lasts: bool) -> tuple[WhereFrom, ...]:
    return (
        WhereFrom(
            source="coolprop",
            how_known="computed",
            text=f"Saturation pressure and density of {asked.cylinder.gas}.",
        ),
        known_as(_filling(asked.cylinder), "Mass of gas in a full cylinder, per mass of water."),
        *(asked.policy.where_from if lasts else ()),
    )


def left_open_l(asked: Asked) -> tuple[float, float]:
    """[L] what a gauge leaves open, with its error and that of the temperature."""
    cylinder, reading, place = asked.cylinder, asked.reading, asked.place
    temperature_k, band_k = temperature_of(reading, place)
    capacity_l, ambient_kpa = cylinder.water_capacity_l, place.barometric_kpa
    _, most_l = liquid_remaining_range_l(
        cylinder.gas, capacity_l, temperature_k - band_k, _filling(cylinder).value
    )
    least_l = liquid_gone_l(cylinder.gas, capacity_l, temperature_k - band_k)
    if reading.gauge_kpa is not None:
        lowest_kpa = max(reading.gauge_kpa - gauge_error_kpa(cylinder), 0.0)
        if not liquid_may_remain(cylinder.gas, lowest_kpa, temperature_k, ambient_kpa):
            vapour_l = vapour_contents_l(
                cylinder.gas, capacity_l, lowest_kpa, temperature_k, ambient_kpa
            )
            least_l = min(least_l, vapour_l)
    return least_l, most_l


def _filling(cylinder: Cylinder) -> Sourced:
    """The most a cylinder may be filled with, by the highest limit that is known."""
    key = "n2o_uk_temperate_share" if cylinder.gas is Gas.NITROUS_OXIDE else "co2_2400_share"
    return sourced("liquefied", f"filling.{key}")
