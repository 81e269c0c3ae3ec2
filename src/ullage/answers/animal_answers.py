"""One value of an animal as an answer, and how it cools when nobody warms it."""

from collections.abc import Callable, Mapping

from ullage.answers.animal_things import Animal, AnimalValue
from ullage.answers.animal_values import VALUES
from ullage.answers.answer import Answer, Step, Verdict, View, WhereFrom
from ullage.answers.lines import line_of
from ullage.answers.things import Place
from ullage.answers.weights import weight_text
from ullage.answers.words import figure, minutes_text
from ullage.core.animals import body_temperature_after_k, power_of_weight
from ullage.core.checks import positive
from ullage.core.errors import UnknownReference
from ullage.core.units import celsius
from ullage.reference import Sourced, sourced, table
from ullage.reference.species import alerts, four_groups, lung_volumes

__all__ = ["VALUE_WORDS", "animal_cools", "animal_value"]

#: What each value is called.
VALUE_WORDS = {
    "cardiac_output_l_min": "output of the heart, anaesthetised",
    "alveolar_l_min": "ventilation of the alveoli, lightly anaesthetised",
    "dead_space_fraction": "dead space as a share of the breath",
    "minute_volume_l_min": "minute volume, lightly anaesthetised",
    "lung_l": "functional residual capacity of the lung",
    "lung_tissue_l": "tissue of the lung",
    "blood_l": "blood",
    "arterial_l": "arterial blood with that of the lung",
    "venous_l": "venous blood",
    "oxygen_use_l_min": "oxygen used, anaesthetised",
    "co2_output_l_min": "carbon dioxide made, anaesthetised",
    "shunt_fraction": "blood that passes the lung by",
    "dead_alveolar_fraction": "alveolar dead space in end-tidal gas",
    "cardiac_output_awake_l_min": "output of the heart, awake",
    "tidal_l": "tidal volume",
    "breaths_per_min": "breaths, awake",
    "minute_volume_awake_l_min": "minute volume, awake",
    "dead_space_l": "anatomical dead space",
    "oxygen_demand_l_min": "oxygen to be supplied, the cautious line",
    "heart_rate_per_min": "heart rate, awake",
    "temperature_k": "body temperature, awake",
    "fall_in_an_hour_k": "fall of temperature in an hour without warming",
}

_SMALL = {"L": ("mL", 1000.0), "L/min": ("mL/min", 1000.0)}


def _shown(one: AnimalValue, value: float) -> tuple[float, str]:
    """A value in the unit people use for that size; temperature in degrees Celsius."""
    if one.name == "temperature_k":
        return celsius(value), "°C"
    unit, times = _SMALL.get(one.unit, (one.unit, 1.0))
    if one.value < 1.0 and times != 1.0:
        return value * times, unit
    return (100.0 * value, "%") if one.unit == "1" else (value, one.unit)


def animal_value(animal: Animal, name: str) -> Answer:
    """One value of an animal: number, band, where it is from and what stands beside it.

    Raises
    ------
    UnknownReference : no such value, or none of this species.

    >>> from ullage.answers.animals import animal
    >>> animal_value(animal("mouse", 0.025), "tidal_l").number_text
    '0.166 mL'
    """
    if name not in animal.values:
        raise UnknownReference(_lacking(animal, name))
    one = animal[name]
    value, unit = _shown(one, one.value)
    words, weight = VALUE_WORDS[name], weight_text(animal.weight_kg)
    ends = [None if end is None else _shown(one, end)[0] for end in (one.low, one.high)]
    return Answer(
        question=f"How much is the {words} of a {animal.species} of {weight}?",
        value=value,
        unit=unit,
        low=ends[0],
        high=ends[1],
        covers="" if ends[0] is None else "one animal of this species, and how well it is known",
        sentence=f"{words[0].upper()}{words[1:]} of a {animal.species} of {weight} is taken as "
        f"{figure(value)} {unit}.",
        reasons=(f"It stands as {one.standing.value}, {one.how_known.words}.",),
        where_from=one.where_from,
        assumptions=animal.assumptions,
        views=_views(animal, name),
    )


def _lacking(animal: Animal, name: str) -> str:
    if name not in VALUES:
        return f"No value {name!r}; {', '.join(VALUES)}."
    told = f"The tables have no {VALUE_WORDS[name]} of the {animal.species}"
    return f"{told}; the site may set it."


