"""Organ groups of an animal: the set that is used beside the other one in print."""

from ullage.answers.animal_things import Animal
from ullage.answers.answer import Answer, Step, View
from ullage.answers.bodies import tissue_shares
from ullage.answers.lines import lines_of
from ullage.answers.words import figure
from ullage.reference import Sourced, sourced
from ullage.reference.species import SIX, four_groups, tissue_set

__all__ = ["body_tissues"]


def body_tissues(animal: Animal) -> Answer:
    """What share of the output goes to the vessel-rich organs, and to every tissue.

    Parameters
    ----------
    animal : species and weight.

    >>> from ullage.answers.animals import animal
    >>> body_tissues(animal("cat", 4.0)).number_text
    '62 %'
    """
    masses, flows = tissue_shares(animal)
    value = 100.0 * sum(flows[:_RICH]) + 100.0 * flows[-1]
    rows = _rows(animal)
    views = _views(animal, value, rows)
    ends = [value, *(float(one.result.split(" ")[0]) for one in views)]
    return Answer(
        question=f"Where does the blood of a {animal.species} go?",
        value=value,
        unit="%",
        low=min(ends) if len(views) > 1 else None,
        high=max(ends) if len(views) > 1 else None,
        covers="the two sets of organs in print" if len(views) > 1 else "",
        sentence=f"Brain, viscera and kidneys take {figure(value)} % of the output.",
        reasons=("The more they take, the faster the animal sleeps and wakes.",),
        steps=tuple(
            Step(
                what=name.replace("_", " "),
                result=f"{figure(100 * mass)} % of weight, {figure(100 * flow)} % of output",
            )
            for name, mass, flow in zip((*SIX, "fat between"), masses, flows, strict=True)
        ),
        where_from=lines_of(*rows),
        assumptions=animal.assumptions,
        cautions=("Tissues of no species were read in the original tables: all are from memory.",),
        views=views if len(views) > 1 else (),
    )


#: Brain, viscera and kidney come first; the fat between the tissues takes its flow from viscera.
_RICH = 3


def _rows(animal: Animal) -> tuple[Sourced, ...]:
    found = [one.flow for one in tissue_set(animal.stands_on)]
    groups = four_groups(animal.species)
    if animal.groups == "four_group" and groups is not None:
        found = list(groups.flow_percent)
    return (*found, sourced("animals", "intertissue.flow_share"))


def _views(animal: Animal, value: float, rows: tuple[Sourced, ...]) -> tuple[View, ...]:
    six = animal.groups != "four_group"
    label = "Six tissues, skin with the vessel-poor" if six else "Four groups, skin with muscle"
    used = View(
        label=label,
        result=f"{figure(value)} %",
        source=rows[0].source,
        how_known=rows[0].how_known.value,
        chosen=True,
    )
    groups = four_groups(animal.species)
    if not six or groups is None:
        return (used,)
    row = groups.flow_percent[0]
    other = View(
        label="Four groups, skin with muscle, awake",
        result=f"{figure(row.value)} %",
        source=row.source,
        how_known=row.how_known.value,
    )
    return (used, other)
