"""Waste gas: how long to purge, and the rules of scavenging."""

from ullage.answers.answer import Answer, Step, View, WhereFrom
from ullage.answers.exposure_things import Scavenging
from ullage.answers.lines import line_of
from ullage.answers.words import figure, minutes_text, span
from ullage.core.exposure import swept_fraction, swept_min
from ullage.reference import Sourced, Stated, sourced, stated

__all__ = ["purge_time", "scavenging_rules"]


def purge_time(
    volume_l: float,
    flow_l_min: float,
    start_ppm: float,
    end_ppm: float,
    mixing_factor: float | None = None,
) -> Answer:
    """How long clean gas must flow through a chamber or a room.

    Parameters
    ----------
    volume_l : [L] of the chamber or room, above 0.
    flow_l_min : [L/min] of gas without agent, above 0.
    start_ppm : [ppm] at first; 1 % is 10 000 ppm.
    end_ppm : [ppm] to be reached, above 0.
    mixing_factor : [1] None takes 1 to 10, and the answer is the band.

    Raises
    ------
    InvalidQuantity : a number outside its range.

    >>> purge_time(4.0, 4.0, 30_000.0, 1500.0, mixing_factor=1.0).number_text
    '3 min'
    """
    given = (volume_l, flow_l_min, start_ppm, end_ppm)
    low, high = (sourced("waste", f"mixing.{end}") for end in ("low", "high"))
    ends = (mixing_factor or low.value, mixing_factor or high.value)
    least, most = (swept_min(*given, one) for one in ends)
    value = None if mixing_factor is None else least
    said = span(least, most, "min") if value is None else minutes_text(value)
    left = swept_fraction(volume_l, flow_l_min, volume_l / flow_l_min * 3.0)
    return Answer(
        question="How long must clean gas flow before it may be opened?",
        value=value,
        unit="min",
        low=least,
        high=most,
        covers="a mixing factor of 1 to 10, from memory" if value is None else "",
        sentence=f"From {figure(start_ppm)} to {figure(end_ppm)} ppm takes {said}.",
        reasons=("Each volume of clean gas leaves about a third of what was there.",),
        steps=(
            Step(what="one volume", result=minutes_text(volume_l / flow_l_min)),
            Step(what="left after three volumes, well mixed", result=f"{figure(100 * left)} %"),
        ),
        where_from=(
            WhereFrom(
                source="machine_S127", how_known="seen", text="Purge time of a well-mixed box."
            ),
            line_of(high, "mixing"),
        ),
        assumptions=("The gas blown out goes to scavenging and not into the room.",),
        cautions=(
            "Agent is heavier than air and lies at the bottom: blow it out from below, or longer.",
            "An animal in the chamber wakes while it is purged: be ready for it.",
        ),
        views=_purge_views(volume_l, flow_l_min),
    )


def _purge_views(volume_l: float, flow_l_min: float) -> tuple[View, ...]:
    """What texts say about purging a chamber, beside what it leaves here."""
    volumes = sourced("breathing", "chamber.purge_volumes")
    seen, wiser = sourced("waste", "chamber.purge_s"), sourced("waste", "chamber.purge_wiser_s")
    sides = (
        (f"{figure(volumes.value)} volumes", volumes, volumes.value * volume_l / flow_l_min),
        (f"{figure(seen.value)} s", seen, seen.value / 60.0),
        ("30 to 60 s, the middle", wiser, wiser.value / 60.0),
    )
    return tuple(
        View(
            label=label,
            result=f"leaves {figure(100 * swept_fraction(volume_l, flow_l_min, minutes))} %",
            source=row.source,
            how_known=row.how_known.value,
            chosen=row is volumes,
        )
        for label, row, minutes in sides
    )


_KIND_RULES = {
    Scavenging.NONE: ("chamber", "mask", "filling", "programme"),
    Scavenging.PASSIVE: ("connector", "chamber", "mask", "filling", "programme"),
    Scavenging.ACTIVE: ("vacuum", "too_strong", "connector", "chamber", "filling", "programme"),
    Scavenging.CHARCOAL: (
        *("charcoal_nitrous_oxide", "charcoal_upright", "charcoal_weight"),
        *("cabinets", "chamber", "programme"),
    ),
}


