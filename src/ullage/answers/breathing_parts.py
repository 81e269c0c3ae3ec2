"""Parts of a breathing system: bag, dead space, ventilator, absorbent, volumes, chamber."""

from dataclasses import dataclass

from ullage.answers.animal_things import Animal
from ullage.answers.answer import Answer, Step, Verdict, View
from ullage.answers.breathing import BreathingSystem
from ullage.answers.lines import line_of, lines_of
from ullage.answers.weights import weight_text
from ullage.answers.words import figure, minutes_text
from ullage.core.animals import dead_space_share, most_dead_space_l
from ullage.core.breathing import (
    absorbent_capacity_l,
    absorbent_life_h,
    bag_volume_l,
    chamber_fraction,
    minutes_to_share_min,
    next_size_l,
    time_constant_min,
    vented_fraction,
)
from ullage.core.checks import not_negative
from ullage.core.errors import UnknownReference
from ullage.reference import Sourced, sourced, table
from ullage.reference.species import ventilator_rows

__all__ = [
    "SystemVolume",
    "absorbent_lasts",
    "bag_size",
    "chamber_fills",
    "equipment_dead_space",
    "flow_left_on",
    "system_follows",
    "system_volume",
    "ventilator_start",
]


@dataclass(frozen=True, slots=True, kw_only=True)
class SystemVolume:
    """Gas in a breathing system: the side of the animal, and the side with the bag."""

    inspiratory_l: float
    reservoir_l: float
    rows: tuple[Sourced, ...]

    @property
    def whole_l(self) -> float:
        """[L] both sides."""
        return self.inspiratory_l + self.reservoir_l


def _row(key: str) -> Sourced:
    return sourced("breathing", key)


def bag_size(animal: Animal) -> Answer:
    """The bag for an animal: some breaths, rounded up to a size that is sold.

    >>> from ullage.answers.animals import animal
    >>> bag_size(animal("pig", 30.0)).number_text
    '2 L'
    """
    breaths, tidal = _row("bag.breaths"), animal["tidal_l"].value
    sizes = _sizes()
    wanted = [
        bag_volume_l(tidal, one) for one in (breaths.low or 4, breaths.value, breaths.high or 6)
    ]
    low, value, high = (next_size_l(min(one, max(sizes)), sizes) for one in wanted)
    views = _bag_views(animal, value)
    return Answer(
        question=f"Which bag for a {animal.species} of {weight_text(animal.weight_kg)}?",
        value=value,
        unit="L",
        low=low,
        high=high,
        covers="4 to 6 breaths, rounded up to a size that is sold",
        sentence=f"A bag of {figure(value)} L, the next size above {figure(breaths.value)} breaths "
        f"of {figure(1000 * tidal)} mL.",
        reasons=("A bag too large slows a circle and can over-inflate; one too small collapses.",),
        steps=(
            Step(what=f"{figure(breaths.value)} x tidal volume", result=f"{figure(wanted[1])} L"),
        ),
        where_from=(line_of(breaths), *animal["tidal_l"].where_from),
        views=views,
    )


def _sizes() -> list[float]:
    rows = table("breathing").items()
    return [row.value for key, row in rows if "bag.size_" in key and isinstance(row, Sourced)]


def _bag_views(animal: Animal, value: float) -> tuple[View, ...]:
    """The feline guideline beside the rule, for cats."""
    if animal.species != "cat":
        return ()
    to = _row("bag.feline_to_kg").value
    row = _row("bag.feline_l" if animal.weight_kg <= to else "bag.feline_above_l")
    rule = _row("bag.breaths")
    return (
        _view("6 x tidal volume, rounded up", f"{figure(value)} L", rule, chosen=True),
        _view("Feline guideline", f"{figure(row.value)} L", row),
    )


def _view(label: str, result: str, row: Sourced, *, chosen: bool = False) -> View:
    return View(
        label=label,
        result=result,
        source=row.source,
        how_known=row.how_known.value,
        chosen=chosen,
    )


