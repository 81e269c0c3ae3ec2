"""The question that a reading raises before it is used: possible, but not likely."""

from typing import TYPE_CHECKING

from ullage.answers import things
from ullage.answers.reading_asked import reading_asked
from ullage.web.supply.models import Cylinder
from ullage.web.supply.selectors.readings import in_force
from ullage.web.supply.selectors.things import (
    cylinder_thing,
    place_of,
    reading_thing,
)

if TYPE_CHECKING:
    from ullage.web.supply.services.readings import Seen

__all__ = ["question_about"]

#: As many readings before it as a slip or a rise shows against.
_BEFORE = 5


def question_about(cylinder: Cylinder, seen: "Seen") -> str:
    """The question in a sentence or two; empty where there is nothing to ask.

    A late reading is held against those before it; that it is late is marked, not asked.
    """
    before = in_force(cylinder).filter(at__lte=seen.at)
    if cylinder.connected_at is not None:
        before = before.filter(at__gte=cylinder.connected_at)
    asked = reading_asked(
        cylinder_thing(cylinder),
        things.Reading(
            at_min=0.0,
            gauge_kpa=seen.gauge_kpa,
            weight_kg=seen.weight_kg,
            temperature_k=seen.temperature_k,
        ),
        [reading_thing(one, seen.at) for one in before[:_BEFORE]],
        place_of(cylinder.site, cylinder.room),
    )
    return "" if asked is None else f"{asked.sentence} {asked.settles}"[:240]