def scavenging_rules(kind: Scavenging) -> Answer:
    """What to keep to with one kind of scavenging; texts that differ stand side by side.

    >>> scavenging_rules(Scavenging.CHARCOAL).cautions[0]
    'Charcoal does not hold nitrous oxide, and heat drives agent out of it again.'
    """
    rules = [stated("waste", f"rule.{one}") for one in _KIND_RULES[kind]]
    rows = [line_of(sourced("waste", f"relief.{one}.high_cmh2o")) for one in "abc"]
    value, low, high, unit, covers, row = _number(kind)
    return Answer(
        question=f"What must be kept to with {_QUESTION_WORDS[kind]}?",
        value=value,
        unit=unit,
        low=low,
        high=high,
        covers=covers,
        sentence=_RULE_SENTENCES[kind],
        reasons=("What the scavenger does not take, people breathe.",),
        steps=_scavenging_steps(kind),
        where_from=(*(_stated_line(one) for one in rules), *([line_of(row)] if row else []), *rows),
        cautions=tuple(one.text for one in rules),
    )


_QUESTION_WORDS = {
    Scavenging.NONE: "no scavenging",
    Scavenging.PASSIVE: "passive scavenging",
    Scavenging.ACTIVE: "active scavenging",
    Scavenging.CHARCOAL: "charcoal",
}


def _number(
    kind: Scavenging,
) -> tuple[float | None, float | None, float | None, str, str, Sourced | None]:
    """The number that goes with a kind: a most flow, a flow to set, or the relief pressures."""
    if kind is Scavenging.CHARCOAL:
        most = sourced("waste", "charcoal.most_l_min")
        return most.value, None, None, "L/min", "", most
    if kind is Scavenging.ACTIVE:
        flow = sourced("waste", "active.interface_l_min")
        return None, flow.low, flow.high, "L/min", "what a veterinary interface is set to", flow
    ends = [
        sourced("waste", f"relief.{one}.{end}_cmh2o").value
        for one in "abc"
        for end in ("low", "high")
    ]
    words = "relief of passive scavengers as three texts print it"
    return None, min(ends), max(ends), "cmH2O", words, None


_RULE_SENTENCES = {
    Scavenging.NONE: "Without scavenging all that leaves the machine goes into the room.",
    Scavenging.PASSIVE: "A passive line opens before the pressure hurts, and lets no suction in.",
    Scavenging.ACTIVE: "An active line is set by its bag: neither flat nor tight.",
    Scavenging.CHARCOAL: "Charcoal holds agents for a time, less above this flow, and no nitrous "
    "oxide at all.",
}


def _scavenging_steps(kind: Scavenging) -> tuple[Step, ...]:
    """Numbers beside the rules, each side with its source."""
    found = []
    for one in "abc":
        high, low = (sourced("waste", f"relief.{one}.{end}_cmh2o") for end in ("high", "low"))
        result = f"+{figure(high.value)} / {figure(low.value)} cmH2O"
        found.append(
            Step(
                what="passive relief, one of three texts", result=result, note=high.how_known.words
            )
        )
    if kind is Scavenging.ACTIVE:
        plant = sourced("waste", "active.plant_l_min")
        unit = sourced("waste", "active.interface_l_min")
        found += [
            Step(what="low-pressure plant", result=f"> {figure(plant.value)} L/min"),
            Step(
                what="veterinary interface",
                result=span(unit.low or 0.0, unit.high or 0.0, "L/min"),
            ),
        ]
    if kind is Scavenging.CHARCOAL:
        most = sourced("waste", "charcoal.most_l_min")
        found.append(
            Step(
                what="charcoal holds less above",
                result=f"{figure(most.value)} L/min",
                note=most.how_known.words,
            )
        )
    return tuple(found)


def _stated_line(row: Stated) -> WhereFrom:
    """Words of a table as a line of where-from."""
    text = f"{row.where[:1].upper()}{row.where[1:].rstrip('.')}."
    return WhereFrom(source=row.source, how_known=row.how_known.value, text=text)
