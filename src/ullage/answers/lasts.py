"""How much is in a cylinder, and how long it lasts at a steady flow."""

from ullage.answers.answer import Answer, Step, Verdict, View, WhereFrom
from ullage.answers.asked import Asked, Found, OtherDemand, flow_error, with_flow
from ullage.answers.held import (
    doubt_of,
    known_as,
    policy_of,
    pressure_text,
    refuse_impossible,
    shown_l,
    state_of,
    temperature_text,
)
from ullage.answers.linear import linear_rules
from ullage.answers.liquefied import COLD, by_weight, needs_weighing, weigh_it
from ullage.answers.things import Cylinder, Place, Reading, ReservePolicy
from ullage.answers.words import figure, minutes_text, span
from ullage.core.checks import positive
from ullage.core.gas import Gas, standard_flow_factor
from ullage.core.supply import cylinder_bands, endurance_min
from ullage.reference import HowKnown, sourced, sources

__all__ = ["OtherDemand", "cylinder_contents", "cylinder_lasts"]

STEADY = "The cylinder keeps its temperature while it empties."
ERRORS = "A printed limit ±a counts as uniform over ±a, a standard deviation as normal."
FLOWMETER = "The flowmeter reads litres counted at 70 °F and 1 atm."
COVERS = "9 of 10 times, from the errors of gauge, temperature, water capacity and flow"
DRIVE_GAS = (
    "A ventilator driven by gas draws more than the fresh gas flow: add what drives it, or read"
    " the gauge more often."
)
_TRUE_PRESSURE = "What is kept back is a true pressure; the gauge's error does not cancel there."


def cylinder_lasts(
    cylinder: Cylinder,
    reading: Reading,
    flow_l_min: float,
    policy: ReservePolicy | None = None,
    place: Place | None = None,
    other: OtherDemand | None = None,
) -> Answer:
    """How long a cylinder lasts at a steady flow, until what is kept back is reached.

    Parameters
    ----------
    cylinder : what it is.
    reading : gauge or weight, and the room.
    flow_l_min : [L/min] fresh gas drawn, above 0.
    policy : what is kept back; None takes the proposal.
    place : the room; None takes sea level at 20 ± 5 °C.
    other : drive gas and leak beside the fresh gas.

    Returns
    -------
    [min] with the 90 % band of gauge, temperature, water capacity and flow. A liquefied gas read
    by its gauge has a range and no number: weigh it.

    Raises
    ------
    InvalidQuantity : a flow not above 0.
    RuleBroken : a reading that no such cylinder can show.

    >>> half_e = Reading(at_min=0, gauge_kpa=6895.0)
    >>> cylinder_lasts(Cylinder(gas=Gas.OXYGEN, water_capacity_l=4.76), half_e, 1.0).number_text
    '4 h 33 min'
    """
    positive("flow_l_min", flow_l_min)
    where = place or Place()
    refuse_impossible(cylinder, reading, where)
    asked = Asked(
        cylinder=cylinder,
        reading=reading,
        fresh_l_min=flow_l_min,
        other=other or OtherDemand(),
        policy=policy_of(policy or ReservePolicy(), where),
        place=where,
    )
    if needs_weighing(asked):
        return weigh_it(asked, "min")
    return _lasts(asked, _found(asked))


def cylinder_contents(cylinder: Cylinder, reading: Reading, place: Place | None = None) -> Answer:
    """What is in a cylinder by its gauge, or by its weight for a liquefied gas.

    Parameters
    ----------
    cylinder : what it is.
    reading : gauge or weight, and the room.
    place : the room; None takes sea level at 20 ± 5 °C.

    Returns
    -------
    [L] free gas as the place counts it, the last atmosphere included.

    Raises
    ------
    RuleBroken : a reading that no such cylinder can show.

    >>> read = Reading(at_min=0, gauge_kpa=7100.0, temperature_k=293.15)
    >>> cylinder_contents(Cylinder(gas=Gas.OXYGEN, water_capacity_l=4.7), read).number_text
    '343 L'
    """
    where = place or Place()
    refuse_impossible(cylinder, reading, where)
    asked = Asked(
        cylinder=cylinder,
        reading=reading,
        fresh_l_min=1.0,  # contents do not depend on it
        other=OtherDemand(),
        policy=policy_of(ReservePolicy(), where),
        place=where,
    )
    if needs_weighing(asked):
        return weigh_it(asked, "L")
    found = _found(asked)
    inside = found.bands.contents_l
    low, middle, high = (shown_l(one, where) for one in (inside.low, inside.middle, inside.high))
    return Answer(
        question="What is left?",
        value=middle,
        low=low,
        high=high,
        unit="L",
        covers="9 of 10 times, from the errors of gauge or scale, temperature and water capacity",
        sentence=f"About {figure(middle)} L of {cylinder.gas} are left ({span(low, high, 'L')}).",
        reasons=(f"{found.how}.",),
        steps=(Step(what=found.how, result=f"{figure(middle)} L", note=found.note),),
        where_from=found.where_from,
        assumptions=found.assumptions,
        cautions=found.cautions or ("Read the label for the gas; the gauge does not know it.",),
    )


