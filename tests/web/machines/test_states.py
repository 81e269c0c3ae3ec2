"""In use, in doubt, out of use: who may say so, what a part does to its machine, what is kept."""

from datetime import timedelta
from uuid import uuid4

import pytest
from django.http import Http404
from django.utils import timezone

from ullage.answers.equipment import PART_KINDS, Missed
from ullage.core.errors import RuleBroken
from ullage.web.machines.models import Lift, Machine, StateChange, UseState
from ullage.web.machines.selectors import fitness_of, undo_of
from ullage.web.machines.services import PartFacts, part_add, part_move, state_set, state_undo

pytestmark = pytest.mark.web

OUT, DOUBT, IN_USE = UseState.OUT, UseState.IN_DOUBT, UseState.IN_USE


@pytest.fixture
def part(site, lead, machine):
    def made(kind, name=""):
        said = PartFacts(name=name or PART_KINDS[kind].name)
        return part_add(site=site, kind=kind, said=said, by=lead, machine=machine)

    return made


def fit(machine):
    return fitness_of([Machine.objects.get(pk=machine.pk)])[machine.pk]


def test_an_operator_takes_out_and_only_whom_the_lift_names_brings_back(
    machine, operator, lead, veterinarian
):
    state_set(thing=machine, to=OUT, by=operator, reason="Burnt.", lift=Lift.VETERINARIAN)

    for small in (operator, lead):
        with pytest.raises(RuleBroken, match="A veterinarian alone can bring Wren back"):
            state_set(thing=machine, to=IN_USE, by=small)
        with pytest.raises(RuleBroken, match="A veterinarian alone"):
            state_set(thing=machine, to=DOUBT, by=small, reason="Less bad.")
    state_set(thing=machine, to=IN_USE, by=veterinarian)
    assert (machine.state, machine.state_reason) == (IN_USE, "")


def test_an_operator_may_lift_what_an_operator_may_lift(machine, operator):
    state_set(thing=machine, to=OUT, by=operator, reason="No bag.", lift=Lift.OPERATOR)
    state_set(thing=machine, to=IN_USE, by=operator)

    assert StateChange.objects.count() == 2


def test_a_viewer_and_a_stranger_say_nothing_of_a_state(machine, viewer, stranger):
    with pytest.raises(RuleBroken, match="An operator, a lead or a veterinarian can"):
        state_set(thing=machine, to=DOUBT, by=viewer, reason="Hisses.")
    with pytest.raises(Http404, match=r"^$"):
        state_set(thing=machine, to=DOUBT, by=stranger, reason="Hisses.")
    assert not StateChange.objects.exists()


def test_a_reason_is_asked_for(machine, operator):
    for to in (DOUBT, OUT):
        with pytest.raises(RuleBroken, match="Say why"):
            state_set(thing=machine, to=to, by=operator, reason=" ")


def test_a_second_reason_joins_the_first_and_the_stricter_word_holds(machine, operator, lead):
    state_set(thing=machine, to=DOUBT, by=lead, reason="Hisses.", lift=Lift.VETERINARIAN)
    state_set(thing=machine, to=OUT, by=operator, reason="Leak test failed.", lift=Lift.OPERATOR)

    assert machine.state_reason == "Leak test failed. Before that: Hisses."
    assert machine.state_lift == Lift.VETERINARIAN
    assert state_set(thing=machine, to=OUT, by=operator, reason="Leak test failed.") is None


def test_its_author_takes_a_fresh_change_back(machine, operator, lead):
    state_set(thing=machine, to=OUT, by=operator, reason="The wrong machine.")
    with pytest.raises(RuleBroken, match="no change of yours"):
        state_undo(thing=machine, by=lead)
    assert undo_of(machine, operator, timezone.now()) is not None
    state_undo(thing=machine, by=operator)

    assert (machine.state, StateChange.objects.count()) == (IN_USE, 2)