def equipment_dead_space(animal: Animal, equipment_l: float | None = None) -> Answer:
    """Dead space of tube, elbow and adapters against the breath.

    Parameters
    ----------
    animal : with its tidal volume.
    equipment_l : [L] beyond the teeth; None asks how much is allowed.

    Raises
    ------
    InvalidQuantity : a volume below 0.

    >>> from ullage.answers.animals import animal
    >>> equipment_dead_space(animal("cat", 4.0), 0.010).verdict.value
    'Stop'
    """
    row, tidal = _row("dead_space.most_share"), animal["tidal_l"]
    most = most_dead_space_l(tidal.value, row.value)
    target = most_dead_space_l(tidal.value, row.low or row.value)
    most_text = f"never more than {figure(1000 * most)} mL"
    advised = f"{figure(1000 * target)} mL"
    verdict, said = None, f"Equipment should add up to {advised} of dead space, {most_text}."
    if equipment_l is not None:
        share = dead_space_share(not_negative("equipment_l", equipment_l), tidal.value)
        said = (
            f"{figure(1000 * equipment_l)} mL of equipment takes {figure(100 * share)} % of the "
            f"breath; up to {advised} is advised, {most_text}."
        )
        verdict = Verdict.FINE if equipment_l <= target else Verdict.LOOK_AGAIN
        verdict = Verdict.STOP if equipment_l > most else verdict
    return Answer(
        question=f"How much dead space may equipment add for this {animal.species}?",
        value=1000 * most,
        unit="mL",
        low=1000 * target,
        high=1000 * most,
        covers="a tenth to a fifth of the tidal volume",
        sentence=said,
        reasons=("It lies between teeth and Y-piece; the hoses of a circle do not count.",),
        steps=(Step(what="tidal volume", result=f"{figure(1000 * tidal.value)} mL"),),
        where_from=(line_of(row), *tidal.where_from),
        verdict=verdict,
        todo="Shorten tube and adapters." if verdict not in {None, Verdict.FINE} else "",
    )


def ventilator_start(animal: Animal) -> Answer:
    """Where a ventilator may start: volume, rate and pressure, each with its range.

    Raises
    ------
    UnknownReference : a species without settings in the table.

    >>> from ullage.answers.animals import animal
    >>> ventilator_start(animal("cat", 4.0)).text
    '40 mL (32 to 60 mL)'
    """
    rows = ventilator_rows(animal.species) or ventilator_rows(animal.stands_on)
    if not rows:
        raise UnknownReference(f"The tables have no ventilator settings of the {animal.species}.")
    volume = [one.value * animal.weight_kg for one in rows["tidal_ml_kg"]]
    rate, pressure = rows["rate_per_min"], rows["pressure_cmh2o"]
    peep, timing = _row("ventilator.peep_cmh2o"), _row("ventilator.expiration")
    return Answer(
        question=f"Where may the ventilator start for a {animal.species}?",
        value=volume[0],
        unit="mL",
        low=volume[1],
        high=volume[2],
        covers="the range of the table, from memory",
        sentence=f"Start near {figure(volume[0])} mL at {figure(rate[0].value)} breaths a minute, "
        "then go by the capnogram.",
        reasons=("A starting range and no prescription: look at the chest and the pressure.",),
        steps=(
            Step(what="breaths a minute", result=_ends(rate[1].value, rate[2].value)),
            Step(what="peak pressure", result=f"{_ends(*_two(pressure))} cmH2O"),
            Step(what="PEEP", result=f"{_ends(peep.low or 0, peep.high or 0)} cmH2O"),
            Step(what="I:E", result=f"1:{figure(timing.low or 1)} to 1:{figure(timing.value)}"),
            Step(what="end-tidal carbon dioxide", result=_co2_target()),
        ),
        where_from=lines_of(rows["tidal_ml_kg"][0], rate[0], pressure[1], peep, timing),
        cautions=("Set the pressure limit before the animal is connected.",),
        assumptions=() if ventilator_rows(animal.species) else (_lent(animal),),
    )


def _two(rows: tuple[Sourced, Sourced, Sourced]) -> tuple[float, float]:
    return rows[1].value, rows[2].value


def _lent(animal: Animal) -> str:
    return f"Settings of the {animal.stands_on}, since the table has none of its own."


def _ends(low: float, high: float) -> str:
    return f"{figure(low)} to {figure(high)}"


def _co2_target() -> str:
    ends = (_row(f"ventilator.co2_{end}_mmhg").value for end in ("low", "high"))
    return f"{_ends(*ends)} mmHg"


