"""What a planned case takes: oxygen, nitrous oxide and absorbent."""

from ullage.answers.answer import Answer, Step
from ullage.answers.breathing import FlowPhase
from ullage.answers.case_stretches import Planned
from ullage.answers.case_things import Stretch
from ullage.answers.lines import line_of
from ullage.answers.words import figure, minutes_text
from ullage.core.breathing import vented_fraction
from ullage.reference import sourced

__all__ = ["absorbent_used", "gas_demand"]

_ENDS = 1.645


def gas_demand(planned: Planned) -> dict[str, Answer]:
    """Oxygen and nitrous oxide that the case asks of the supply, in litres."""
    found = {"oxygen": _demand(planned, "oxygen")}
    if any(one.nitrous_oxide_l_min for one in planned.stretches):
        found["nitrous_oxide"] = _demand(planned, "nitrous oxide")
    return found


def _flow(one: Stretch, gas: str) -> float:
    return one.oxygen_l_min if gas == "oxygen" else one.nitrous_oxide_l_min


def _demand(planned: Planned, gas: str) -> Answer:
    """Flow times minutes of each phase, and the fillings of a chamber with oxygen."""
    given = [one for one in planned.stretches if one.planned]
    case = planned.given.case
    litres = sum(_flow(one, gas) * one.minutes for one in given)
    spread = sourced("planning", "minutes_sd_share")
    share = case.minutes_sd_share if case.minutes_sd_share is not None else spread.value
    off = _ENDS * share * litres
    chamber = case.chamber
    filled = 0.0
    if chamber is not None and gas == "oxygen":
        filled = (chamber.fills + chamber.purges) * chamber.volumes * chamber.volume_l
    steps = [
        Step(
            what=f"{one.name}, {minutes_text(one.minutes)} at {figure(_flow(one, gas))} L/min",
            result=f"{figure(_flow(one, gas) * one.minutes)} L",
        )
        for one in given
        if _flow(one, gas)
    ]
    extra = (Step(what="filling and purging the chamber", result=f"{figure(filled)} L"),)
    return Answer(
        question=f"How much {gas} does the case take?",
        value=litres + filled,
        unit="L",
        low=max(0.0, litres - off) + filled,
        high=litres + off + filled,
        covers="the length of the case",
        sentence=f"The case takes {figure(litres + filled)} L of {gas}.",
        reasons=("Litres are flow times minutes, counted as free gas at 70 °F and 1 atm.",),
        steps=(*steps, *(extra if filled else ())),
        where_from=(line_of(spread),),
        assumptions=(
            "Checks, flushes, leaks and the drive gas of a ventilator are added by the day plan.",
        ),
    )


def absorbent_used(planned: Planned) -> Answer:
    """Absorbent that the case uses up, at the three capacities."""
    made = planned.animal["co2_output_l_min"]
    breath = planned.animal["minute_volume_l_min"].value
    kept = sum(
        made.value * one.minutes * (1.0 - vented_fraction(one.flow_l_min, breath))
        for one in planned.stretches
        if one.planned and one.phase is not FlowPhase.WAKING and not one.in_chamber
    )
    rows = [sourced("breathing", f"absorbent.{one}_l_kg") for one in _CAPACITIES]
    most, value, least = (1000.0 * kept / row.value for row in rows)
    down, up = ((end or made.value) / made.value for end in (made.low, made.high))
    return Answer(
        question="How much absorbent does the case use up?",
        value=value,
        unit="g",
        low=least * down,
        high=most * up,
        covers="capacity from optimistic to cautious, and what the animal makes",
        sentence=f"The case uses up about {figure(value)} g of absorbent.",
        reasons=("What leaves with the overflow never reaches it.",),
        steps=(Step(what="carbon dioxide taken up", result=f"{figure(kept)} L"),),
        where_from=(*(line_of(row) for row in rows), *made.where_from),
        cautions=("Inspired carbon dioxide above 0 means change it now.",),
    )


_CAPACITIES = ("cautious", "typical", "optimistic")
