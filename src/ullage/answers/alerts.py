"""Alert limits proposed for an anaesthetised animal; the plan and the site set their own."""

from ullage.answers.animal_things import Animal
from ullage.answers.animals import alert_limits
from ullage.answers.answer import Answer, Step
from ullage.answers.lines import lines_of
from ullage.answers.words import figure
from ullage.core.errors import UnknownReference

__all__ = ["alerts_proposed"]


def alerts_proposed(animal: Animal) -> Answer:
    """Limits at which somebody should look: heart, breath, pressure, warmth.

    Parameters
    ----------
    animal : species and weight.

    Raises
    ------
    UnknownReference : a species without proposed limits.

    >>> from ullage.answers.animals import animal
    >>> alerts_proposed(animal("cat", 4.0)).range_text
    '100 to 200 /min'
    """
    found = alert_limits(animal.species)
    if found is None:
        raise UnknownReference(
            f"No alert limits are proposed for a {animal.species}: the veterinarian sets them."
        )
    limits, of = found
    low, high = limits.heart_rate_low, limits.heart_rate_high
    warm = (limits.temperature_caution, limits.temperature_critical, limits.temperature_high)
    lent = f"Limits of the {of}, since none are proposed for the {animal.species}."
    return Answer(
        question=f"At which values should somebody look at this {animal.species}?",
        unit="/min",
        low=low.value,
        high=high.value,
        covers="heart rate; the other limits stand below",
        sentence=f"Look when the heart beats below {figure(low.value)} or above "
        f"{figure(high.value)} a minute.",
        reasons=("The trend counts as much as the limit.",),
        steps=(
            Step(what="heart rate", result=f"{figure(low.value)} to {figure(high.value)} /min"),
            Step(
                what="breaths",
                result=f"{figure(limits.breaths_low.value)} to "
                f"{figure(limits.breaths_high.value)} /min",
            ),
            Step(
                what="mean arterial pressure, at least",
                result=f"{figure(limits.mean_pressure_low.value)} mmHg",
            ),
            Step(what="temperature, look below", result=f"{figure(warm[0].value)} °C"),
            Step(what="temperature, act below", result=f"{figure(warm[1].value)} °C"),
            Step(what="temperature, look above", result=f"{figure(warm[2].value)} °C"),
        ),
        where_from=lines_of(low, limits.breaths_low, limits.mean_pressure_low, warm[0]),
        assumptions=() if of == animal.species else (lent,),
        cautions=(
            "These are proposals from memory: drugs move what is normal; the plan sets its own.",
        ),
    )
