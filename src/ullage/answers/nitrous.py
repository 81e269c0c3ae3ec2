"""What nitrous oxide takes off MAC: the sum of fractions beside what was measured."""

from collections.abc import Mapping

from ullage.answers.answer import Answer, Step, View
from ullage.answers.lines import line_of
from ullage.answers.mac import mac_of
from ullage.answers.words import figure
from ullage.core.agents import mac_with_nitrous_oxide_fraction
from ullage.core.checks import within
from ullage.reference import Sourced, sourced

__all__ = ["nitrous_oxide_spares"]

#: Row of a study -> what it gave to whom.
_STUDIES: Mapping[str, str] = {
    "pig_50": "Pigs, isoflurane, 50 %",
    "pig_66": "Pigs, isoflurane, 66 %",
    "ferret_70": "Ferrets, halothane, 70 %",
    "horse_25": "Horses, halothane, 25 %",
    "child_60": "Children, sevoflurane, 60 %",
}


def nitrous_oxide_spares(species: str, nitrous_fraction: float) -> Answer:
    """How much of the MAC of an agent nitrous oxide takes off, with every study beside it.

    Parameters
    ----------
    species : as people write it, cat.
    nitrous_fraction : [1] inspired, 0 to 0.79, at sea level.

    Raises
    ------
    InvalidQuantity : a fraction out of range.
    UnknownReference : a species not known.

    >>> nitrous_oxide_spares("pig", 0.5).text
    '31.2 % (23.4 to 39.1 %)'
    """
    within("nitrous_fraction", nitrous_fraction, 0.0, 0.79)
    mac, width = mac_of(species, "nitrous oxide"), sourced("potency", "nitrous_oxide.width")
    left = mac_with_nitrous_oxide_fraction(1.0, nitrous_fraction, mac.mac_fraction)
    off = 100.0 * (1.0 - left)
    share = 2.0 * width.value if mac.borrowed else width.value
    return Answer(
        question=f"What does {figure(100 * nitrous_fraction)} % nitrous oxide take off the MAC of "
        f"a {mac.species}?",
        value=off,
        unit="%",
        low=off * (1.0 - share),
        high=min(100.0, off * (1.0 + share)),
        covers="how far studies are from a plain sum",
        sentence=f"{figure(100 * nitrous_fraction)} % nitrous oxide takes about {figure(off)} % "
        "off the MAC of an agent.",
        reasons=(
            "Fractions of MAC are added: agent over its MAC, and nitrous oxide over its own.",
        ),
        steps=(Step(what="MAC of nitrous oxide", result=f"{figure(100 * mac.mac_fraction)} %"),),
        where_from=(mac.where_from, line_of(width, "nitrous oxide with an agent")),
        cautions=(_OXYGEN, *((mac.doubt,) if mac.doubt else ())),
        views=_views(off),
    )


_OXYGEN = "Keep 30 % oxygen or more beside it, and give oxygen alone when it is turned off."


def _views(off: float) -> tuple[View, ...]:
    rats = sourced("potency", "nitrous_oxide.sum_in_rats")
    chosen = View(
        label="Sum of fractions of MAC",
        result=f"{figure(off)} %",
        source="agents_base",
        how_known="computed",
        chosen=True,
    )
    studies = (
        _view(label, f"{figure(abs(row.value))} %", row)
        for label, row in (
            (told, sourced("potency", f"nitrous_oxide.seen.{key}"))
            for key, told in _STUDIES.items()
        )
    )
    strain = _view("A strain of rats: sum of fractions, 1 expected", figure(rats.value), rats)
    return (chosen, *studies, strain)


def _view(label: str, result: str, row: Sourced) -> View:
    return View(
        label=label,
        result=result,
        source=row.source,
        how_known=row.how_known.value,
    )