def test_what_rests_on_a_check_is_not_taken_back_but_lifted(machine, operator, lead):
    code = uuid4()
    state_set(thing=machine, to=OUT, by=operator, reason="Leak test failed.", record_code=code)

    assert undo_of(machine, operator, timezone.now()) is None
    with pytest.raises(RuleBroken, match="rests on a check or a service"):
        state_undo(thing=machine, by=operator)
    state_set(thing=machine, to=IN_USE, by=lead)
    assert StateChange.objects.filter(record_code=code).count() == 1


def test_an_old_change_is_not_taken_back(machine, operator):
    state_set(thing=machine, to=OUT, by=operator, reason="Leak test failed.")
    StateChange.objects.update(at=timezone.now() - timedelta(minutes=16))

    assert undo_of(machine, operator, timezone.now()) is None
    with pytest.raises(RuleBroken, match="for 15 minutes"):
        state_undo(thing=machine, by=operator)
    assert machine.state == OUT


@pytest.mark.parametrize("kind", PART_KINDS)
def test_a_part_out_of_use_makes_of_its_machine_what_its_row_says(part, machine, operator, kind):
    one = part(kind)
    assert fit(machine).state == IN_USE

    state_set(thing=one, to=OUT, by=operator, reason="It sticks.")

    says = PART_KINDS[kind].missed
    assert fit(machine).state == (DOUBT if says is Missed.DOUBTS else OUT)
    assert "out of use: It sticks." in fit(machine).why


def test_a_part_in_doubt_puts_its_machine_in_doubt(part, machine, operator):
    state_set(thing=part("relief_valve"), to=DOUBT, by=operator, reason="Stiff.")

    assert fit(machine).state == DOUBT
    assert fit(machine).reasons == ("Relief valve is in doubt: Stiff.",)


@pytest.mark.parametrize("kind", PART_KINDS)
def test_another_of_the_kind_stands_in_only_where_the_row_says_so(part, machine, operator, kind):
    one, _ = part(kind, "First"), part(kind, "Second")
    state_set(thing=one, to=OUT, by=operator, reason="It leaks.")

    stops = PART_KINDS[kind].missed is Missed.STOPS
    assert fit(machine).state == (OUT if stops else DOUBT)
    assert f"{PART_KINDS[kind].name} First is out of use: It leaks." in fit(machine).why


def test_a_spare_that_is_bad_too_stands_in_for_nothing(part, machine, operator):
    for name in ("First", "Second"):
        state_set(thing=part("vaporizer", name), to=OUT, by=operator, reason="It leaks.")

    assert fit(machine).state == OUT


def test_a_bad_part_takes_its_doubt_along(part, machine, site, operator, lead):
    robin = Machine.objects.create(site=site, name="Robin")
    valve = part("relief_valve")
    state_set(thing=valve, to=OUT, by=operator, reason="It sticks.")
    part_move(part=valve, to_machine=robin, by=lead)

    assert (fit(machine).state, fit(robin).state) == (IN_USE, OUT)


def test_the_gravest_reason_comes_first(part, machine, operator):
    state_set(thing=part("oxygen_analyser"), to=OUT, by=operator, reason="Its cell is used up.")
    state_set(thing=machine, to=OUT, by=operator, reason="Leak test failed.")

    assert fit(machine).reasons == (
        "Leak test failed.",
        "Oxygen analyser is out of use: Its cell is used up.",
    )


def test_many_machines_are_asked_in_two_queries(site, lead, operator, django_assert_num_queries):
    machines = [Machine.objects.create(site=site, name=f"Wren {one}") for one in range(12)]
    for one in machines[:8]:
        bag = part_add(site=site, kind="bag", said=PartFacts(name="Bag"), by=lead, machine=one)
        state_set(thing=bag, to=OUT, by=operator, reason="Torn.")
    with django_assert_num_queries(2):
        found = fitness_of(machines)

    assert [found[one.pk].is_out for one in machines] == [True] * 8 + [False] * 4
