"""Which breathing system suits an animal, and how much fresh gas it asks for in each phase."""

from dataclasses import dataclass
from enum import StrEnum

from ullage.answers.animal_things import Animal
from ullage.answers.answer import Answer, Step, Verdict, View, WhereFrom
from ullage.answers.lines import line_of, lines_of
from ullage.answers.weights import weight_text
from ullage.answers.words import figure
from ullage.core.breathing import (
    WeightBand,
    flow_by_minute_volume_l_min,
    flow_by_weight_l_min,
    suitability_fraction,
)
from ullage.core.checks import positive
from ullage.core.errors import UnknownReference
from ullage.reference import HowKnown, Sourced, sourced, table

__all__ = [
    "BreathingSystem",
    "FlowPhase",
    "fresh_gas_flow",
    "system_fits",
    "system_named",
    "system_suits",
]


class BreathingSystem(StrEnum):
    """Breathing systems by the name that people use; those of one behaviour share one name."""

    NOSE_CONE = "nose cone"
    T_PIECE = "T-piece"
    MINI_A = "mini parallel A"
    COAXIAL_D = "coaxial D"
    MAPLESON_A = "Mapleson A"
    CIRCLE = "circle"
    LARGE_CIRCLE = "large-animal circle"
    CHAMBER = "induction chamber"

    @property
    def rebreathes(self) -> bool:
        """True where an absorber takes carbon dioxide out, so that gas is breathed again."""
        return self in {BreathingSystem.CIRCLE, BreathingSystem.LARGE_CIRCLE}

    @property
    def key(self) -> str:
        """The name of its rows in the reference data."""
        return _KEYS[self]


_KEYS = {
    BreathingSystem.NOSE_CONE: "nose_cone",
    BreathingSystem.T_PIECE: "t_piece",
    BreathingSystem.MINI_A: "mini_a",
    BreathingSystem.COAXIAL_D: "coaxial_d",
    BreathingSystem.MAPLESON_A: "mapleson_a",
    BreathingSystem.CIRCLE: "circle",
    BreathingSystem.LARGE_CIRCLE: "large_circle",
    BreathingSystem.CHAMBER: "chamber",
}

#: Other words for the same system.
_ALSO = {
    "nose cone": ("nose cones", "mask", "open mask", "face mask", "mask manifold"),
    "T-piece": ("t piece", "t-piece with bag", "mapleson e", "mapleson f"),
    "coaxial D": ("bain", "mapleson d", "coaxial mapleson d"),
    "mini parallel A": ("mini lack", "mini a"),
    "Mapleson A": ("magill", "lack"),
    "circle": ("paediatric circle", "circle with absorber"),
    "large-animal circle": ("large animal circle",),
    "induction chamber": ("chamber", "box"),
}


class FlowPhase(StrEnum):
    """Phases of a case as far as fresh gas goes."""

    START = "start"
    HOLD = "hold"
    WAKING = "waking"

    @property
    def words(self) -> str:
        """The phase in words."""
        return {"start": "to begin with", "hold": "to hold", "waking": "for waking"}[self.value]


def system_named(written: str) -> BreathingSystem:
    """The breathing system that a word means.

    Raises
    ------
    UnknownReference : a word that names none; the sentence lists those there are.

    >>> system_named("Bain").value, system_named("nose cones").value
    ('coaxial D', 'nose cone')
    """
    asked = written.strip().lower()
    for one in BreathingSystem:
        if asked in {one.value.lower(), *_ALSO[one.value]}:
            return one
    known = ", ".join(BreathingSystem)
    raise UnknownReference(f"No breathing system {written!r}. Systems: {known}.")


def system_fits(
    weight_kg: float, circle_from_kg: float | None = None
) -> tuple[tuple[BreathingSystem, float], ...]:
    """Each system with the share of the advice that includes this weight, best first.

    Parameters
    ----------
    weight_kg : [kg] above 0.
    circle_from_kg : [kg] from which the site uses a circle; None takes the sources.

    >>> [one.value for one, fit in system_fits(4.0) if fit > 0.4]
    ['T-piece', 'mini parallel A', 'coaxial D']
    """
    found = []
    for system in BreathingSystem:
        if system is BreathingSystem.CHAMBER:
            continue
        band = _band(system, circle_from_kg)
        found.append((system, suitability_fraction(weight_kg, band)))
    return tuple(sorted(found, key=lambda one: -one[1]))