def _lasts(asked: Asked, found: Found) -> Answer:
    lasts = found.bands.minutes
    verdict, todo = _verdict(asked, found)
    return Answer(
        question=f"How long does it last at {asked.flow_words}?",
        value=lasts.middle,
        low=lasts.low,
        high=lasts.high,
        unit="min",
        covers=COVERS,
        sentence=_sentence(asked, found),
        reasons=_reasons(asked, found),
        steps=_steps(asked, found),
        where_from=(*found.where_from, *asked.policy.where_from, *_flow_from(asked)),
        assumptions=_assumptions(asked, found),
        cautions=(*found.cautions, *(() if asked.other.drive_l_min else (DRIVE_GAS,))),
        views=_views(asked, lasts.middle),
        verdict=verdict,
        todo=todo,
    )


def _found(asked: Asked) -> Found:
    if asked.cylinder.gas.liquefied and asked.reading.weight_kg is not None:
        return by_weight(asked)
    return _by_gauge(asked)


def _by_gauge(asked: Asked) -> Found:
    cylinder, reading, place = asked.cylinder, asked.reading, asked.place
    state, doubt = state_of(cylinder, reading, place), doubt_of(cylinder, reading, place)
    bands = cylinder_bands(state, with_flow(doubt, asked), asked.policy.rule, asked.flow_l_min)
    shown = pressure_text(state.gauge_kpa, place)
    warmth = temperature_text(reading, place)
    given = place.temperature_given or reading.temperature_k is not None
    untold = () if given else (f"No temperature was given: {warmth}.",)
    return Found(
        bands=bands,
        how=f"{shown} on the gauge, {warmth}, {cylinder.water_capacity_l:g} L of water inside,"
        " by real-gas tables",
        note=f"gauge ± {pressure_text(doubt.gauge_kpa, place)}, capacity"
        f" ± {100 * doubt.water_share:g} %: {asked.litres_span(bands.contents_l)};"
        f" free gas at {place.condition.name}",
        where_from=_gauge_from(asked, f"{shown} on the gauge, {warmth}."),
        assumptions=(*untold, STEADY, ERRORS),
        cautions=(COLD,) if cylinder.gas.liquefied else (),
    )


def _gauge_from(asked: Asked, read: str) -> tuple[WhereFrom, ...]:
    cylinder = asked.cylinder
    if cylinder.gauge_error_share is None:
        error = known_as(
            sourced("supply", "gauge_error_share"), "Gauge within 2.5 % of its full scale."
        )
    else:
        error = WhereFrom(
            source="reading",
            how_known="seen",
            text=f"Gauge within {100 * cylinder.gauge_error_share:g} % of its full scale.",
        )
    return (
        WhereFrom(source="reading", how_known="seen", text=read),
        capacity_from(cylinder),
        WhereFrom(
            source="coolprop",
            how_known="computed",
            text=f"Litres of {cylinder.gas} from its equation of state.",
        ),
        error,
    )


def capacity_from(cylinder: Cylinder) -> WhereFrom:
    """Where a water capacity comes from: a preset's source, or what somebody read."""
    text = f"{cylinder.water_capacity_l:g} L of water"
    source, _, known = cylinder.capacity_source.partition(" ")
    if source in sources() and known in set(HowKnown):
        return WhereFrom(source=source, how_known=known, text=f"{text}, the preset of this size.")
    said = {"stamp": "stamped on it", "label": "by its label"}.get(source, "as entered")
    return WhereFrom(source="reading", how_known="seen", text=f"{text}, {said}.")


