"""Cylinders drawn through all that people do with them: where each is, and what the log tells."""

import random

import pytest

from ullage.core.errors import RuleBroken
from ullage.web.stock.selectors import item_page
from ullage.web.stock.services import ItemFacts, item_add
from ullage.web.supply.models import Cylinder, CylinderEvent
from ullage.web.supply.services import (
    SourceFacts,
    cylinder_connect,
    cylinder_empty,
    cylinder_quarantine,
    cylinder_release,
    cylinder_return,
    cylinder_take_off,
    source_add,
)

pytestmark = pytest.mark.web

#: From which states a deed leads on, and to which.
ROUND = {
    "connect": ({"full", "part_used"}, "in_use"),
    "take off": ({"in_use"}, "part_used"),
    "take off empty": ({"in_use"}, "empty"),
    "empty": ({"full", "part_used"}, "empty"),
    "set apart": ({"full", "in_use", "part_used", "empty"}, "quarantine"),
    "take back": ({"quarantine", "empty", "returned"}, "part_used"),
    "return": ({"full", "part_used", "empty", "quarantine"}, "returned"),
}


@pytest.fixture
def places(source, site, room, machine, lead):
    """A place for one cylinder, and one for several in a row."""
    facts = SourceFacts(name="Row", kind="sequence", gas="oxygen", room=room)
    return [source, source_add(site=site, facts=facts, by=lead, machines=[machine])]


def do(deed, cylinder, place, by):
    """The deed itself."""
    if deed == "connect":
        cylinder_connect(cylinder=cylinder, source=place, by=by)
    elif deed.startswith("take off"):
        cylinder_take_off(cylinder=cylinder, by=by, is_empty=deed.endswith("empty"))
    elif deed == "set apart":
        cylinder_quarantine(cylinder=cylinder, reason="Drawn.", by=by)
    elif deed == "take back":
        cylinder_release(cylinder=cylinder, reason="Looked at.", by=by)
    else:
        {"empty": cylinder_empty, "return": cylinder_return}[deed](cylinder=cylinder, by=by)


class Yard:
    """Every cylinder by its state and place, as somebody would chalk it on a wall."""

    def __init__(self, cylinders, places):
        self.state = {one.pk: "full" for one in cylinders}
        self.place = dict.fromkeys(self.state)
        self.single = places[0].pk

    def refusal(self, deed, pk, place):
        """The words of the refusal; none where the deed is allowed."""
        taken = [one for one, at in self.place.items() if at == self.single]
        if deed == "connect" and place.pk == self.single and taken:
            return "use Change cylinder to swap them"
        allowed, _ = ROUND[deed]
        return "" if self.state[pk] in allowed else "this step does not follow from that"

    def note(self, deed, pk, place):
        self.state[pk] = ROUND[deed][1]
        self.place[pk] = place.pk if deed == "connect" else None


def seen(cylinders):
    found = Cylinder.objects.filter(pk__in=[one.pk for one in cylinders])
    return {one.pk: (one.state, one.source_id) for one in found}


@pytest.mark.parametrize("seed", range(6))
def test_each_cylinder_is_where_its_last_deed_put_it_and_each_deed_is_one_line(
    *, receive, places, operator, lead, seed
):
    dice = random.Random(seed)
    cylinders = [receive(f"Tree {number}") for number in range(5)]
    yard = Yard(cylinders, places)
    lines = CylinderEvent.objects.count()
    for _ in range(70):
        cylinder, place = dice.choice(cylinders), dice.choice(places)
        deed, by = dice.choice(sorted(ROUND)), dice.choice([operator, lead])
        cylinder.refresh_from_db()
        words = yard.refusal(deed, cylinder.pk, place)
        if words:
            with pytest.raises(RuleBroken, match=words):
                do(deed, cylinder, place, by)
        else:
            do(deed, cylinder, place, by)
            yard.note(deed, cylinder.pk, place)
            lines += 1
        wanted = {pk: (state, yard.place[pk]) for pk, state in yard.state.items()}
        assert seen(cylinders) == wanted
        assert CylinderEvent.objects.count() == lines


@pytest.mark.parametrize("seed", range(3))
def test_the_shelf_of_cylinders_counts_what_stands_full_and_feeds_nothing(
    *, site, receive, places, operator, lead, seed
):
    dice = random.Random(seed)
    facts = ItemFacts(name="Oxygen E", gas="oxygen", size="E (UK/ISO)")
    shelf = item_add(site=site, kind="cylinder", facts=facts, by=lead)
    cylinders = [receive(f"Tree {number}") for number in range(4)]
    receive("Air", gas="air")
    yard = Yard(cylinders, places)
    for _ in range(25):
        cylinder, place, deed = dice.choice(cylinders), places[1], dice.choice(sorted(ROUND))
        cylinder.refresh_from_db()
        if not yard.refusal(deed, cylinder.pk, place):
            do(deed, cylinder, place, operator)
            yard.note(deed, cylinder.pk, place)
        row = item_page(shelf).row
        states = list(yard.state.values())
        assert (row.full, row.empty) == (states.count("full"), states.count("empty"))


def test_a_name_is_one_cylinder_whatever_its_round(receive, operator):
    first = receive("Alder")
    for deed in ("empty", "return"):
        do(deed, first, None, operator)
    second = receive("alder")
    first.refresh_from_db()

    assert first.code != second.code
    assert (first.state, second.state) == ("returned", "full")