def _band(system: BreathingSystem, circle_from_kg: float | None) -> WeightBand:
    edges = [row.value for row in _edges(system)]
    if system is BreathingSystem.CIRCLE and circle_from_kg is not None:
        edges[:2] = [positive("circle_from_kg", circle_from_kg)] * 2
    lowest, low, high, highest = edges
    return WeightBand(lowest_kg=lowest, low_kg=low, high_kg=high, highest_kg=highest)


def _edges(system: BreathingSystem) -> tuple[Sourced, ...]:
    ends = ("lowest", "low", "high", "highest")
    return tuple(sourced("breathing", f"band.{system.key}.{end}_kg") for end in ends)


def system_suits(
    animal: Animal, system: BreathingSystem | None = None, circle_from_kg: float | None = None
) -> Answer:
    """Which systems suit an animal, ranked, and whether the one chosen is among them.

    Parameters
    ----------
    animal : with its weight.
    system : the one chosen; None takes the best.
    circle_from_kg : [kg] from which the site uses a circle; None takes the sources.

    >>> from ullage.answers.animals import animal
    >>> system_suits(animal("cat", 4.0)).sentence
    'A T-piece suits 4 kg best.'
    """
    fits = system_fits(animal.weight_kg, circle_from_kg)
    best = fits[0][0]
    chosen = system or best
    fit = 1.0 if chosen is BreathingSystem.CHAMBER else dict(fits)[chosen]
    verdict, sentence = _judged(chosen, best, fit, animal)
    return Answer(
        question=f"Which breathing system suits a {animal.species} of "
        f"{weight_text(animal.weight_kg)}?",
        value=100 * fit,
        unit="% of the advice",
        sentence=sentence,
        reasons=("Sources draw the weights apart; the share says how many include this one.",),
        steps=tuple(
            Step(what=one.value, result=f"{figure(100 * share)} %") for one, share in fits if share
        ),
        where_from=lines_of(*(_edges(chosen) if chosen in dict(fits) else _edges(best))),
        cautions=_system_cautions(chosen, animal.weight_kg),
        views=_circle_views(circle_from_kg),
        verdict=verdict,
        todo="" if verdict is Verdict.FINE else f"Consider a {best}.",
    )


def _judged(
    chosen: BreathingSystem, best: BreathingSystem, fit: float, animal: Animal
) -> tuple[Verdict, str]:
    weight = weight_text(animal.weight_kg)
    if chosen is BreathingSystem.CHAMBER:
        return Verdict.LOOK_AGAIN, "A chamber is for falling asleep, not for holding it."
    if fit == 0.0:
        return Verdict.STOP, f"No source advises a {chosen} at {weight}; a {best} suits it best."
    if fit < 0.5:
        return Verdict.LOOK_AGAIN, f"Few sources advise a {chosen} at {weight}: {best} comes first."
    also = "best" if chosen is best else "too"
    return Verdict.FINE, f"A {chosen} suits {weight} {also}."


def _system_cautions(system: BreathingSystem, weight_kg: float) -> tuple[str, ...]:
    said = []
    if system is BreathingSystem.CIRCLE and weight_kg < sourced("breathing", _CIRCLE_SURE).value:
        said.append(
            "On a circle below 10 kg measure inspired carbon dioxide: a valve that passes the "
            "check can still fail at small breaths."
        )
    if system is BreathingSystem.MAPLESON_A:
        said.append("A Mapleson A is not for ventilation by machine or hand.")
    if not system.rebreathes and system is not BreathingSystem.CHAMBER:
        said.append("Never flush while the animal is connected.")
    return tuple(said)


_CIRCLE_SURE = "band.circle.low_kg"


def _circle_views(circle_from_kg: float | None) -> tuple[View, ...]:
    """From which weight a circle is used: every source, the site's or the survey's chosen."""
    labels = {
        "feline": "Circle from, feline guideline",
        "survey": "Circle from, survey of 138",
        "teaching": "Circle from, teaching",
        "survey_nz": "Circle from, survey of 113 practices",
    }
    site = circle_from_kg is not None
    views = [
        _row_view(
            label,
            sourced("fresh_gas", f"circle_from.{key}_kg"),
            chosen=key == "survey" and not site,
        )
        for key, label in labels.items()
    ]
    if circle_from_kg is not None:
        views.insert(0, _site_view("Circle from, set by the site", f"{figure(circle_from_kg)} kg"))
    return tuple(views)


