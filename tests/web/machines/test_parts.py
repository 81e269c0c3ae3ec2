"""Parts: added, changed, moved with their history; what they carry follows them."""

from datetime import timedelta

import pytest
from django.http import Http404
from django.utils import timezone

from ullage.answers.equipment import PART_KINDS
from ullage.core.errors import InvalidQuantity, RuleBroken, UnknownReference
from ullage.web.machines.models import Machine, Part, PartChange, PartMove
from ullage.web.machines.selectors import machine_parts, part_for, part_moves, parts_of
from ullage.web.machines.services import (
    PartFacts,
    machine_change,
    part_add,
    part_change,
    part_move,
    part_move_undo,
    part_restore,
    part_retire,
    state_set,
)

pytestmark = pytest.mark.web


@pytest.fixture
def add(site, lead, machine):
    def made(kind="flowmeter", on=machine, name="", **facts):
        said = PartFacts(name=name or kind, facts=facts)
        return part_add(site=site, kind=kind, said=said, by=lead, machine=on)

    return made


@pytest.fixture
def robin(site):
    return Machine.objects.create(site=site, name="Robin")


@pytest.mark.parametrize("kind", PART_KINDS)
def test_a_part_of_every_kind_may_be_written_down_with_nothing_known(add, kind, machine):
    part = add(kind)

    assert machine_parts(machine) == [part]
    assert part.facts == {}


@pytest.mark.parametrize(
    ("kind", "facts", "raised", "said"),
    [
        ("flux", {}, UnknownReference, "No kind of part 'flux'"),
        ("flowmeter", {"agent": "isoflurane"}, UnknownReference, "Flowmeter has no 'agent'"),
        ("flowmeter", {"highest_l_min": float("nan")}, InvalidQuantity, "between 0 and 200"),
        ("flowmeter", {"highest_l_min": -1.0}, InvalidQuantity, "between 0 and 200"),
        ("flowmeter", {"highest_l_min": 1e9}, InvalidQuantity, "between 0 and 200"),
        ("flowmeter", {"highest_l_min": "ten"}, RuleBroken, "ten is no number"),
        ("flowmeter", {"lowest_l_min": 4.0, "highest_l_min": 4.0}, RuleBroken, "must lie above"),
        ("hose", {"gas": "steam"}, RuleBroken, "steam is none of"),
        ("hose", {"replace_by": "2031-02-31"}, RuleBroken, "is no date"),
    ],
)
def test_what_cannot_be_is_refused_and_nothing_is_written(add, kind, facts, raised, said):
    with pytest.raises(raised, match=said):
        add(kind, **facts)
    assert not Part.objects.exists()


def test_a_part_needs_a_name_and_a_day_that_has_come(site, lead):
    tomorrow = timezone.localdate() + timedelta(days=1)
    for said, refusal in (
        (PartFacts(name="  "), "Give the part a name"),
        (PartFacts(name="Hose", made_on=tomorrow), "has not come yet"),
    ):
        with pytest.raises(RuleBroken, match=refusal):
            part_add(site=site, kind="hose", said=said, by=lead)


def test_a_machine_of_another_site_takes_no_part(add, other_site):
    with pytest.raises(RuleBroken, match="is no machine of Fennel Lane"):
        add(on=Machine.objects.create(site=other_site, name="Grebe"))


def test_what_a_part_carries_stands_at_the_machine_and_follows_the_part(add, machine, robin, lead):
    part = add(gas="oxygen", lowest_l_min=0.2, highest_l_min=8.0, float_kind="ball")
    machine.refresh_from_db()
    assert (machine.flowmeter_min_l_min, machine.flowmeter_max_l_min) == (0.2, 8.0)

    part_change(
        part=part,
        by=lead,
        said=PartFacts(name="Tube", facts={"gas": "oxygen", "highest_l_min": 10.0}),
    )
    machine.refresh_from_db()
    assert (machine.flowmeter_min_l_min, machine.flowmeter_max_l_min) == (None, 10.0)
    assert machine.float_kind == ""

    part_move(part=part, to_machine=robin, by=lead, why="Wren gets a finer one")
    machine.refresh_from_db()
    robin.refresh_from_db()
    assert (machine.flowmeter_max_l_min, robin.flowmeter_max_l_min) == (None, 10.0)


def test_a_fact_that_no_part_states_stays_as_it_was_said_of_the_machine(add, machine, lead):
    machine_change(machine=machine, by=lead, facts={"flowmeter_max_l_min": 6.0})
    add(gas="oxygen")
    add(gas="air", highest_l_min=12.0)
    machine.refresh_from_db()

    assert machine.flowmeter_max_l_min == 6.0