def _views(animal: Animal, name: str) -> tuple[View, ...]:
    """Published values of the same thing, where the fact base has several."""
    one = animal[name]
    value, unit = _shown(one, one.value)
    others = _OTHERS[name](animal) if name in _OTHERS else ()
    if not others:
        return ()
    chosen = View(
        label="Set by the site" if one.overruled else "Used here",
        result=f"{figure(value)} {unit}",
        source=one.where_from[0].source,
        how_known=one.how_known.value if one.overruled else one.where_from[0].how_known,
        chosen=True,
    )
    return (chosen, *others)


def _line_view(animal: Animal, name: str, ending: str, label: str) -> View:
    """A published line of the same thing; ``ending`` is the unit of its coefficient."""
    row = sourced("animals", f"{name}.coefficient_{ending}")
    exponent = sourced("animals", f"{name}.exponent")
    value = power_of_weight(row.value, exponent.value, animal.weight_kg)
    litres = 0.001 * value if ending.startswith("ml") else value
    per_min = "/min" if ending.endswith("min") else ""
    shown = f"{figure(1000 * litres)} mL" if litres < 1.0 else f"{figure(litres)} L"
    return View(
        label=label,
        result=f"{shown}{per_min}",
        source=row.source,
        how_known=row.how_known.value,
    )


def _tidal_views(animal: Animal) -> tuple[View, ...]:
    if animal.species != "rabbit":
        return ()
    return (_line_view(animal, "tidal", "ml", "Allometric line, Stahl"),)


def _oxygen_views(animal: Animal) -> tuple[View, ...]:
    return (
        _line_view(animal, "oxygen_stahl", "ml_min", "Stahl, exponent 0.76"),
        _line_view(animal, "oxygen_kleiber", "ml_min", "Kleiber line, exponent 0.75"),
        _normalised_view(animal),
    )


def _normalised_view(animal: Animal) -> View:
    """The line whose exponent halves the demand of large animals: shown and never used."""
    row, power = (
        sourced("animals", f"oxygen_normalised.{key}") for key in ("coefficient_ml_min", "exponent")
    )
    ml_min = power_of_weight(row.value, power.value, 1000.0 * animal.weight_kg)
    shown = f"{figure(ml_min)} mL" if ml_min < 1000.0 else f"{figure(0.001 * ml_min)} L"
    return View(
        label="Basal and temperature-normalised, exponent 0.675, never used for demand",
        result=f"{shown}/min",
        source=row.source,
        how_known=row.how_known.value,
    )


def _output_views(animal: Animal) -> tuple[View, ...]:
    stahl = _line_view(animal, "output_stahl", "ml_min", "Stahl, awake")
    printed = _printed_output_views(animal)
    groups = four_groups(animal.species)
    if groups is None:
        return (stahl, *printed)
    row = groups.output_ml_min_kg
    value = 0.001 * row.value * animal.weight_kg
    shown = f"{figure(value)} L/min" if value >= 1.0 else f"{figure(1000 * value)} mL/min"
    own = View(
        label="Working set of the species, awake",
        result=shown,
        source=row.source,
        how_known=row.how_known.value,
    )
    return (own, stahl, *printed)


def _printed_output_views(animal: Animal) -> tuple[View, ...]:
    """Output of the heart in other tables, where they are far apart."""
    rows = table("animals")
    kind = "pig" if animal.species == "minipig" else animal.species
    return tuple(
        View(
            label=f"In print, {figure(row.value)} mL/min/kg",
            result=f"{figure(row.value * animal.weight_kg)} mL/min"
            if row.value * animal.weight_kg < 1000.0
            else f"{figure(0.001 * row.value * animal.weight_kg)} L/min",
            source=row.source,
            how_known=row.how_known.value,
        )
        for key, row in rows.items()
        if key.startswith(f"output_in_print.{kind}_") and isinstance(row, Sourced)
    )


def _lung_views(animal: Animal) -> tuple[View, ...]:
    line = _line_view(animal, "lung", "l", "Allometric line, three quarters of Stahl")
    measured = (
        View(
            label=f"Measured, {row.condition}",
            result=f"{figure(row.value * animal.weight_kg)} mL",
            source=row.source,
            how_known=row.how_known.value,
        )
        for row in lung_volumes(animal.species)
    )
    return (line, *measured)


def _minute_views(animal: Animal) -> tuple[View, ...]:
    product = animal["tidal_l"].value * animal["breaths_per_min"].value
    rate = sourced("animals", "breaths.coefficient_per_min")
    shown = f"{figure(product)} L" if product >= 1.0 else f"{figure(1000 * product)} mL"
    return (
        View(
            label="Tidal volume times rate",
            result=f"{shown}/min",
            source=rate.source,
            how_known=rate.how_known.value,
        ),
        _line_view(animal, "minute_alexander", "l_min", "Inhalation toxicology, aroused animals"),
        _line_view(animal, "minute_bide", "l_min", "Inhalation toxicology, another line"),
    )


