"""How much of a drug an entry says was given: by dose and weight, by volume and concentration."""

from collections.abc import Mapping
from dataclasses import dataclass, replace

from ullage.answers.answer import Answer, Step, Verdict, WhereFrom
from ullage.answers.lines import line_of
from ullage.answers.record.things import EntryText
from ullage.answers.record.words import MEASURES, measure
from ullage.answers.words import figure
from ullage.core.checks import positive
from ullage.core.errors import UnreadableQuantity
from ullage.reference import sourced

__all__ = ["drug_given"]

#: Unit of a dose -> mg of it for one animal, or for each kilogram.
_DOSES = {"mg/kg": (1.0, True), "ug/kg": (1e-3, True), "mg": (1.0, False), "ug": (1e-3, False)}
_VOLUMES_ML = {"mL": 1.0, "uL": 1e-3, "L": 1e3}
#: Unit of a concentration -> unit of the amount, and how much of it is in 1 mL.
_IN_ML = {
    "mg/mL": ("mg", 1.0),
    "ug/mL": ("mg", 1e-3),
    "%": ("mg", 10.0),
    "[iU]/mL": ("[iU]", 1.0),
}
_ENTERED = WhereFrom(
    source="entered", how_known="seen", text="Dose, volume and concentration as they were typed."
)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Way:
    """One way to the amount: what came out, in what unit, and the step that says how."""

    amount: float
    unit: str
    step: Step


def drug_given(entry: EntryText, weight_kg: float | None) -> Answer:
    """The amount of a drug that was given, as the entry says it.

    Parameters
    ----------
    entry : of a drug, as it stands.
    weight_kg : [kg] of the animal at that time; None where nobody recorded it.

    Returns
    -------
    [mg] from volume and concentration where both were entered, else from dose and weight; ``[iU]``
    where the concentration is in it. Look again: the two ways differ by more than is let by, and
    there is no number. Not yet: neither way can be gone.

    Raises
    ------
    InvalidQuantity : a weight that is none.
    """
    if weight_kg is not None:
        positive("weight_kg", weight_kg)
    doubts: list[str] = []
    by_dose = _by_dose(entry.details, weight_kg, doubts)
    by_volume = _by_volume(entry.details, doubts)
    ways = [one for one in (by_volume, by_dose) if one]
    answer = Answer(
        question=f"How much {entry.what.strip() or 'of the drug'} was given?",
        unit=ways[0].unit if ways else "mg",
        verdict=Verdict.FINE,
        sentence="",
        reasons=("What was entered is never changed; it is asked about where it disagrees.",),
        steps=tuple(one.step for one in ways),
        where_from=(_ENTERED,),
        assumptions=_assumed(entry.details),
    )
    if not ways:
        return _unknown(answer, doubts)
    if len(ways) == 1 or ways[0].unit != ways[1].unit:
        return _one(answer, ways[0], doubts)
    return _two(answer, ways[0], ways[1])


def _read(details: Mapping[str, str], name: str, doubts: list[str]) -> tuple[float, str] | None:
    """A measure of an entry as a number with its unit; what cannot be read is a doubt."""
    typed = details.get(name, "").strip()
    if not typed:
        doubts.append(f"No {name} was recorded.")
        return None
    try:
        found = measure(typed, MEASURES[name], name.capitalize())
    except UnreadableQuantity as why:
        doubts.append(str(why))
        return None
    value = float(found.number)
    if value < 0.0:
        doubts.append(f"{name.capitalize()} {typed} lies below nothing.")
        return None
    return value, found.unit


def _by_dose(details: Mapping[str, str], weight_kg: float | None, doubts: list[str]) -> _Way | None:
    read = _read(details, "dose", doubts)
    if read is None:
        return None
    value, unit = read
    if unit not in _DOSES:
        doubts.append(f"A dose in {unit} needs how long it ran.")
        return None
    mg, is_by_weight = _DOSES[unit]
    if not is_by_weight:
        return _way("dose as typed", value * mg, "mg", f"{figure(value)} {unit}")
    if weight_kg is None:
        doubts.append("The weight of the animal was not recorded.")
        return None
    told = f"{figure(value)} {unit} for {figure(weight_kg)} kg"
    return _way("dose by weight", value * mg * weight_kg, "mg", told)


def _by_volume(details: Mapping[str, str], doubts: list[str]) -> _Way | None:
    volume = _read(details, "volume", doubts)
    concentration = _read(details, "concentration", doubts)
    if volume is None or concentration is None:
        return None
    unit, in_ml = _IN_ML[concentration[1]]
    amount = volume[0] * _VOLUMES_ML[volume[1]] * concentration[0] * in_ml
    told = f"{figure(volume[0])} {volume[1]} of {figure(concentration[0])} {concentration[1]}"
    return _way("volume by concentration", amount, unit, told)


def _way(what: str, amount: float, unit: str, told: str) -> _Way:
    step = Step(what=what, result=f"{figure(amount)} {unit}", note=f"{told}.")
    return _Way(amount=amount, unit=unit, step=step)


def _assumed(details: Mapping[str, str]) -> tuple[str, ...]:
    if not details.get("concentration", "").strip().endswith("%"):
        return ()
    return ("A concentration in % is taken as grams in 100 mL.",)


def _unknown(answer: Answer, doubts: list[str]) -> Answer:
    return replace(
        answer,
        verdict=Verdict.NOT_YET,
        sentence="The amount that was given is not recorded.",
        settles="How much was given: which volume of which concentration, or which dose?",
        cautions=tuple(doubts),
        todo="Enter what is known as an amendment with its reason; leave out what nobody knows.",
    )


def _one(answer: Answer, way: _Way, doubts: list[str]) -> Answer:
    return replace(
        answer,
        value=way.amount,
        sentence=f"{way.step.result} was given, by {way.step.what}.",
        cautions=("There is only one way to this amount; nothing confirms it.", *doubts),
    )


def _two(answer: Answer, by_volume: _Way, by_dose: _Way) -> Answer:
    """Both ways: they agree, or it is asked which of them is right."""
    allowed = sourced("record", "drug_disagreement_share")
    low, high = sorted((by_volume.amount, by_dose.amount))
    answer = replace(
        answer,
        low=low,
        high=high,
        covers="both ways to the amount",
        where_from=(_ENTERED, line_of(allowed)),
    )
    if high - low <= allowed.value * high:
        said = by_volume.step.result
        return replace(
            answer, value=by_volume.amount, sentence=f"{said} was given; both ways agree."
        )
    first, second = by_volume.step, by_dose.step
    return replace(
        answer,
        verdict=Verdict.LOOK_AGAIN,
        sentence=f"{first.what} says {first.result}, {second.what} {second.result}.".capitalize(),
        settles=f"Which is right: {first.note.rstrip('.')}, or {second.note.rstrip('.')}?",
        todo="Compare syringe, label and weight, and amend what is wrong with its reason.",
    )
