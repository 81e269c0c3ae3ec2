"""Fresh gas of a manifold that feeds several masks or places at once."""

from ullage.answers.answer import Answer, Step, Verdict, View
from ullage.answers.flow_rules import mask_flow
from ullage.answers.lines import line_of
from ullage.answers.words import figure
from ullage.core.breathing import manifold_flow_l_min
from ullage.core.checks import positive
from ullage.core.errors import InvalidQuantity
from ullage.reference import Sourced, table

__all__ = ["manifold_flow"]


def manifold_flow(
    species: str, open_places: int, animals: int | None = None, given_l_min: float | None = None
) -> Answer:
    """Fresh gas that a manifold of masks needs, and whether what flows is enough.

    Parameters
    ----------
    species : as people write it, mouse.
    open_places : [1] places that are not closed, 1 or more.
    animals : [1] animals at them; none means one at each.
    given_l_min : [L/min] that flows in all; none only asks.

    Raises
    ------
    InvalidQuantity : no place, more animals than places, or a flow not above 0.
    UnknownReference : a species not known.

    >>> manifold_flow("mouse", 4).text
    '1.4 L/min (0.8 to 2 L/min)'
    """
    if open_places < 1:
        raise InvalidQuantity("open_places", open_places, "1 or more")
    at_them = open_places if animals is None else animals
    if not 0 <= at_them <= open_places:
        raise InvalidQuantity("animals", at_them, f"0 to the {open_places} places that are open")
    name = species.strip().lower()
    row, own = _per_place(name)
    least, value, most = (
        manifold_flow_l_min(open_places, one)
        for one in (row.low or row.value, row.value, row.high or row.value)
    )
    verdict, said, todo = _judged(open_places, at_them, given_l_min, (least, most))
    return Answer(
        question=f"How much fresh gas do {open_places} places for a {name} need?",
        value=value,
        unit="L/min",
        low=least,
        high=most,
        covers="the range printed for one place",
        sentence=f"{open_places} open places take {figure(value)} L/min; {said}",
        reasons=("Gas shares itself out over all open places, with an animal or without.",),
        steps=(Step(what="one place", result=f"{figure(row.value)} L/min"),),
        where_from=(line_of(row, "one place"),),
        assumptions=(
            "All places are alike and get the same share; hoses of other lengths do not.",
            *(() if own else ("No rule for places of this species: that of its mask is used.",)),
        ),
        cautions=(
            "Close places without an animal: they take gas, and agent flows into the room.",
            "Look at the animal farthest from the inlet first: it gets least.",
        ),
        views=_views(row, open_places) if own else (),
        verdict=verdict,
        todo=todo,
    )


def _per_place(species: str) -> tuple[Sourced, bool]:
    """The rule for one place of a manifold, or of one mask, and whether it is for manifolds."""
    row = table("fresh_gas").get(f"manifold.{species}_port_l_min")
    if isinstance(row, Sourced):
        return row, True
    return mask_flow(species), False


def _judged(
    places: int, animals: int, given_l_min: float | None, ends: tuple[float, float]
) -> tuple[Verdict | None, str, str]:
    empty = places - animals
    spare = f"{empty} of them without an animal." if empty else "one animal at each."
    if given_l_min is None:
        todo = "Close the places without an animal." if empty else ""
        return (Verdict.LOOK_AGAIN if empty else None), spare, todo
    each = positive("given_l_min", given_l_min) / places
    said = f"{figure(given_l_min)} L/min give {figure(each)} L/min to each, {spare}"
    if given_l_min < ends[0]:
        return Verdict.STOP, said, "Raise the flow, or close places."
    if empty or given_l_min > ends[1]:
        return Verdict.LOOK_AGAIN, said, "Close the places without an animal, or lower the flow."
    return Verdict.FINE, said, ""


def _views(row: Sourced, places: int) -> tuple[View, ...]:
    """The rule for a place of a manifold beside that for a mask alone."""
    alone = mask_flow(row.key.split(".")[1].removesuffix("_port_l_min"))
    return tuple(
        View(
            label=label,
            result=f"{figure(places * one.value)} L/min",
            source=one.source,
            how_known=one.how_known.value,
            chosen=one is row,
        )
        for label, one in (("Places of a manifold", row), ("As many masks alone", alone))
    )