def _dead_space_views(_: Animal) -> tuple[View, ...]:
    rows = (("Physiological models, awake", "httk"), ("Model of man, awake", "human"))
    return tuple(
        View(
            label=label,
            result=f"{figure(100 * row.value)} %",
            source=row.source,
            how_known=row.how_known.value,
        )
        for label, row in (
            (told, sourced("animals", f"other_dead_space.{key}")) for told, key in rows
        )
    )


_OTHERS: Mapping[str, Callable[[Animal], tuple[View, ...]]] = {
    "cardiac_output_l_min": _output_views,
    "dead_space_fraction": _dead_space_views,
    "lung_l": _lung_views,
    "minute_volume_awake_l_min": _minute_views,
    "oxygen_demand_l_min": _oxygen_views,
    "tidal_l": _tidal_views,
}


def animal_cools(animal: Animal, minutes: float, place: Place | None = None) -> Answer:
    """Body temperature of an animal that nobody warms, after a time under anaesthesia.

    Raises
    ------
    InvalidQuantity : a time not above 0, or a room as warm as the animal.
    UnknownReference : a species without a measured fall.

    >>> from ullage.answers.animals import animal
    >>> animal_cools(animal("mouse", 0.025), 30.0).number_text
    '31.3 °C'
    """
    positive("minutes", minutes)
    for needed in ("fall_in_an_hour_k", "temperature_k"):
        if needed not in animal.values:
            raise UnknownReference(f"{_lacking(animal, needed)} Warm it and measure.")
    room = (place or Place()).temperature_k
    fall, start = animal["fall_in_an_hour_k"], animal["temperature_k"].value
    ends = [
        celsius(body_temperature_after_k(start, room, step, 60.0, minutes))
        for step in (fall.high or fall.value, fall.value, fall.low or fall.value)
    ]
    cold, lines = _colder_than_proposed(animal, ends[1])
    views, other = _another_study(animal, room, minutes, ends[1])
    return Answer(
        question=f"How cold is the {animal.species} after {minutes_text(minutes)} unheated?",
        value=ends[1],
        unit="°C",
        low=min(*ends, *other),
        high=max(ends),
        covers="spread of the study that measured the fall, and another one where there is one",
        sentence=f"Without warming the {animal.species} is expected at {figure(ends[1])} °C after "
        f"{minutes_text(minutes)}, from {figure(celsius(start))} °C.",
        reasons=("The fall of the first hour was measured; it slows as the room comes nearer.",),
        steps=(
            Step(what="fall in the first hour", result=f"{figure(fall.value)} K"),
            Step(what="room", result=f"{figure(celsius(room))} °C"),
        ),
        where_from=(*fall.where_from, *animal["temperature_k"].where_from, *lines),
        assumptions=("The form of the curve is an assumption; only the first hour was measured.",),
        cautions=(_WARM,),
        views=views,
        verdict=Verdict.LOOK_AGAIN if cold else None,
        todo="Warm it from the start and measure its temperature." if cold else "",
    )


def _another_study(
    animal: Animal, room_k: float, minutes: float, ours_c: float
) -> tuple[tuple[View, ...], tuple[float, ...]]:
    """The same fall by a study that measured half an hour, beside ours; nothing where none did."""
    row = table("animals").get(f"fall_in_half_an_hour.{animal.species}")
    if not isinstance(row, Sourced):
        return (), ()
    fall, start = animal["fall_in_an_hour_k"], animal["temperature_k"].value
    other = celsius(body_temperature_after_k(start, room_k, row.value, 30.0, minutes))
    where = fall.where_from[0]
    views = (
        View(
            label="Study of one hour",
            result=f"{figure(ours_c)} °C",
            source=where.source,
            how_known=where.how_known,
            chosen=True,
        ),
        View(
            label="Study of half an hour",
            result=f"{figure(other)} °C",
            source=row.source,
            how_known=row.how_known.value,
        ),
    )
    return views, (other,)


def _colder_than_proposed(animal: Animal, reached: float) -> tuple[bool, tuple[WhereFrom, ...]]:
    """Whether a temperature is below the limit proposed for the species, and where that is from."""
    limits = alerts(animal.species)
    if limits is None:
        return False, ()
    limit = limits.temperature_caution
    return reached < limit.value, (line_of(limit, "proposed limit"),)


_WARM = "Cold animals wake late and need less agent; warm without burning, and measure."