def absorbent_lasts(animal: Animal, fresh_gas_l_min: float, mass_kg: float | None = None) -> Answer:
    """Hours until absorbent is used up, cautious, typical and optimistic.

    Parameters
    ----------
    animal : with what it makes and breathes.
    fresh_gas_l_min : [L/min] of the circle; what overflows takes carbon dioxide with it.
    mass_kg : [kg] in the canister; None takes 1 kg.

    Raises
    ------
    InvalidQuantity : a flow below 0, or a mass not above 0.

    >>> from ullage.answers.animals import animal
    >>> absorbent_lasts(animal("dog", 20.0), 0.5).unit
    'h'
    """
    usual = _row("absorbent.usual_kg")
    mass = usual.value if mass_kg is None else mass_kg
    made, breath = animal["co2_output_l_min"], animal["minute_volume_l_min"].value
    vented = vented_fraction(fresh_gas_l_min, breath)
    names = ("cautious", "typical", "optimistic")
    rows = [_row(f"absorbent.{name}_l_kg") for name in names]
    full = [absorbent_capacity_l(mass, row.value) for row in rows]
    hours = [absorbent_life_h(one, made.value, min(vented, 0.99)) for one in full]
    habit = _row("absorbent.habit_h")
    labels = [
        f"{name.capitalize()}, {row.value:g} L/kg" for name, row in zip(names, rows, strict=True)
    ]
    views = tuple(
        _view(label, f"{figure(one)} h", row, chosen=row is rows[1])
        for label, one, row in zip(labels, hours, rows, strict=True)
    )
    told = line_of(habit)
    return Answer(
        question=f"How long do {figure(mass)} kg of absorbent last?",
        value=hours[1],
        unit="h",
        low=hours[0],
        high=hours[2],
        covers="cautious to optimistic capacity",
        sentence=f"{figure(mass)} kg last about {figure(hours[1])} h; "
        f"{figure(100 * vented)} % of the carbon dioxide leaves with the overflow.",
        reasons=("Inspired carbon dioxide above 0 is the surest sign that it is used up.",),
        steps=(
            Step(what="carbon dioxide made", result=f"{figure(1000 * made.value)} mL/min"),
            Step(what="share vented", result=f"{figure(100 * vented)} %"),
        ),
        where_from=(*lines_of(*rows), told, *made.where_from),
        assumptions=() if mass_kg is not None else ("The canister is taken to hold 1 kg.",),
        cautions=(
            "Colour fades back at rest and misleads at low flow: read it right after use.",
            f"By habit it is changed after about {figure(habit.value)} h of use.",
        ),
        views=(*views, _view("Changed by habit", f"{figure(habit.value)} h", habit)),
    )


def flow_left_on(hours: float) -> Answer:
    """What gas left flowing did to the absorbent.

    Parameters
    ----------
    hours : [h] that dry gas flowed with no animal, 0 or more.

    Raises
    ------
    InvalidQuantity : a time below 0.

    >>> flow_left_on(60.0).verdict.value
    'Stop'
    """
    limit = _row("absorbent.left_on_h")
    dried = not_negative("hours", hours) > limit.value
    return Answer(
        question="Is the absorbent dried out?",
        value=hours,
        unit="h",
        sentence=f"Dry gas flowed for {figure(hours)} h"
        + (": change the absorbent." if dried else "; it may still hold its water."),
        reasons=("Dry absorbent breaks agents down to carbon monoxide and soaks agent up.",),
        where_from=(line_of(limit),),
        cautions=("How fast it dries is not printed: in doubt change it.",),
        verdict=Verdict.STOP if dried else Verdict.LOOK_AGAIN,
        todo="Change all of it." if dried else "In doubt change it.",
    )


def system_volume(system: BreathingSystem, weight_kg: float) -> SystemVolume:
    """Gas in a circle for this weight.

    Parameters
    ----------
    system : a circle.
    weight_kg : [kg] of the animal.

    >>> system_volume(BreathingSystem.CIRCLE, 30.0).whole_l
    6.5
    """
    small = weight_kg <= _row("volume.paediatric_to_kg").value
    size = "paediatric" if small else "circle"
    size = "large" if system is BreathingSystem.LARGE_CIRCLE else size
    rows = tuple(_row(f"volume.{size}.{side}_l") for side in ("inspiratory", "reservoir"))
    return SystemVolume(inspiratory_l=rows[0].value, reservoir_l=rows[1].value, rows=rows)


