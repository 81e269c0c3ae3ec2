"""Cylinders that stand in store, as lots that a storage code counts."""

from collections.abc import Iterable

from ullage.answers.chain_things import Stored
from ullage.answers.storage import full_contents_l
from ullage.answers.things import Gas
from ullage.web.sites.selectors import Site
from ullage.web.supply.models import Cylinder
from ullage.web.supply.selectors.things import cylinder_thing, place_of

__all__ = ["full_l_of", "store_lots"]


def full_l_of(cylinder: Cylinder, site: Site) -> float | None:
    """[L] at 70 °F that it holds when full; None where neither label nor stamp tells."""
    return full_contents_l(cylinder_thing(cylinder), cylinder.label_l, place_of(site))


def store_lots(cylinders: Iterable[Cylinder], site: Site) -> tuple[tuple[Stored, ...], int]:
    """The lots, and how many could not be counted; a part-used one counts as full.

    A code asks for what may be there: nobody weighs a store each day.
    """
    lots: dict[tuple[Gas, float], int] = {}
    unknown = 0
    for one in cylinders:
        litres = full_l_of(one, site)
        if litres is None:
            unknown += 1
        else:
            key = (Gas(one.gas), round(litres, 1))
            lots[key] = lots.get(key, 0) + 1
    found = (Stored(gas=gas, contents_l=each, count=n) for (gas, each), n in lots.items())
    return tuple(found), unknown