def test_two_tubes_of_oxygen_reach_from_the_lowest_mark_to_the_highest(add, machine):
    add(gas="oxygen", lowest_l_min=0.05, highest_l_min=1.0, float_kind="ball")
    add(gas="oxygen", lowest_l_min=1.0, highest_l_min=10.0, float_kind="bobbin")
    machine.refresh_from_db()

    assert (machine.flowmeter_min_l_min, machine.flowmeter_max_l_min) == (0.05, 10.0)
    assert machine.float_kind == ""


def test_a_fact_that_stands_on_a_part_is_changed_there_alone(add, machine, lead):
    add("ventilator", drive="oxygen", drive_gas_factor=1.2)
    machine.refresh_from_db()

    with pytest.raises(RuleBroken, match="stands on a part of it; change it there"):
        machine_change(machine=machine, by=lead, facts={"ventilator": "air"})
    machine_change(machine=machine, by=lead, facts={"ventilator": "oxygen", "system": "Circle"})
    assert Machine.objects.get(pk=machine.pk).system == "Circle"


def test_an_alarm_out_of_use_warns_nobody(add, machine, operator, lead):
    alarm = add("alarm", watches="oxygen supply")
    assert Machine.objects.get(pk=machine.pk).oxygen_alarm == "yes"

    state_set(thing=alarm, to="out_of_use", by=operator, reason="The whistle is silent.")
    assert Machine.objects.get(pk=machine.pk).oxygen_alarm == "unknown"

    state_set(thing=alarm, to="in_use", by=lead)
    assert Machine.objects.get(pk=machine.pk).oxygen_alarm == "yes"


def test_a_part_keeps_where_it_has_been(add, machine, robin, lead):
    part = add("vaporizer", agent="isoflurane")
    part_move(part=part, to_machine=None, by=lead, why="to be cleaned")
    part_move(part=part, to_machine=robin, by=lead)

    went = [(one.from_machine, one.to_machine, one.why) for one in part_moves(part)]
    assert went == [
        (None, robin, ""),
        (machine, None, "to be cleaned"),
        (None, machine, "added"),
    ]
    assert parts_of(part.site, "vaporizer")[0].machine == robin


def test_a_move_can_be_taken_back_and_both_stay_readable(add, machine, robin, lead):
    part = add("hose")
    part_move(part=part, to_machine=robin, by=lead)
    part_move_undo(part=part, by=lead)

    part.refresh_from_db()
    assert part.machine == machine
    assert PartMove.objects.filter(part=part).count() == 3


def test_a_move_that_cannot_be_is_refused(add, machine, robin, lead, other_site):
    part, now = add("hose"), timezone.now()
    elsewhere = Machine.objects.create(site=other_site, name="Grebe")
    for to, at, refusal in (
        (machine, now, "is there already"),
        (elsewhere, now, "is no machine of"),
        (robin, now + timedelta(hours=1), "has not come yet"),
        (robin, now - timedelta(days=1), "moved again after that"),
    ):
        with pytest.raises(RuleBroken, match=refusal):
            part_move(part=part, to_machine=to, by=lead, at=at)
    with pytest.raises(RuleBroken, match="has not been moved yet"):
        part_move_undo(part=part, by=lead)
    assert part.moves.count() == 1


def test_a_part_that_is_let_go_leaves_its_machine_and_can_be_taken_back(add, machine, lead):
    part = add("regulator", works_by="preset")
    with pytest.raises(RuleBroken, match="Say why"):
        part_retire(part=part, by=lead, why=" ")
    part_retire(part=part, by=lead, why="Thread worn.")

    assert machine_parts(machine) == []
    assert Machine.objects.get(pk=machine.pk).regulator == ""
    with pytest.raises(RuleBroken, match="no longer kept"):
        part_move(part=part, to_machine=machine, by=lead)

    part_restore(part=part, by=lead)
    assert parts_of(part.site) == [part]
    assert PartChange.objects.filter(part=part).count() == 2


def test_the_same_again_is_no_change(add, lead):
    part = add("hose", gas="oxygen")
    part_change(part=part, said=PartFacts(name="hose", facts={"gas": "oxygen"}), by=lead)

    assert not PartChange.objects.exists()


def test_a_stranger_finds_no_part(add, stranger, viewer):
    part = add("hose")

    assert part_for(viewer, part.code) == part
    with pytest.raises(Http404, match=r"^$"):
        part_for(stranger, part.code)
