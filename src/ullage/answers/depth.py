"""What depth does to breathing and circulation of a species: both published forms side by side."""

from dataclasses import dataclass

from ullage.answers.animal_things import Animal
from ullage.answers.answer import Answer, Step, View, WhereFrom
from ullage.answers.lines import lines_of
from ullage.answers.words import figure
from ullage.core.animals import (
    output_factor,
    pressure_factor,
    ventilation_exponential_factor,
    ventilation_linear_factor,
)
from ullage.core.checks import not_negative, within
from ullage.reference import Sourced, sourced, table

__all__ = ["DepthRules", "breathing_at_depth", "circulation_at_depth", "depth_rules"]

#: Species in which breathing falls faster with depth.
_DEEP = frozenset({"ferret", "rabbit"})
_RECOVERING = frozenset({"rat", "dog", "mouse"})


@dataclass(frozen=True, slots=True, kw_only=True)
class DepthRules:
    """Slopes of one species for the engine, and the rows that they come from.

    ``ventilation_slope`` and ``ventilation_floor`` are the linear form that the engine runs with;
    ``exponential_rate`` is the other form; output falls with ``output_slope`` to ``output_floor``.
    """

    ventilation_slope: float
    ventilation_floor: float
    exponential_rate: float
    output_slope: float
    output_floor: float
    apnoea_depth: float | None
    rows: tuple[Sourced, ...]

    def breathing(self, depth: float) -> tuple[float, float]:
        """Ventilation over ventilation awake, lower and higher of the two forms."""
        linear = ventilation_linear_factor(depth, self.ventilation_slope, self.ventilation_floor)
        curved = ventilation_exponential_factor(depth, self.exponential_rate, self.apnoea_depth)
        return min(linear, curved), max(linear, curved)

    def output(self, depth: float) -> float:
        """Output of the heart over output awake."""
        return output_factor(depth, self.output_slope, self.output_floor)

    @property
    def where_from(self) -> tuple[WhereFrom, ...]:
        """The rows as lines of an answer."""
        return lines_of(*self.rows)


def depth_rules(
    species: str, agent: str, *, ventilated: bool = False, recovering: bool = False
) -> DepthRules:
    """The rules of one species and agent.

    Parameters
    ----------
    species, agent : of the animal.
    ventilated : True when a machine breathes: output falls faster.
    recovering : True for waking, for which some species have a slope and a floor of their own.

    >>> depth_rules("cat", "isoflurane").output_slope
    0.08
    >>> depth_rules("horse", "isoflurane", ventilated=True).output_slope
    0.25
    """
    slope_key = f"{species}_slope" if recovering and species in _RECOVERING else "slope"
    slope = sourced("animals", f"ventilation_linear.{slope_key}")
    floor = sourced("animals", f"ventilation_linear.{'recovery_floor' if recovering else 'floor'}")
    rate = sourced(
        "animals", f"ventilation_exponential.{'rate_deep' if species in _DEEP else 'rate'}"
    )
    mode = "output_ventilated" if ventilated else "output_spontaneous"
    by_species = table("animals").get(f"{mode}.{species}_slope")
    output = by_species if isinstance(by_species, Sourced) else sourced("animals", f"{mode}.slope")
    least = sourced("animals", f"{mode}.floor")
    apnoea = table("animals").get(f"apnoea.{species}.{agent}")
    stop = apnoea if isinstance(apnoea, Sourced) else None
    return DepthRules(
        ventilation_slope=slope.value,
        ventilation_floor=floor.value,
        exponential_rate=rate.value,
        output_slope=output.value,
        output_floor=least.value,
        apnoea_depth=None if stop is None else stop.value,
        rows=tuple(one for one in (slope, floor, rate, output, least, stop) if one is not None),
    )