def _sentence(asked: Asked, found: Found) -> str:
    lasts = found.bands.minutes
    gas = str(asked.cylinder.gas).capitalize()
    if lasts.middle <= 0:
        return f"{gas} has reached what is kept back, {asked.policy.words}. Change the cylinder."
    band = span(lasts.low, lasts.high, "min")
    return f"{gas} lasts about {minutes_text(lasts.middle)} at {asked.flow_words} ({band})."


def _reasons(asked: Asked, found: Found) -> tuple[str, ...]:
    usable = asked.litres(found.bands.usable_l.middle)
    return (
        f"{usable} are above what is kept back ({asked.policy.words}).",
        f"{figure(asked.flow_l_min)} L/min are drawn in all.",
    )


def _steps(asked: Asked, found: Found) -> tuple[Step, ...]:
    bands = found.bands
    kept, lasts = asked.litres(bands.kept_l.middle), bands.minutes
    return (
        Step(what=found.how, result=asked.litres(bands.contents_l.middle), note=found.note),
        Step(
            what=f"Less what is kept back: {asked.policy.words}",
            result=asked.litres(bands.usable_l.middle),
            note=f"{kept} kept back leaves {asked.litres_span(bands.usable_l)}",
        ),
        Step(
            what=f"Divided by {figure(asked.flow_l_min)} L/min",
            result=f"{lasts.middle:.0f} min",
            note=f"{lasts.low:.0f} to {lasts.high:.0f} min",
        ),
    )


def _flow_from(asked: Asked) -> tuple[WhereFrom, ...]:
    error = flow_error(asked.fresh_l_min)
    kind = "one standard deviation" if error.key == "flow_sd_share" else "a limit"
    return (
        WhereFrom(source="entered", how_known="seen", text=f"{asked.flow_words} drawn."),
        known_as(error, f"Flow known to {100 * error.value:g} %, {kind}."),
    )


def _assumptions(asked: Asked, found: Found) -> tuple[str, ...]:
    lines = [*found.assumptions, FLOWMETER, _TRUE_PRESSURE]
    if asked.policy.assumption:
        lines.append(asked.policy.assumption)
    if not asked.other.leak_l_min:
        lines.append("No leak.")
    factor = standard_flow_factor(asked.place.barometric_kpa)
    if factor < 0.97:
        lines.append(
            f"At {asked.place.barometric_kpa:.0f} kPa a float made for sea level passes"
            f" {factor:.2f} of what it shows; not counted, so it lasts rather longer."
        )
    return tuple(lines)


def _views(asked: Asked, minutes: float) -> tuple[View, ...]:
    """The common linear rules beside the answer, each with its difference from it."""
    gauge_kpa = asked.reading.gauge_kpa
    if gauge_kpa is None or minutes <= 0:
        return ()
    chosen = View(
        label="Real-gas tables",
        result=f"{minutes:.0f} min",
        source="coolprop",
        how_known="computed",
        chosen=True,
    )
    rules = []
    for rule in linear_rules(asked.cylinder):
        by_rule = endurance_min(rule.usable_l(gauge_kpa), asked.flow_l_min)
        rules.append(rule.view(f"{by_rule:.0f} min ({100 * (by_rule / minutes - 1):+.0f} %)"))
    return (chosen, *rules) if rules else ()


def _verdict(asked: Asked, found: Found) -> tuple[Verdict, str]:
    usable = found.bands.usable_l
    if usable.middle <= 0:
        return Verdict.STOP, "Change the cylinder before you begin."
    if usable.low <= 0:
        return Verdict.STOP, "It may already be at what is kept back: change the cylinder."
    gauge_kpa, begin_kpa = asked.reading.gauge_kpa, asked.policy.begin_kpa
    if asked.cylinder.gas is Gas.OXYGEN and gauge_kpa is not None and gauge_kpa < begin_kpa:
        half = pressure_text(begin_kpa, asked.place)
        return Verdict.LOOK_AGAIN, f"Below about {half} do not begin without a second source."
    return Verdict.FINE, ""
