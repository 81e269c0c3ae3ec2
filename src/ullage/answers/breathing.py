"""Which breathing system suits an animal, and how much fresh gas it asks for in each phase."""

from ullage.answers.animal_things import Animal
from ullage.answers.answer import Answer, Step, Verdict, View, WhereFrom
from ullage.answers.breathing_names import NO_BAND, BreathingSystem, FlowPhase, system_named
from ullage.answers.flow_rules import CIRCLE_SURE, flow_rules
from ullage.answers.lines import line_of, lines_of
from ullage.answers.weights import weight_text
from ullage.answers.words import figure
from ullage.core.breathing import WeightBand, suitability_fraction
from ullage.core.checks import positive
from ullage.reference import HowKnown, Sourced, sourced

__all__ = [
    "BreathingSystem",
    "FlowPhase",
    "fresh_gas_flow",
    "system_fits",
    "system_named",
    "system_suits",
]


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
        if system in NO_BAND:
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
    fit = dict(fits).get(chosen, 0.0)
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
    if chosen in NO_BAND:
        return Verdict.LOOK_AGAIN, f"No source says which weights a {chosen} suits: {best} does."
    if fit == 0.0:
        return Verdict.STOP, f"No source advises a {chosen} at {weight}; a {best} suits it best."
    if fit < 0.5:
        return Verdict.LOOK_AGAIN, f"Few sources advise a {chosen} at {weight}: {best} comes first."
    also = "best" if chosen is best else "too"
    return Verdict.FINE, f"A {chosen} suits {weight} {also}."


def _system_cautions(system: BreathingSystem, weight_kg: float) -> tuple[str, ...]:
    said = []
    if system is BreathingSystem.CIRCLE and weight_kg < sourced("breathing", CIRCLE_SURE).value:
        said.append(
            "On a circle below 10 kg measure inspired carbon dioxide: a valve that passes the "
            "check can still fail at small breaths."
        )
    if system is BreathingSystem.CIRCLE:
        said.append(
            "Sources disagree whether absorbent adds resistance; take the valves as what hinders."
        )
    if system is BreathingSystem.MAPLESON_A:
        said.append("A Mapleson A is not for ventilation by machine or hand.")
    if not system.rebreathes and system is not BreathingSystem.CHAMBER:
        said.append("Never flush while the animal is connected.")
    return tuple(said)


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


def fresh_gas_flow(
    animal: Animal,
    system: BreathingSystem,
    phase: FlowPhase,
    site_l_min: float | None = None,
    *,
    ventilated: bool = False,
) -> Answer:
    """The fresh gas flow of a phase: each published rule, and the site's choice.

    Parameters
    ----------
    animal : with weight and minute volume.
    system : of the case.
    phase : start, hold or waking.
    site_l_min : [L/min] that the site sets; None takes the first rule.
    ventilated : True where a machine or a hand breathes: a Mapleson A then has no flow.

    Raises
    ------
    InvalidQuantity : a flow of the site not above 0.
    RuleBroken : a Mapleson A that is ventilated.

    >>> from ullage.answers.animals import animal
    >>> fresh_gas_flow(animal("cat", 4.0), BreathingSystem.T_PIECE, FlowPhase.HOLD).text
    '1 L/min (0.5 to 2.11 L/min)'
    """
    rules = flow_rules(animal, system, phase, ventilated=ventilated)
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
        question=f"How much fresh gas {_where(system)} {phase.words}?",
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


def _where(system: BreathingSystem) -> str:
    """An animal is in a chamber, and on any other system."""
    return "in a chamber" if system is BreathingSystem.CHAMBER else f"on a {system}"


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
