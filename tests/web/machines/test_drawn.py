"""Whatever people do to states and places in whatever order, the log tells it all and holds."""

import random
from itertools import pairwise

import pytest

from ullage.core.errors import RuleBroken
from ullage.web.machines.models import Lift, Machine, Part, StateChange, UseState
from ullage.web.machines.selectors import fitness_of
from ullage.web.machines.services import (
    PartFacts,
    part_add,
    part_move,
    part_move_undo,
    part_restore,
    part_retire,
    state_set,
    state_undo,
)

pytestmark = pytest.mark.web

GRAVITY = [UseState.IN_USE, UseState.IN_DOUBT, UseState.OUT]
RANK = [Lift.OPERATOR, Lift.LEAD, Lift.VETERINARIAN]


def standing(thing):
    now = type(thing).objects.get(pk=thing.pk)
    return now.state, now.state_reason, now.state_lift


@pytest.fixture
def people(viewer, operator, lead, veterinarian):
    """People by how much they may lift; a viewer lifts nothing."""
    return [(viewer, -1), (operator, 0), (lead, 1), (veterinarian, 2)]


def attempt(machine, dice, people, number):
    """One drawn word on a machine, or its being taken back; says whether anything was written."""
    by, rank = dice.choice(people)
    state, _, lift = standing(machine)
    to = dice.choice(GRAVITY)
    eases = GRAVITY.index(to) < GRAVITY.index(state)
    may = rank >= (RANK.index(lift) if eases else 0)
    said = {"reason": f"Reason {number}.", "lift": dice.choice(RANK)}
    if not may:
        words = "can bring Wren back into use" if eases else "You can see this, not change it"
        with pytest.raises(RuleBroken, match=words):
            state_set(thing=machine, to=to, by=by, **said)
        return None
    return state_set(thing=machine, to=to, by=by, **said)


@pytest.mark.parametrize("seed", range(5))
def test_nobody_lifts_more_than_they_may_and_no_reason_is_lost_while_it_holds(
    machine, people, seed
):
    dice = random.Random(seed)
    reasons = set()
    for number in range(60):
        before = standing(machine)
        change = attempt(machine, dice, people, number)
        after = standing(machine)
        if change is None:
            assert after == before
            continue
        if GRAVITY.index(after[0]) < GRAVITY.index(before[0]):
            reasons = set()
        if after[0] != UseState.IN_USE:
            reasons.add(f"Reason {number}.")
        elif after[0] == UseState.IN_USE:
            assert after == (UseState.IN_USE, "", Lift.LEAD)
        assert all(one in after[1] for one in reasons)
        if before[0] != UseState.IN_USE and GRAVITY.index(after[0]) >= GRAVITY.index(before[0]):
            assert RANK.index(after[2]) >= RANK.index(before[2])


@pytest.mark.parametrize("seed", range(3))
def test_the_log_of_states_is_one_chain_without_a_gap(machine, people, seed):
    dice = random.Random(100 + seed)
    for number in range(40):
        if dice.random() < 0.2:
            take_back(machine, dice.choice(people)[0])
        else:
            attempt(machine, dice, people, number)
    then = (UseState.IN_USE, "", Lift.LEAD)
    for change in StateChange.objects.filter(machine=machine).order_by("pk"):
        assert (change.before, change.before_reason, change.before_lift) == then
        then = (change.after, change.reason, change.lift)

    assert standing(machine) == then


def take_back(machine, by):
    """The last change goes back to exactly what was before it, or is refused by its author."""
    last = StateChange.objects.filter(machine=machine).order_by("-pk").first()
    if last is None or last.by_id != by.pk:
        with pytest.raises(RuleBroken, match="There is no change of yours to take back"):
            state_undo(thing=machine, by=by)
        return
    state_undo(thing=machine, by=by)
    assert standing(machine) == (last.before, last.before_reason, last.before_lift)


@pytest.mark.parametrize("state", GRAVITY)
@pytest.mark.parametrize("own", GRAVITY)
def test_a_machine_is_never_better_than_its_own_state_or_than_a_part_it_needs(
    site, machine, lead, own, state
):
    part = part_add(
        site=site, kind="vaporizer", said=PartFacts(name="Iso"), by=lead, machine=machine
    )
    state_set(thing=part, to=state, by=lead, reason="The part.")
    state_set(thing=machine, to=own, by=lead, reason="The machine.")
    found = fitness_of([Machine.objects.get(pk=machine.pk)])[machine.pk]

    assert GRAVITY.index(found.state) >= GRAVITY.index(own)
    assert (found.state == UseState.IN_USE) == (own == state == UseState.IN_USE)
    assert ("The part." in found.why) == (state != UseState.IN_USE)
    assert ("The machine." in found.why) == (own != UseState.IN_USE)


# --- places of parts -----------------------------------------------------------------------------


def one_move(part, places, dice, lead):
    """Something that people do with a part, by what is allowed on paper; the place afterwards."""
    now = Part.objects.get(pk=part.pk)
    deed = dice.randrange(4)
    if deed == 0:
        to = dice.choice(places)
        if now.retired_at is not None:
            refused(
                part_move, "is no longer kept; take it back first", part, to_machine=to, by=lead
            )
        elif to == now.machine:
            refused(part_move, "is there already", part, to_machine=to, by=lead)
        else:
            part_move(part=part, to_machine=to, by=lead)
            return to
    elif deed == 1:
        return undone(now, lead)
    elif deed == 2:
        part_retire(part=part, by=lead, why="Torn.")
        return None
    else:
        part_restore(part=part, by=lead)
    return now.machine


def undone(now, lead):
    last = now.moves.first()
    if now.moves.count() == 1:
        refused(part_move_undo, "has not been moved yet", now, by=lead)
    elif now.retired_at is not None:
        refused(part_move_undo, "is no longer kept", now, by=lead)
    elif last.from_machine == now.machine:
        refused(part_move_undo, "is there already", now, by=lead)
    else:
        part_move_undo(part=now, by=lead)
        return last.from_machine
    return now.machine


def refused(deed, words, part, **said):
    moves = part.moves.count()
    with pytest.raises(RuleBroken, match=words):
        deed(part=part, **said)
    assert part.moves.count() == moves


@pytest.mark.parametrize("seed", range(5))
def test_a_part_is_where_its_last_move_says_and_its_moves_are_one_way_without_a_gap(
    site, machine, lead, seed
):
    dice = random.Random(seed)
    places = [machine, Machine.objects.create(site=site, name="Robin"), None]
    part = part_add(site=site, kind="hose", said=PartFacts(name="Hose"), by=lead, machine=machine)
    for _ in range(40):
        place = one_move(part, places, dice, lead)
        now = Part.objects.get(pk=part.pk)
        assert now.machine == place
        assert not (now.retired_at and now.machine)
    moves = list(part.moves.order_by("at", "pk"))

    assert moves[0].to_machine == machine
    for earlier, later in pairwise(moves):
        assert later.from_machine == earlier.to_machine
        assert later.at >= earlier.at
    assert Part.objects.get(pk=part.pk).machine == moves[-1].to_machine


def test_a_move_taken_back_twice_is_where_it_was_moved_to(site, machine, lead):
    robin = Machine.objects.create(site=site, name="Robin")
    part = part_add(site=site, kind="hose", said=PartFacts(name="Hose"), by=lead, machine=machine)
    part_move(part=part, to_machine=robin, by=lead)
    places = [part_move_undo(part=part, by=lead).to_machine for _ in range(3)]

    assert places == [machine, robin, machine]
    assert part.moves.count() == 5