def system_follows(system: BreathingSystem, weight_kg: float, fresh_gas_l_min: float) -> Answer:
    """How fast the gas in a circle follows a change of dial.

    Parameters
    ----------
    system : a circle.
    weight_kg : [kg] of the animal.
    fresh_gas_l_min : [L/min] above 0.

    Raises
    ------
    InvalidQuantity : a flow not above 0.

    >>> system_follows(BreathingSystem.CIRCLE, 30.0, 1.0).number_text
    '6.5 min'
    """
    volume, share = system_volume(system, weight_kg), _row("volume.band_share")
    value = time_constant_min(volume.whole_l, fresh_gas_l_min)
    most = minutes_to_share_min(volume.whole_l, fresh_gas_l_min, 0.95)
    return Answer(
        question="How fast does the circle follow the dial?",
        value=value,
        unit="min",
        low=value * (1.0 - share.value),
        high=value * (1.0 + share.value),
        covers="hoses, absorber and bag",
        sentence=f"After the dial is turned, 63 % of the change is in the circle after "
        f"{minutes_text(value)}, 95 % after {minutes_text(most)}.",
        reasons=("The time constant is the volume over the fresh gas flow.",),
        steps=(Step(what="gas in the system", result=f"{figure(volume.whole_l)} L"),),
        where_from=lines_of(*volume.rows, share),
        assumptions=("The time constant counts no uptake by the animal, and gas that mixes well.",),
        views=_one_circle_twice(),
    )


def _one_circle_twice() -> tuple[View, ...]:
    """What was published of one circle at 3 L/min: its volume over its flow, and two analyses."""
    studied = _row("time_constant.studied_l")
    told = f"A circle of {figure(studied.value)} L at 3 L/min"
    rows = (
        ("volume over flow, as here", time_constant_min(studied.value, 3.0), studied),
        *(
            (label, _row(f"time_constant.{key}_min").value, _row(f"time_constant.{key}_min"))
            for label, key in (
                ("first report", "first_report"),
                ("the same data again", "analysed_again"),
            )
        ),
    )
    return tuple(
        _view(f"{told}: {label}", f"{figure(value)} min", row, chosen=row is studied)
        for label, value, row in rows
    )


def chamber_fills(volume_l: float, flow_l_min: float, dial_fraction: float) -> Answer:
    """How long an induction chamber takes to fill, and to be purged before it is opened.

    Parameters
    ----------
    volume_l : [L] above 0.
    flow_l_min : [L/min] above 0.
    dial_fraction : [1] delivered, 0 to 1.

    Raises
    ------
    InvalidQuantity : a value out of range.

    >>> chamber_fills(4.0, 2.0, 0.05).number_text
    '6 min'
    """
    value = minutes_to_share_min(volume_l, flow_l_min, 0.95)
    purge = _row("chamber.purge_volumes")
    tau = time_constant_min(volume_l, flow_l_min)
    inside = chamber_fraction(dial_fraction, volume_l, flow_l_min, tau)
    return Answer(
        question="How long does the chamber take to fill?",
        value=value,
        unit="min",
        low=minutes_to_share_min(volume_l, flow_l_min, 0.86),
        high=minutes_to_share_min(volume_l, flow_l_min, 0.98),
        covers="86 to 98 % of what is delivered, in a well-mixed chamber",
        sentence=f"After {minutes_text(value)} the chamber holds 95 % of what is delivered.",
        reasons=("A chamber fills as its volume over the flow.",),
        steps=(
            Step(what=f"after {minutes_text(tau)}", result=f"{figure(100 * inside)} %"),
            Step(what="to purge", result=minutes_text(purge.value * tau)),
        ),
        where_from=(line_of(purge),),
        assumptions=("The chamber mixes well; real ones do not.",),
        cautions=(
            "Agent is heavier than air and lies in layers: near the lid it comes minutes later.",
            f"Purge with {figure(purge.value)} volumes without agent before opening the chamber.",
        ),
    )