def _row_view(label: str, row: Sourced, *, chosen: bool) -> View:
    return View(
        label=label,
        result=f"{figure(row.value)} {row.unit}",
        source=row.source,
        how_known=row.how_known.value,
        chosen=chosen,
    )


def _site_view(label: str, result: str) -> View:
    return View(
        label=label,
        result=result,
        source="site_rule",
        how_known=HowKnown.SITE.value,
        chosen=True,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Rule:
    """One published flow for this animal, with its ends [L/min]."""

    label: str
    l_min: float
    row: Sourced
    low: float
    high: float

    def view(self, *, chosen: bool) -> View:
        """The rule as one side."""
        ends = "" if self.low == self.high else f" ({figure(self.low)} to {figure(self.high)})"
        return View(
            label=self.label,
            result=f"{figure(self.l_min)} L/min{ends}",
            source=self.row.source,
            how_known=self.row.how_known.value,
            chosen=chosen,
        )


def fresh_gas_flow(
    animal: Animal, system: BreathingSystem, phase: FlowPhase, site_l_min: float | None = None
) -> Answer:
    """The fresh gas flow of a phase: each published rule, and the site's choice.

    Parameters
    ----------
    animal : with weight and minute volume.
    system : of the case.
    phase : start, hold or waking.
    site_l_min : [L/min] that the site sets; None takes the first rule.

    Raises
    ------
    InvalidQuantity : a flow of the site not above 0.

    >>> from ullage.answers.animals import animal
    >>> fresh_gas_flow(animal("cat", 4.0), BreathingSystem.T_PIECE, FlowPhase.HOLD).text
    '1 L/min (0.5 to 2.11 L/min)'
    """
    rules = _rules(animal, system, phase)
    chosen = rules[0].l_min if site_l_min is None else positive("site_l_min", site_l_min)
    low, high = min(one.low for one in rules), max(one.high for one in rules)
    views = [one.view(chosen=site_l_min is None and place == 0) for place, one in enumerate(rules)]
    where: tuple[WhereFrom, ...] = tuple(dict.fromkeys(line_of(one.row) for one in rules))
    if site_l_min is not None:
        views.insert(0, _site_view("Set by the site or for this case", f"{figure(chosen)} L/min"))
        said = "Fresh gas flow set by the site or for this case."
        where = (WhereFrom(source="site_rule", how_known="site", text=said), *where)
    breath = animal["minute_volume_l_min"].value
    below = chosen < breath and not system.rebreathes
    return Answer(
        question=f"How much fresh gas on a {system} {phase.words}?",
        value=chosen,
        unit="L/min",
        low=min(low, chosen),
        high=max(high, chosen),
        covers="the published rules side by side",
        sentence=f"{figure(chosen)} L/min {phase.words}; rules say {figure(low)} to "
        f"{figure(high)} L/min.",
        reasons=(_why(system),),
        steps=(Step(what="minute volume", result=f"{figure(breath)} L/min"),),
        where_from=where,
        cautions=_flow_cautions(system, chosen, breath),
        views=tuple(views) if len(views) > 1 else (),
        verdict=Verdict.LOOK_AGAIN if below else None,
        todo="Measure inspired carbon dioxide or raise the flow." if below else "",
    )


def _why(system: BreathingSystem) -> str:
    if system.rebreathes:
        return "The absorber takes out carbon dioxide; flow sets how fast the circle follows."
    return "Fresh gas alone washes the breath out, so that the flow must be high."


def _flow_cautions(system: BreathingSystem, flow: float, breath: float) -> tuple[str, ...]:
    said = []
    if not system.rebreathes and flow < breath:
        said.append("The flow is below the minute volume: expect rebreathing.")
    least, most = (sourced("fresh_gas", f"vaporizer.{end}_l_min") for end in ("least", "most"))
    if not least.value <= flow <= most.value:
        said.append(
            f"{figure(flow)} L/min is outside {figure(least.value)} to {figure(most.value)} L/min, "
            "for which conventional vaporizers are made: output may be off."
        )
    return tuple(said)


def _rules(animal: Animal, system: BreathingSystem, phase: FlowPhase) -> list[_Rule]:
    if system is BreathingSystem.CHAMBER:
        return _device_rules("chamber", animal.species)
    if system is BreathingSystem.LARGE_CIRCLE:
        return _large_rules(phase)
    if system.rebreathes:
        return _circle_rules(animal, phase)
    if system is BreathingSystem.NOSE_CONE:
        return [*_device_rules("mask", animal.species), _multiple(animal, "multiple", "D, E and F")]
    if system in {BreathingSystem.MAPLESON_A, BreathingSystem.MINI_A}:
        a_rules = [_multiple(animal, "a_multiple", "A")]
        if system is BreathingSystem.MINI_A:
            a_rules.append(_weight_rule(animal, "non_rebreathing.study_mini_a_ml_min_kg", "Study"))
        return a_rules
    floor = sourced("fresh_gas", "non_rebreathing.cat_floor_l_min").value
    rules = [
        _weight_rule(animal, "non_rebreathing.safe_ml_min_kg", "Teaching, reasonably safe"),
        _weight_rule(animal, "non_rebreathing.cat_ml_min_kg", "Feline guideline", floor),
        _weight_rule(animal, "non_rebreathing.full_ml_min_kg", "Stops rebreathing in nearly all"),
        _weight_rule(animal, "non_rebreathing.common_ml_min_kg", "Common"),
        _multiple(animal, "multiple", "D, E and F"),
    ]
    least = sourced("fresh_gas", "non_rebreathing.floor_ml_min")
    return [*rules, _fixed("Common practice, least", least, 0.001)]


def _large_rules(phase: FlowPhase) -> list[_Rule]:
    part = "hold" if phase is FlowPhase.HOLD else "start"
    return [_fixed("Large animals", sourced("breathing", f"large_circle.{part}_l_min"))]


def _circle_rules(animal: Animal, phase: FlowPhase) -> list[_Rule]:
    """Rules by weight; the feline guideline speaks of 3 to 10 kg alone."""
    small = animal.weight_kg <= sourced("breathing", _CIRCLE_SURE).value
    least = sourced("fresh_gas", "circle.floor_l_min")
    begin = sourced("fresh_gas", "circle.start_l_min")
    if phase is FlowPhase.HOLD:
        guideline = [_fixed("Feline guideline, then at least", least)] if small else []
        return [
            _weight_rule(animal, "circle.maintenance_ml_min_kg", "Maintenance", least.value),
            *guideline,
            _fixed("Usual oxygen flow", sourced("fresh_gas", "circle.usual_oxygen_l_min")),
            _weight_rule(animal, "circle.closed_ml_min_kg", "Closed circle: oxygen use"),
        ]
    guideline = [_fixed("Feline guideline, first 15 min", begin)] if small else []
    return [
        *guideline,
        _weight_rule(animal, "circle.change_ml_min_kg", "Change of depth", least.value),
    ]


def _device_rules(device: str, species: str) -> list[_Rule]:
    """Rows of masks or chambers, those of the species first."""
    rows = table("fresh_gas")
    kind = "bird" if species in {"chicken", "cockatoo", "bird"} else species
    own = [key for key in rows if key.startswith(f"{device}.{kind}")]
    general = f"{device}.small_animal_l_min"
    return [
        _fixed(f"{device.capitalize()}, {key.partition('.')[2][:-6].replace('_', ' ')}", row)
        for key in [*sorted(own, key=len), general]
        if isinstance(row := rows[key], Sourced)
    ]


def _fixed(label: str, row: Sourced, scale: float = 1.0) -> _Rule:
    low = row.value if row.low is None else row.low
    high = row.value if row.high is None else row.high
    return _Rule(label=label, l_min=scale * row.value, row=row, low=scale * low, high=scale * high)


def _weight_rule(animal: Animal, key: str, label: str, floor_l_min: float = 0.0) -> _Rule:
    row = sourced("fresh_gas", key)
    low, middle, high = (
        flow_by_weight_l_min(animal.weight_kg, 0.001 * one, floor_l_min)
        for one in (row.low or row.value, row.value, row.high or row.value)
    )
    told = f"{label}, {figure(row.value)} mL/kg/min"
    return _Rule(label=told, l_min=middle, row=row, low=low, high=high)


def _multiple(animal: Animal, key: str, label: str) -> _Rule:
    row = sourced("breathing", f"minute_volume.{key}")
    breath = animal["minute_volume_l_min"].value
    low, middle, high = (
        flow_by_minute_volume_l_min(breath, one)
        for one in (row.low or row.value, row.value, row.high or row.value)
    )
    told = f"{label}, {figure(row.value)} x minute volume"
    return _Rule(label=told, l_min=middle, row=row, low=low, high=high)
