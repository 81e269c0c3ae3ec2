"""An animal from its species and weight: what it breathes, pumps, holds, and how sure that is."""

from collections.abc import Mapping

from ullage.answers.animal_things import Animal, AnimalValue
from ullage.answers.animal_values import VALUES, worked_out
from ullage.answers.weights import weight_question
from ullage.core.checks import positive
from ullage.core.errors import RuleBroken, UnknownReference
from ullage.reference import stated, table
from ullage.reference.solubility import ValueSet
from ullage.reference.species import Alerts, alerts, tissue_set

__all__ = ["Animal", "AnimalValue", "alert_limits", "animal", "species_offered", "stands_on"]

#: Human values serve the comparison with published studies; the product is for animals.
_ONLY_COMPARED = "human"


def species_offered() -> tuple[str, ...]:
    """The species that an animal can be of, man (for comparisons) left out.

    >>> species_offered()[:4]
    ('mouse', 'rat', 'dog', 'pig')
    """
    from ullage.reference import fact_rows

    own = (row.subject.partition(", ")[0] for row in fact_rows("body"))
    borrowed = (key.removeprefix("relative.") for key in _relatives())
    every = dict.fromkeys((*own, "chicken", *borrowed))
    return tuple(one for one in every if one != _ONLY_COMPARED)


def _relatives() -> tuple[str, ...]:
    return tuple(key for key in table("animals") if key.startswith("relative."))


def stands_on(species: str) -> tuple[str, str]:
    """Whose tissues a species is computed with, and how they are taken over.

    Returns
    -------
    The species and ``own``, ``four_group`` or ``whole``.

    Raises
    ------
    UnknownReference : a species of which nothing is known.

    >>> stands_on("mouse"), stands_on("sheep"), stands_on("pony")
    (('mouse', 'own'), ('pig', 'four_group'), ('horse', 'whole'))
    """
    if tissue_set(species):
        return species, "own"
    key = f"relative.{species}"
    if key not in table("animals"):
        raise UnknownReference(
            f"No values for {species!r}. Species: {', '.join(species_offered())}. "
            "For another bird or small mammal, choose a named relative."
        )
    relative, _, how = stated("animals", key).text.partition("; ")
    return relative, how


def alert_limits(species: str) -> tuple[Alerts, str] | None:
    """Proposed alert limits of a species, or of the one it stands on; None where neither has any.

    Returns
    -------
    The limits and the species they were proposed for.

    >>> alert_limits("pony")[1], alert_limits("chicken")
    ('horse', None)
    """
    name = species.strip().lower()
    for one in (name, stands_on(name)[0]):
        found = alerts(one)
        if found is not None:
            return found, one
    return None


def animal(
    species: str,
    weight_kg: float,
    overrides: Mapping[str, float] | None = None,
    *,
    which: ValueSet = ValueSet.USER,
    weight_is_right: bool = False,
) -> Animal:
    """An animal with every value that the answers need of it.

    Parameters
    ----------
    species : as people write it.
    weight_kg : [kg] above 0; one that the species is not likely to have is asked about.
    overrides : values that the site sets, by the names of the animal's values.
    which : values of a user, or those that the published comparisons were run with.
    weight_is_right : True when the person has confirmed an unlikely weight.

    Raises
    ------
    InvalidQuantity : a weight or an overruled value that is not above 0.
    RuleBroken : an unlikely weight that nobody confirmed; the sentence asks about it.
    UnknownReference : a species, or a value to overrule, that is not known.

    >>> cat = animal("cat", 4.0)
    >>> round(cat["cardiac_output_l_min"].value, 3), cat["cardiac_output_l_min"].unit
    (0.585, 'L/min')
    """
    name = species.strip().lower()
    positive("weight_kg", weight_kg)
    relative, how = stands_on(name)
    question = weight_question(name, weight_kg)
    if question is not None and not weight_is_right:
        raise RuleBroken(f"{question.sentence} If it is right, confirm the weight.")
    given = dict(overrides or {})
    unknown = sorted(set(given) - set(VALUES))
    if unknown:
        raise UnknownReference(f"No value {unknown[0]!r} to overrule; {', '.join(VALUES)}.")
    values = worked_out(name, weight_kg, given, which, borrowed=how != "own")
    return Animal(
        species=name,
        weight_kg=weight_kg,
        values=values,
        stands_on=relative,
        groups=how,
        assumptions=_assumptions(name, relative, how, tuple(given)),
        missing=tuple(one for one in VALUES if one not in values),
    )


def _assumptions(species: str, relative: str, how: str, given: tuple[str, ...]) -> tuple[str, ...]:
    said = []
    if how == "four_group":
        said.append(
            f"Tissues of the {species}: its four-group set, a proposal from memory, with the "
            f"vessel-rich group split as in the {relative}; bands are wider."
        )
    elif how == "whole":
        said.append(
            f"No tissue set of the {species}: that of the {relative} is used; bands are wider."
        )
    if relative == "chicken":
        said.append(
            "The lung of a bird is computed as that of a mammal: flow through air sacs is not."
        )
    if given:
        names = ", ".join(one.replace("_", " ") for one in given)
        said.append(f"Set by the site: {names}.")
    return tuple(said)