def breathing_at_depth(animal: Animal, agent: str, depth: float) -> Answer:
    """How much an animal still breathes by itself at a depth, by both published forms.

    Raises
    ------
    InvalidQuantity : a depth below 0.

    >>> from ullage.answers.animals import animal
    >>> breathing_at_depth(animal("cat", 4.0), "isoflurane", 1.0).range_text
    '52.2 to 65 %'
    """
    not_negative("depth", depth)
    rules = depth_rules(animal.species, agent)
    low, high = rules.breathing(depth)
    linear = ventilation_linear_factor(depth, rules.ventilation_slope, rules.ventilation_floor)
    curved = ventilation_exponential_factor(depth, rules.exponential_rate, rules.apnoea_depth)
    slope, rate = rules.rows[0], rules.rows[2]
    stops = rules.apnoea_depth
    caution = f"Breathing stopped near {figure(stops)} MAC in a study." if stops else ""
    return Answer(
        question=f"How much does the {animal.species} breathe at {figure(depth)} MAC?",
        value=100 * linear,
        unit="%",
        low=100 * low,
        high=100 * high,
        covers="the two published forms",
        sentence=f"At {figure(depth)} MAC of {agent} it breathes {figure(100 * low)} to "
        f"{figure(100 * high)} % of what it does awake.",
        reasons=(
            "Inhaled agents depress breathing with depth; a surgical stimulus gives some back.",
        ),
        steps=(
            Step(what="awake, alveoli", result=f"{figure(animal['alveolar_l_min'].value)} L/min"),
        ),
        where_from=rules.where_from,
        cautions=(caution,) if caution else (),
        views=(
            _view("Straight line to apnoea", linear, slope, chosen=True),
            _view("Exponential fall", curved, rate, chosen=False),
        ),
    )


def circulation_at_depth(animal: Animal, agent: str, depth: float) -> Answer:
    """Output of the heart at a depth: what the engine runs with, and every proposal beside it.

    Parameters
    ----------
    animal : species and weight.
    agent : on which it sleeps.
    depth : [1] multiple of MAC, 0 to 5.

    Raises
    ------
    InvalidQuantity : a depth out of range.

    >>> from ullage.answers.animals import animal
    >>> circulation_at_depth(animal("dog", 20.0), "isoflurane", 2.0).text
    '83 % (60 to 84 %)'
    """
    within("depth", depth, 0.0, 5.0)
    start, slope = (sourced("kinetics", f"output.{k}") for k in ("unchanged_to_mac", "slope"))
    used = output_factor(max(0.0, depth - start.value), slope.value, 0.0)
    sides = _output_sides(animal.species, agent, depth)
    every = [used, *(factor for _, factor, _ in sides)]
    pressure = pressure_factor(
        depth, *(sourced("animals", f"pressure.{k}").value for k in ("slope", "floor"))
    )
    return Answer(
        question=f"How much does the heart of a {animal.species} pump at {figure(depth)} MAC?",
        value=100 * used,
        unit="%",
        low=100 * min(every),
        high=100 * max(every),
        covers="the proposals side by side",
        sentence=f"At {figure(depth)} MAC of {agent} the heart pumps about {figure(100 * used)} % "
        "of what it does lightly anaesthetised.",
        reasons=("Less output slows waking and keeps more agent in the lung.",),
        steps=(Step(what="mean arterial pressure", result=f"{figure(100 * pressure)} % of awake"),),
        where_from=lines_of(start, slope, *(row for _, _, row in sides)),
        assumptions=(
            "Proposals count from the animal awake; output in the tables is of one asleep already.",
        ),
        cautions=("Measure arterial pressure: output is not seen.",),
        views=(
            _view("Dog, unchanged to 1.2 MAC, then falling", used, slope, chosen=True),
            *(_view(label, factor, row, chosen=False) for label, factor, row in sides),
        ),
    )


def _output_sides(species: str, agent: str, depth: float) -> tuple[tuple[str, float, Sourced], ...]:
    """The proposals for output: by itself, by a machine, and that of the reference model."""
    found = []
    for label, ventilated in (("Proposal, by itself", False), ("Proposal, ventilated", True)):
        rules = depth_rules(species, agent, ventilated=ventilated)
        found.append((label, rules.output(depth), rules.rows[3]))
    row = sourced("animals", "output_uptake.slope")
    found.append(
        ("Reference model, not used in its runs", output_factor(depth, row.value, 0.0), row)
    )
    return tuple(found)


def _view(label: str, factor: float, row: Sourced, *, chosen: bool) -> View:
    return View(
        label=label,
        result=f"{figure(100 * factor)} %",
        source=row.source,
        how_known=row.how_known.value,
        chosen=chosen,
    )
